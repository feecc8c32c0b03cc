"""What still blocks the visit: what cannot be settled on site, each with the one thing to do.

Where an assessment already says it, the words are those of its findings.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from pathproof.assess.account_states import states_reached
from pathproof.assess.context import Context
from pathproof.assess.findings import ask_for, ending, nothing_there, remedy, unconfirmed
from pathproof.assess.judge import in_use
from pathproof.assess.main_path import main_communicator
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.naming import called
from pathproof.assess.types import Assessment, Link
from pathproof.job import PANEL_ID, Communicator, Job
from pathproof.job.due import due_at_centre
from pathproof.job.record import ReadingEntry
from pathproof.terms import AccountState, LinkKind, Reason, Severity, SignalKind, Word

__all__ = ["Block", "blocks"]

_STATES: Final = list(AccountState)
_MOST_NAMED: Final = 6


@dataclass(frozen=True, kw_only=True)
class Block:
    """Something that has to be settled before anybody drives out."""

    id: str
    """The same as long as the block stands, such as "identifiers:main"."""
    about: str
    """Id of a thing, or as findings name it: panel, site, profile."""
    text: str
    do: str
    """The one thing to do."""


def blocks(job: Job, assessment: Assessment) -> tuple[Block, ...]:
    """What still blocks the visit, in the order in which it is best settled.

    What can be settled on site is not among it: places of devices, walk tests, what was not
    measured yet, and figures that the catalogue lacks.

    Parameters
    ----------
    job : Job
        The job that was assessed; limits are those of its own profile.
    assessment : Assessment
        What `assess` says of it.
    """
    ctx = Context(job, assessment.as_of, None, leave_out_later=True)
    return tuple(
        [
            *_nothing_there(ctx),
            *_zones(ctx, assessment),
            *_codes(ctx, assessment),
            *_communicator(ctx, assessment),
            *_links(ctx, assessment),
            *_endings(ctx),
            *_identifiers(ctx),
            *_accounts(ctx),
            *_limits(ctx),
        ]
    )


def _nothing_there(ctx: Context) -> Iterator[Block]:
    for _, about, text, do in nothing_there(ctx):
        yield Block(id=f"none:{about}", about=about, text=text, do=do)


def _zones(ctx: Context, assessment: Assessment) -> Iterator[Block]:
    """Devices that the centre would not know by a zone."""
    telling = {s.about for s in assessment.signals}
    without = [d for d in ctx.site.devices if d.zone is None and d.id in telling]
    if without:
        yield Block(
            id="zones",
            about=", ".join(d.id for d in without),
            text=f"Without a zone: {_named([f'{d.name} ({d.id})' for d in without])}.",
            do="Give each a zone, so that panel and centre can be programmed for it.",
        )


def _codes(ctx: Context, assessment: Assessment) -> Iterator[Block]:
    """Signals for which nobody said what the centre is to receive."""
    zone_of = {d.id: d.zone for d in ctx.site.devices}
    open_ = [s for s in assessment.signals if due_at_centre(ctx.site, s.about, s.kind).code is None]
    alarms = {s.zone: None for s in open_ if s.kind is SignalKind.ALARM and zone_of.get(s.about)}
    kinds = dict.fromkeys(s.kind for s in open_ if s.kind is not SignalKind.ALARM)
    zones = f"alarms of zone {_named([str(n) for n in alarms])}" if alarms else ""
    of_kind = _named([k.replace("_", " ") for k in kinds])
    if zones or of_kind:
        yield Block(
            id="codes",
            about="site",
            text=f"No code is given for {' and for '.join(x for x in (zones, of_kind) if x)}.",
            do="Agree on the codes with the centre, and write them into zones and signal codes.",
        )


def _communicator(ctx: Context, assessment: Assessment) -> Iterator[Block]:
    """No main path yet, though there is something that could send."""
    if main_communicator(ctx.site) is not None:
        return
    choice = assessment.choice
    ranked = 0 if choice is None else len(choice.ranked)
    taken = f", and none of the {ranked} offers that meet every rule was taken" if ranked else ""
    yield Block(
        id="communicator",
        about=PANEL_ID,
        text=f"No main communicator is chosen{taken}.",
        do="Take one of them into the job: pathproof choose JOB --take 1."
        if ranked
        else "Choose a communicator, its card (SIM) and the spot of its antenna.",
    )


def _links(ctx: Context, assessment: Assessment) -> Iterator[Block]:
    """What all signals share and new parts, a choice or a reading would have to mend."""
    links = {x.id: x for x in assessment.links}
    needed = {i for path in {s.path for s in assessment.signals} for i in in_use(path, links)}
    for link in links.values():
        if link.id not in needed or link.kind is LinkKind.RADIO:
            continue
        if link.word is Word.LACKING:
            yield _of_link(ctx, link, remedy(ctx, link))
        elif link.reason is Reason.INPUT and _before_the_visit(ctx, link):
            yield _of_link(ctx, link, ask_for(ctx, link))


def _before_the_visit(ctx: Context, link: Link) -> bool:
    """Whether what a link misses is chosen, agreed or read before anybody fits something."""
    match link.kind:
        case LinkKind.SUPPLY:
            return ctx.site.supply is None
        case LinkKind.STANDBY:
            return ctx.site.battery is None
        case LinkKind.REPORTING:
            return ctx.site.reporting is None
        case _:
            return any(c.id == link.start and _unread(ctx, c) for c in ctx.site.communicators)


def _unread(ctx: Context, communicator: Communicator) -> bool:
    """Whether card or spot are not chosen, or no network was ever read there."""
    if not allowed_networks(ctx.site, communicator) or communicator.spot is None:
        return True
    here = {communicator.id, communicator.spot}
    return not any(isinstance(e, ReadingEntry) and here & {*e.about} for e in ctx.entries)


def _of_link(ctx: Context, link: Link, do: str) -> Block:
    return Block(id=link.id, about=link.start, text=f"{called(ctx, link)}: {link.why}.", do=do)


def _endings(ctx: Context) -> Iterator[Block]:
    """Networks and services that end too soon by a source, while another may still be chosen."""
    live = {c.id for c in ctx.site.communicators if c.state is AccountState.LIVE}
    for severity, about, text, do in ending(ctx):
        if severity is Severity.FAULT and about not in live:  # a gap: from memory, to be asked
            yield Block(id=f"ends:{about}", about=about, text=text, do=do)


def _identifiers(ctx: Context) -> Iterator[Block]:
    for communicator in ctx.site.communicators:
        missing = _missing_numbers(communicator)
        if missing:
            numbers = [what for told in missing.values() for what in told]
            sources = [f"{where.format(' and '.join(what))}." for where, what in missing.items()]
            yield Block(
                id=f"identifiers:{communicator.id}",
                about=communicator.id,
                text=f"Communicator {communicator.id}: not in the job yet: {', '.join(numbers)}.",
                do=f"{' '.join(sources)} Then write it into the job.",
            )


def _missing_numbers(communicator: Communicator) -> dict[str, list[str]]:
    """What the state that comes next needs, by where it is to be had."""
    card = None if communicator.sim is None else communicator.sim.iccid
    label, centre = "Read {} off module and card", "Ask the centre for {}"
    missing: dict[str, list[str]] = {}
    for needed_until, given, what, where in (
        (AccountState.ACTIVE, communicator.imei, "IMEI", label),
        (AccountState.ACTIVE, card, "card number (ICCID)", label),
        (AccountState.LIVE, communicator.account, "account number", centre),
        (AccountState.LIVE, communicator.centre, "name of the centre", centre),
    ):
        if not given and _STATES.index(communicator.state) < _STATES.index(needed_until):
            missing.setdefault(where, []).append(what)
    return missing


_THEN: Final = {
    AccountState.ORDERED: (
        "card and account are ordered, and not registered yet",
        "Register card and module with the service and the account with the centre, then note the "
        "state registered with its day.",
    ),
    AccountState.REGISTERED: (
        "card and account are registered, and not active yet",
        "Have the card activated, and note the state active with its day.",
    ),
    AccountState.ENDED: (
        "card and account have ended",
        "Order a card and an account for it, or take it out of the job.",
    ),
}
"""Of states in which nothing can reach the centre: what they mean, and what to do."""


_NOT_BEGUN: Final = (
    "nothing is on record of its card and account, so they are not registered yet",
    "Order card and account, and note the state ordered with its day; or registered, once they "
    "are.",
)


def _accounts(ctx: Context) -> Iterator[Block]:
    for communicator in ctx.site.communicators:
        if communicator.state in _THEN:
            begun = communicator.state is not AccountState.ORDERED or (
                AccountState.ORDERED in states_reached(ctx, communicator.id)
            )
            text, do = _THEN[communicator.state] if begun else _NOT_BEGUN
            yield Block(
                id=f"account:{communicator.id}",
                about=communicator.id,
                text=f"Communicator {communicator.id}: {text}.",
                do=do,
            )


def _limits(ctx: Context) -> Iterator[Block]:
    for _, about, text, do in unconfirmed(ctx):
        yield Block(id="limits", about=about, text=text, do=do)


def _named(names: list[str]) -> str:
    more = [f"{len(names) - _MOST_NAMED} more"] if len(names) > _MOST_NAMED else []
    return ", ".join([*names[:_MOST_NAMED], *more])
