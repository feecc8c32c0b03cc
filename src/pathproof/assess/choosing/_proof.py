"""What to read and watch next, so that a communicator that was taken becomes a proven one."""

from dataclasses import dataclass

from pathproof.assess.alike import listed
from pathproof.assess.choosing._offers import counted, shared
from pathproof.assess.choosing._said import Names
from pathproof.assess.context import Context
from pathproof.assess.mobile import mobile_link
from pathproof.assess.mobile_levels import allowed_networks
from pathproof.assess.mobile_readings import still_fits, young
from pathproof.assess.wording import technology_text
from pathproof.job import Communicator, CommunicatorPart, links
from pathproof.terms import LimitName, SimKind, Technology, Word


@dataclass(frozen=True, kw_only=True)
class Proof:
    """The next step of proof of a communicator's mobile link."""

    text: str
    first: tuple[str, Technology] | None
    """Network and technology of the first watch; none where nothing has to be watched."""


def next_proof(ctx: Context, communicator: Communicator) -> Proof:
    """Which networks to watch at which spot in which technology, how long and how often.

    Parameters
    ----------
    ctx : Context
        The job that holds the communicator, with the moment to judge at.
    communicator : Communicator
        One with a card and a spot.
    """
    watches = _watches(ctx, communicator)
    link = mobile_link(ctx, communicator)
    if link.word is Word.PROVEN:
        return Proof(text="Its mobile link is proven as it hangs.", first=None)
    if not watches:
        return Proof(text="It shares no technology with a network of the site.", first=None)
    names = Names(ctx.job)
    told = [
        f"{names.network(n)} in {listed([*map(technology_text, t)], joint='or')}"
        for n, t in watches.items()
    ]
    where = "" if communicator.spot is None else f" at {names.spot(communicator.spot)}"
    text = f"Watch {', '.join(told)}{where}, {_how(ctx)}{_of_them(ctx, communicator, len(watches))}"
    if link.word is Word.UNDECIDED:
        text += _voided(ctx, communicator)
    network, technologies = next(iter(watches.items()))
    return Proof(text=text, first=(network, technologies[0]))


def _voided(ctx: Context, communicator: Communicator) -> str:
    """That what it read before the change no longer counts for it."""
    name = links.mobile(communicator.id)
    own = [e for e in young(ctx) if communicator.id in e.about and not still_fits(ctx, e, name)]
    if not own:
        return ""
    last = max(e.at for e in own)
    return (
        f" What {communicator.id} read before, last on {last:%Y-%m-%d}, no longer counts for it: "
        "its mobile link is undecided until something is read."
    )


def _watches(ctx: Context, communicator: Communicator) -> dict[str, list[Technology]]:
    part = ctx.job.part(communicator.part)
    here = {n.mcc_mnc: n for n in ctx.site.networks}
    return {
        code: spoken
        for code in allowed_networks(ctx.site, communicator)
        if isinstance(part, CommunicatorPart) and code in here
        if (spoken := shared(part, here[code]))
    }


def _how(ctx: Context) -> str:
    settled = ctx.limits.get(LimitName.MOBILE_SETTLED_MIN)
    after = "" if settled is None else f", from {settled.value:g} minutes after it registered"
    return (
        f"with the module itself, the final antenna and the lid shut{after}: each network for "
        f"{ctx.value(LimitName.MOBILE_MINUTES):g} minutes or more, a reading every ten seconds or "
        f"so, {ctx.value(LimitName.MOBILE_READINGS):g} at the least."
    )


def _of_them(ctx: Context, communicator: Communicator, watched: int) -> str:
    card = communicator.sim
    if card is None or card.kind is SimKind.FIXED:
        return ""
    need = int(ctx.value(LimitName.MOBILE_NETWORKS_ROAMING))
    return f" Its card needs {counted(need)}." if need < watched else ""
