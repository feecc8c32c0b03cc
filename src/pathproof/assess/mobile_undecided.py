"""Why the readings of a mobile link leave it undecided, in words."""

from pathproof.assess.antenna import unfit
from pathproof.assess.mobile_expected import unsaid_technologies
from pathproof.assess.mobile_heard import Heard
from pathproof.assess.mobile_levels import moments, network_at
from pathproof.assess.mobile_readings import (
    oldest,
    step_of,
    steps_text,
    too_old_text,
    untold_text,
    young,
)
from pathproof.assess.wording import technology_text
from pathproof.job.record import ReadingEntry
from pathproof.terms import Quantity

__all__ = ["unlisted", "why_nothing_counts", "why_nothing_is_read"]


def why_nothing_is_read(heard: Heard) -> str:
    """That no level is on record, or none that is young enough."""
    too_old = [
        e.at
        for e in heard.ctx.entries
        if isinstance(e, ReadingEntry) and e.at < oldest(heard.ctx) and heard.is_relevant(e)
    ]
    if not too_old:
        nothing = f"no level is on record for {heard.place()}"
        spot = heard.communicator.spot
        if any(heard.is_unnamed(e) for e in young(heard.ctx) if spot in e.about):
            return f"{nothing} that says whose final antenna it was read with"
        return nothing
    why = too_old_text(heard.ctx, max(too_old))
    return f"what was read for {heard.place()} is {why}; read again"


def why_nothing_counts(heard: Heard) -> str:
    """Why no level is of a network and technology that the communicator uses."""
    speaks = ", ".join(technology_text(t) for t in heard.module.technologies)
    quantities = {x.quantity for e in heard.readings for _, y in moments(e) for x in y}
    steps = [step for e in heard.readings if (step := step_of(e)) is not None]
    if not quantities and steps:
        return steps_text(steps[-1])
    if not quantities and not _in_vain(heard):
        return "what was read holds no level"
    if all(heard.network(e) is None for e in heard.readings):
        return "the reading does not say which network it is of"
    if quantities and quantities <= {Quantity.RSSI_DBM, Quantity.BER_PERCENT}:
        return f"RSSI alone does not grade {speaks}; read RSRP (+CESQ)"
    return (
        _untold(heard)
        or _unsaid(heard)
        or _in_vain(heard)
        or _unfit(heard)
        or f"nothing read is of a network and technology that it uses ({speaks})"
    )


def _in_vain(heard: Heard) -> str:
    """That a network was looked for in vain, and in what it is to be looked for yet."""
    for network in heard.entries:
        read = heard.read(network)
        lost = [technology_text(t) for t, x in read.lost.items() if x and not read.taken.get(t)]
        untried = [technology_text(t) for t in heard.untried(network, read)]
        if lost and untried:
            return (
                f"{network} was looked for in {' and '.join(lost)} and not heard; read it in "
                f"{' or '.join(untried)}"
            )
    return ""


def _untold(heard: Heard) -> str:
    """That a reading may be of several technologies of its network."""
    for network, entries in heard.entries.items():
        here = network_at(heard.ctx.site, network)
        told = [untold_text(e, here) for e in entries]
        if any(told):
            return f"{network}: {max(told)}"
    return ""


def _unsaid(heard: Heard) -> str:
    """That the site does not say whether a network offers what LTE would stand in for."""
    for network in heard.entries:
        read = heard.read(network)
        asked = unsaid_technologies(heard.ctx, heard.module, network, read)
        if asked:
            said = " or ".join(technology_text(t) for t in asked)
            return (
                f"LTE was read, and it is not said whether {network} offers {said} here; ask "
                "the operator and list its technologies, or read the technology itself"
            )
    return ""


def _unfit(heard: Heard) -> str:
    """Why the antenna makes nothing of what was read."""
    taken = [t for n in heard.entries for of in heard.read(n).taken.values() for t in of]
    for one in taken:
        why = unfit(heard.run, one.band, heard.ctx)
        if why is not None and one.technology in heard.module.technologies:
            return why
    return ""


def unlisted(heard: Heard) -> str:
    """That no network of the card is known to offer what the module speaks; empty if one is."""
    speaks = ", ".join(technology_text(t) for t in heard.module.technologies)
    listed = [n for n in heard.ctx.site.networks if n.mcc_mnc in heard.allowed]
    offered = {t for n in listed for t in n.technologies}
    silent = len(listed) < len(heard.allowed) or not all(n.technologies for n in listed)
    if silent or offered & set(heard.module.technologies):
        return ""
    codes = " and ".join(n.mcc_mnc for n in listed)
    they = "is" if len(listed) == 1 else "are"
    return (
        f"{codes} {they} not known to offer {speaks}, which is all that the module speaks: "
        "list it in the site's networks if it is offered there, or take another module"
    )
