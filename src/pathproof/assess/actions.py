"""The one next action for each signal, signals with the same one together; every power fault."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from pathproof.assess.context import Context
from pathproof.assess.findings import ask_for, remedy
from pathproof.assess.judge import in_use
from pathproof.assess.naming import called
from pathproof.assess.power.standby_advice import standby_proof
from pathproof.assess.power.supply_advice import supply_ask, supply_proof
from pathproof.assess.types import Action, Link, Signal
from pathproof.job.links import STANDBY, SUPPLY
from pathproof.terms import LimitName, LinkKind, Reason, Word


def next_actions(
    ctx: Context, signals: list[Signal], links: Mapping[str, Link]
) -> tuple[Action, ...]:
    """What to do next, the most pressing first."""
    together: dict[tuple[str, str | None, str], list[str]] = defaultdict(list)
    urgency: dict[tuple[str, str | None, str], int] = {}
    for signal in signals:
        key, urgent = _action(ctx, signal, links)
        if key is not None:
            together[key].append(signal.id)
            urgency.setdefault(key, urgent)
    for key, urgent in _power_actions(ctx, signals, links):
        together.setdefault(key, [])  # no signal of its own where all have something before it
        urgency.setdefault(key, urgent)
    ordered = sorted(together, key=lambda k: urgency[k])
    return tuple(
        Action(about=about, signals=tuple(together[(about, link, text)]), link=link, text=text)
        for about, link, text in ordered
    )


def _power_actions(
    ctx: Context, signals: list[Signal], links: Mapping[str, Link]
) -> Iterator[tuple[tuple[str, str | None, str], int]]:
    """Every fault of supply and standby, whatever is weaker on a signal's way, each order once."""
    said: list[str] = []
    used = {i for path in {s.path for s in signals} for i in in_use(path, links)}
    power = [links[i] for i in (SUPPLY, STANDBY) if i in used]
    for link in power:
        for urgent, (link_test, text_of) in enumerate(_STEPS[:-1]):
            text = text_of(ctx, link) if link_test(link) else ""
            if text and not any(text in other for other in said):
                said.append(text)
                yield (link.start, link.id, text), urgent


def _action(
    ctx: Context, signal: Signal, links: Mapping[str, Link]
) -> tuple[tuple[str, str | None, str] | None, int]:
    if signal.arrival is Word.LACKING:
        text = "Check zone, code and account at the panel and the centre, then send it again."
        return (signal.about, None, text), 0
    on_the_way = [links[i] for i in in_use(signal.path, links)]
    for urgent, (link_test, text_of) in enumerate(_STEPS):
        for link in on_the_way:
            if link_test(link):
                return (link.start, link.id, text_of(ctx, link)), urgent
    if signal.arrival is None:
        text = (
            "Put the account on test with the centre, trip it, and let the centre read back code, "
            "zone, partition and time."
        )
        return (signal.about, None, text), len(_STEPS)
    return None, 0


def _is_lacking(link: Link) -> bool:
    return link.word is Word.LACKING


def _lacks_input(link: Link) -> bool:
    return link.reason is Reason.INPUT


def _lacks_limit(link: Link) -> bool:
    return link.reason is Reason.LIMIT


def _to_prove(link: Link) -> bool:
    return link.word is Word.PREDICTED


def _proof(ctx: Context, link: Link) -> str:
    if link.kind is LinkKind.RADIO:
        waiting = [n for n in _WALK_LIMITS if not ctx.limit(n).usable]
        if waiting:
            return (
                f"Confirm {' and '.join(waiting)} from your own copy; until then no walk test "
                "proves a radio link."
            )
        in_hand_db = ctx.value(LimitName.WALK_IN_HAND_DB)
        messages = ctx.value(LimitName.WALK_MESSAGES)
        return (
            f"Walk test {called(ctx, link)}, from the final place with the lid shut: "
            f"{messages:g} messages with {in_hand_db:g} dB in hand."
        )
    if link.kind is LinkKind.STANDBY:
        return standby_proof(ctx, link)
    if link.kind is LinkKind.SUPPLY:
        return supply_proof(ctx, link)
    return _mobile_proof(ctx, link)


def _mobile_proof(ctx: Context, link: Link) -> str:
    if link.missing:
        return (
            f"Watch communicator {link.start} with the final antenna and the lid shut, recorded "
            f"with the time since it registered. {link.missing}."
        )
    readings, minutes, settled_min = (
        ctx.value(LimitName.MOBILE_READINGS),
        ctx.value(LimitName.MOBILE_MINUTES),
        ctx.limits.get(LimitName.MOBILE_SETTLED_MIN),
    )
    after = "" if settled_min is None else f", {settled_min.value:g} minutes after it registered"
    return (
        f"Fit the final antenna of communicator {link.start}, shut the lid{after} and watch each "
        f"network for {minutes:g} minutes or more, reading every ten seconds or so, {readings:g} "
        "times at the least."
    )


def _confirm(ctx: Context, link: Link) -> str:
    if link.kind is LinkKind.STANDBY:
        return link.missing
    if link.kind is LinkKind.SUPPLY:
        return supply_ask(ctx)
    return f"Confirm the limit from your own copy: {link.why}."


_WALK_LIMITS = (LimitName.WALK_IN_HAND_DB, LimitName.WALK_MESSAGES)

_STEPS = (
    (_is_lacking, remedy),
    (_lacks_input, ask_for),
    (_lacks_limit, _confirm),
    (_to_prove, _proof),
)
