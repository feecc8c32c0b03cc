"""Findings: what a person should know of a site, and what to do about it."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from statistics import median

from shapely import LineString, Point, STRtree
from stdnum import luhn

from pathproof.assess.antenna_advice import antenna_findings
from pathproof.assess.context import Context
from pathproof.assess.judge import in_use
from pathproof.assess.mobile_consistency import consistency_findings
from pathproof.assess.mobile_levels import allowed_networks, moments
from pathproof.assess.mobile_places import unnamed_antennas
from pathproof.assess.naming import called, named
from pathproof.assess.placing import placing_findings
from pathproof.assess.power.advice import replacement_findings
from pathproof.assess.power.changes import currents_now
from pathproof.assess.power.standby_advice import standby_findings
from pathproof.assess.power.supply_advice import supply_ask, supply_findings, supply_remedy
from pathproof.assess.radio import MARGIN_LABEL, common_radio, radios_of
from pathproof.assess.retirements import Fate, Outlook, outlooks
from pathproof.assess.spot_advice import better_spots
from pathproof.assess.spots import SpotSurvey
from pathproof.assess.types import Finding, Link, Replacement, Signal
from pathproof.assess.way import Way
from pathproof.job import PANEL_ID, DetectorPart, PanelPart
from pathproof.job.fingerprint import radio_ways
from pathproof.job.geometry import things
from pathproof.job.record import ConfirmEntry, LevelEntry, OverrideEntry, ReadingEntry, WalkEntry
from pathproof.terms import (
    DeviceKind,
    LimitName,
    LinkKind,
    Quantity,
    Reason,
    Severity,
    SignalKind,
    SimKind,
    Word,
)

_LIFE_SAFETY = {
    DeviceKind.SMOKE,
    DeviceKind.HEAT,
    DeviceKind.CARBON_MONOXIDE,
    DeviceKind.HOLD_UP,
}
_ORDER = list(Severity)
ON_WALL_M = 0.005
"""Nearer than this to a wall's centre line a thing stands on it. [m]"""
FAR_M = 200.0
"""Distances above this are most often a slip of the unit (common practice, no source). [m]"""


def all_findings(
    ctx: Context,
    links: Mapping[str, Link],
    ways: Mapping[str, Way],
    signals: list[Signal],
    survey: SpotSurvey,
    calendar: Sequence[Replacement],
) -> tuple[Finding, ...]:
    """Findings of a site, most pressing first, numbered F1, F2 and so on."""
    found = [
        *nothing_there(ctx),
        *_changed_outside(ctx),
        *_life_safety(ctx, signals),
        *_lacking(ctx, links, signals),
        *_gaps(ctx, links, signals),
        *_voided(ctx),
        *_unheard(ctx),
        *_unknown_steps(ctx),
        *unnamed_antennas(ctx),
        *_carried(ctx, links),
        *unconfirmed(ctx),
        *_confirmations(ctx),
        *_readings(ctx),
        *consistency_findings(ctx),
        *_identifiers(ctx),
        *_build_ups(ctx, ways),
        *_distances(ctx, ways),
        *_on_walls(ctx),
        *placing_findings(ctx, links, ways),
        *_cards(ctx),
        *antenna_findings(ctx),
        *better_spots(ctx, links, survey),
        *supply_findings(ctx),
        *ending(ctx),
        *standby_findings(ctx),
        *replacement_findings(ctx, calendar),
        *_overrides(ctx),
    ]
    ordered = sorted(found, key=lambda f: _ORDER.index(f[0]))
    return tuple(
        Finding(id=f"F{i}", severity=severity, about=about, text=text, do=do)
        for i, (severity, about, text, do) in enumerate(ordered, start=1)
    )


_Draft = tuple[Severity, str, str, str]


def nothing_there(ctx: Context) -> Iterator[_Draft]:
    if not ctx.site.devices:
        yield (
            Severity.GAP,
            "site",
            "The site has no devices, so there is no signal to judge.",
            "Add devices with part, place and zone to the job.",
        )
    if ctx.site.panel is None:
        yield (
            Severity.GAP,
            "panel",
            "No panel is chosen.",
            "Add the panel with its part and place to the job.",
        )


def _changed_outside(ctx: Context) -> Iterator[_Draft]:
    if ctx.job.changed_outside:
        yield (
            Severity.ADVICE,
            "site",
            f"The job file was changed outside Pathproof since revision {ctx.job.revision}: its "
            "hash no longer fits its content.",
            "Make sure that the change was meant; saving it with Pathproof gives it a new hash.",
        )


def _life_safety(ctx: Context, signals: list[Signal]) -> Iterator[_Draft]:
    word_of = {s.about: s.word for s in signals if s.kind is SignalKind.ALARM}
    relied_on = []
    for device in ctx.site.devices:
        part = ctx.job.part(device.part)
        unproven = word_of.get(device.id) is not Word.PROVEN
        if isinstance(part, DetectorPart) and part.what in _LIFE_SAFETY and unproven:
            relied_on.append(device.id)
    if relied_on:
        yield (
            Severity.SAFETY,
            ", ".join(relied_on),
            "People may rely on these for their safety, and they are not proven to the centre.",
            "Tell the users not to rely on them until proven. Local codes and licensed persons "
            "decide what fire and hold-up equipment has to be.",
        )


def _lacking(ctx: Context, links: Mapping[str, Link], signals: list[Signal]) -> Iterator[_Draft]:
    needed = {i for s in signals for i in in_use(s.path, links)}
    for link in links.values():
        if link.word is Word.LACKING and link.id in needed:
            yield (
                Severity.FAULT,
                link.start,
                f"{called(ctx, link)}: {link.why}.",
                remedy(ctx, link),
            )
    for signal in signals:
        if signal.arrival is Word.LACKING:
            yield (
                Severity.FAULT,
                signal.about,
                f"{signal.name}: {signal.why}.",
                "Check zone, code and account at the panel and the centre, then send it again.",
            )


def remedy(ctx: Context, link: Link) -> str:
    """What a technician can do about a link that lacks."""
    match link.kind:
        case LinkKind.RADIO if not _share_a_family(ctx, link):
            return (
                f"Choose a part for {named(ctx, link.start)} that {named(ctx, link.end)} hears, or "
                "another receiver; then assess again."
            )
        case LinkKind.RADIO:
            return (
                f"Move {named(ctx, link.start)} or {named(ctx, link.end)}, hang a repeater where "
                "both are heard, or choose a part with more power or a wired one; then assess "
                "again."
            )
        case LinkKind.MOBILE:
            return link.missing or (
                "Read other spots and networks, use an antenna outside or higher up, or choose a "
                "communicator for a stronger network; then assess again."
            )
        case LinkKind.STANDBY:
            return link.missing
        case LinkKind.SUPPLY:
            return supply_remedy(ctx)
        case LinkKind.REPORTING:
            return "See the working of this link."


def _share_a_family(ctx: Context, link: Link) -> bool:
    """Whether a receiver hears the radio family of a sender at all, wherever they hang."""
    ends = things(ctx.site)
    sent, heard = (radios_of(ctx, ends[i]) for i in (link.start, link.end))
    return common_radio(sent, heard) is not None


def _gaps(ctx: Context, links: Mapping[str, Link], signals: list[Signal]) -> Iterator[_Draft]:
    later = []
    needed = {i for s in signals for i in in_use(s.path, links)}
    for link in links.values():
        if link.word is not Word.UNDECIDED or link.id not in needed:
            continue
        if link.reason is Reason.INPUT:
            yield Severity.GAP, link.start, f"{called(ctx, link)}: {link.why}.", ask_for(ctx, link)
        elif link.reason is Reason.LIMIT:
            yield (
                Severity.GAP,
                "profile",
                f"{called(ctx, link)}: {link.why}.",
                _open_limit(ctx, link),
            )
        else:
            later.append(called(ctx, link))
    if later:
        yield (
            Severity.GAP,
            "site",
            f"Not worked out by this version of Pathproof: {', '.join(later)}.",
            "Work them out by hand and keep the sheet with the job.",
        )


def _open_limit(ctx: Context, link: Link) -> str:
    """What to do about a limit that leaves a link open."""
    if link.kind is LinkKind.SUPPLY:
        return supply_ask(ctx)
    if link.kind is LinkKind.STANDBY:
        return link.missing
    return "Look the limit up in your own copy and confirm it: pathproof profile confirm."


def ask_for(ctx: Context, link: Link) -> str:
    """What to supply for a link that lacks an input."""
    match link.kind:
        case LinkKind.RADIO:
            return (
                f"Place {named(ctx, link.start)} and {named(ctx, link.end)} on the plan, or give "
                "distance, walls and floors between."
            )
        case LinkKind.MOBILE:
            if not ctx.site.communicators:
                return "Choose a communicator, its card (SIM) and the spot of its antenna."
            return link.missing or _ask_for_levels(ctx, link)
        case LinkKind.REPORTING:
            return "Give interval, misses and time-out as agreed with the centre."
        case LinkKind.SUPPLY:
            return supply_ask(ctx)
        case LinkKind.STANDBY:
            return link.missing


def _ask_for_levels(ctx: Context, link: Link) -> str:
    """What to tell of a communicator before its mobile link can be judged, and what to read."""
    communicator = next(c for c in ctx.site.communicators if c.id == link.start)
    tell = []
    if communicator.sim is None:
        tell.append("which card (SIM) it has")
    elif not allowed_networks(ctx.site, communicator):
        tell.append("which networks its card (SIM) may use")
    if communicator.spot is None:
        tell.append("where its antenna is")
    first = f"Say {' and '.join(tell)}, and read" if tell else "Read"
    return (
        f"{first} the level there on each network that the card may use, with network and "
        "technology named."
    )


def _voided(ctx: Context) -> Iterator[_Draft]:
    for entry, name in ctx.voided:
        yield (
            Severity.ADVICE,
            ", ".join(entry.about) or name,
            f"Entry {entry.id} ({entry.kind}, {entry.at:%Y-%m-%d}) no longer speaks for {name}: "
            f"something it was true for has changed since.{currents_now(ctx, entry, name)}",
            "Do this test again.",
        )


def _unheard(ctx: Context) -> Iterator[_Draft]:
    """Walk tests that cannot prove because something about them was not recorded."""
    for entry in ctx.entries:
        if not isinstance(entry, WalkEntry) or entry.values.received < entry.values.due:
            continue
        missing = [
            text
            for text, told in (
                ("lid shut", entry.conditions.lid_shut),
                ("final place", entry.conditions.final_place),
                ("what it fits", bool(entry.fits)),
            )
            if not told
        ]
        if missing:
            yield (
                Severity.ADVICE,
                ", ".join(entry.about),
                f"Walk test {entry.id} proves nothing: it does not say {' and '.join(missing)}.",
                "Repeat it with the lid shut and in the final place, recorded with "
                "pathproof record add.",
            )


def _carried(ctx: Context, links: Mapping[str, Link]) -> Iterator[_Draft]:
    """Walk tests that prove a direct way which the calculation has lacking, beside a repeater."""
    walked = {name for e in ctx.entries if isinstance(e, WalkEntry) for name in e.fits}
    for link in links.values():
        if link.word is not Word.PROVEN or link.end != PANEL_ID or link.id not in walked:
            continue
        calculated = [x.value for x in link.working if x.label == MARGIN_LABEL]
        lacking = any(isinstance(x, float) and x < 0 for x in calculated)
        if lacking and len(radio_ways(ctx.job, link.start)) > 1:
            yield (
                Severity.ADVICE,
                link.start,
                f"{called(ctx, link)} is proven by a walk test, but the calculation has it "
                "lacking, and a repeater hears the device too: it may have carried the messages.",
                "Repeat the test with the repeater off, or record it as heard by the repeater.",
            )


def _unknown_steps(ctx: Context) -> Iterator[_Draft]:
    for entry in ctx.entries:
        if not isinstance(entry, LevelEntry):
            continue
        receiver = things(ctx.site).get(entry.values.via)
        part = None if receiver is None else ctx.job.part(receiver.part)
        scale = part.scale if isinstance(part, PanelPart) else None
        known = {s.name.casefold() for s in scale.steps} if scale else set()
        strange = [s for s in dict.fromkeys(entry.values.steps) if s.casefold() not in known]
        if strange and not entry.values.levels:
            yield (
                Severity.ADVICE,
                ", ".join(entry.about),
                f"Entry {entry.id} holds {', '.join(strange)}, which the scale of "
                f"{entry.values.via} does not know, so the entry says nothing.",
                "Read it again, or correct the entry.",
            )


def unconfirmed(ctx: Context) -> Iterator[_Draft]:
    names = [name for name, limit in ctx.limits.items() if not limit.usable]
    if names:
        yield (
            Severity.GAP,
            "profile",
            f"Limits of profile {ctx.profile.id} that are from memory and not confirmed, so that "
            f"neither calculation nor evidence can rest on them: {', '.join(names)}.",
            "Look each one up in your own copy and confirm it: pathproof profile confirm.",
        )


def _confirmations(ctx: Context) -> Iterator[_Draft]:
    for entry in ctx.entries:
        if not isinstance(entry, ConfirmEntry) or entry.values.profile != ctx.profile.id:
            continue
        values = entry.values
        limit = next((x for n, x in ctx.limits.items() if n == values.limit), None)
        if limit is None or limit.value != values.value:
            known = "no such limit" if limit is None else f"{limit.value:g} {limit.unit}".strip()
            yield (
                Severity.ADVICE,
                "profile",
                f"{entry.by} found {values.value:g} for {values.limit} in {values.document} "
                f"({values.edition}); the profile has {known}, so it stays unconfirmed.",
                "Use a profile with the right figure.",
            )


def _readings(ctx: Context) -> Iterator[_Draft]:
    limit = ctx.limits.get(LimitName.LTE_WARN_RSRQ_DB)
    if limit is None:
        return
    for entry in ctx.entries:
        if not isinstance(entry, ReadingEntry):
            continue
        read = [
            x.value
            for _, levels in moments(entry)
            for x in levels
            if x.quantity is Quantity.RSRQ_DB
        ]
        if read and median(read) < limit.value:
            of_many = f" (middle of {len(read)} readings)" if len(read) > 1 else ""
            yield (
                Severity.ADVICE,
                ", ".join(entry.about),
                f"Entry {entry.id}: RSRQ {median(read):g} dB{of_many} is below {limit.value:g} dB: "
                "the cell is loaded or disturbed, whatever the level.",
                "Read again at another hour, and compare networks.",
            )


def _identifiers(ctx: Context) -> Iterator[_Draft]:
    for communicator in ctx.site.communicators:
        iccid = communicator.sim.iccid if communicator.sim else None
        if iccid is not None and not (iccid.startswith("89") and luhn.is_valid(iccid)):
            yield (
                Severity.ADVICE,
                communicator.id,
                f"The card number {iccid} does not start with 89 or its check digit does not fit; "
                "some issuers leave it out.",
                "Compare it with the card once more.",
            )


def _build_ups(ctx: Context, ways: Mapping[str, Way]) -> Iterator[_Draft]:
    hits = [h for way in ways.values() for h in way.hits]
    guessed = Counter(h.construction.name for h in hits if h.construction.guessed)
    if guessed:
        named = ", ".join(f"{name} ({n})" for name, n in guessed.most_common(6))
        yield (
            Severity.ADVICE,
            "site",
            f"Build-ups on the way that are guessed, with the number of crossings: {named}.",
            "Look at these walls and enter their layers; the spread then gets narrower.",
        )
    if any(h.extrapolated for h in hits):
        yield (
            Severity.ADVICE,
            "site",
            "Below 1 GHz the material constants of Rec. ITU-R P.2040 are extrapolated; the larger "
            "of two bounds is used.",
            "Nothing; a level heard in place replaces the estimate.",
        )


def _distances(ctx: Context, ways: Mapping[str, Way]) -> Iterator[_Draft]:
    far = [f"{i} ({w.distance_m:g} m)" for i, w in ways.items() if w.distance_m > FAR_M]
    if far:
        yield (
            Severity.ADVICE,
            "site",
            f"Further apart than alarm radios usually hang: {', '.join(far)}.",
            "Make sure that these distances are in metres.",
        )


def _on_walls(ctx: Context) -> Iterator[_Draft]:
    """Things drawn on the middle of a wall: which side counts is then a matter of chance."""
    lines: dict[str, list[LineString]] = defaultdict(list)
    for wall in ctx.site.walls:
        lines[wall.floor].append(LineString([wall.start, wall.end]))
    trees = {floor: STRtree(on_floor) for floor, on_floor in lines.items()}
    there = [
        thing_id
        for thing_id, thing in things(ctx.site).items()
        if thing.at is not None
        and thing.floor in trees
        and trees[thing.floor].query(Point(thing.at), "dwithin", distance=ON_WALL_M).size
    ]
    if there:
        yield (
            Severity.ADVICE,
            ", ".join(there),
            "These stand on the middle of a wall, so that it cannot be told on which side of it "
            "they are.",
            "Place each on the face of the wall where it hangs.",
        )


def _cards(ctx: Context) -> Iterator[_Draft]:
    for communicator in ctx.site.communicators:
        sim = communicator.sim
        if sim is not None and sim.kind is SimKind.FIXED and len(sim.networks) > 1:
            yield (
                Severity.ADVICE,
                communicator.id,
                f"A fixed card uses one network; of {', '.join(sim.networks)} only the first is "
                "looked at.",
                "Leave the others out, or say that the card roams.",
            )


def ending(ctx: Context) -> Iterator[_Draft]:
    """Communicators that have lost their last network or service, or will while they serve."""
    for outlook in outlooks(ctx.job, ctx.as_of):
        if outlook.fate in (Fate.GONE, Fate.ENDING, Fate.ENDS):
            what = "; ".join(
                f"{p.name} {p.why} ({p.row.source.ref}, {p.row.source.evidence})"
                for p in outlook.decides
                if p.row
            )
            yield (
                Severity.GAP if outlook.from_memory else Severity.FAULT,
                outlook.communicator,
                f"{_served(ctx, outlook)}, {outlook.why}: {what}.",
                _what_to_do(outlook),
            )


def _what_to_do(outlook: Outlook) -> str:
    """To ask first what is not certain, to choose another one otherwise."""
    ask = (
        "Ask the operator or dealer in writing, and put the answer into a retirements file of "
        "your own."
    )
    choose = (
        "Choose a communicator and card with a network and a service that last longer "
        "(pathproof retirements shows what is known)."
    )
    if outlook.from_memory:
        return ask
    return f"{ask} {choose}" if outlook.fate is Fate.ENDING else choose


def _served(ctx: Context, outlook: Outlook) -> str:
    if outlook.fate is not Fate.ENDS:
        return f"Communicator {outlook.communicator} as of {ctx.as_of.date()}"
    return f"Communicator {outlook.communicator} is to serve until {outlook.serves_until}"


def _overrides(ctx: Context) -> Iterator[_Draft]:
    for entry in ctx.entries:
        if not isinstance(entry, OverrideEntry):
            continue
        until = entry.values.until
        if until is None or until >= ctx.as_of.date():
            ends = "" if until is None else f" until {until.isoformat()}"
            yield (
                Severity.ADVICE,
                entry.values.link,
                f"{entry.by} accepts {entry.values.link} as it is{ends}: {entry.values.reason}. "
                "This changes no result.",
                "Tell the customer in writing what does not reach the centre, and mend it.",
            )
