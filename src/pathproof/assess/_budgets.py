"""What the way between two things may lose, asked of the radio link itself.

Nothing of a link's budget depends on what stands in the way, except the spread, which is wider
where a build-up on it is not known. So each pair of kinds is asked once, side by side with no wall
between, with all build-ups known and without; `assess.radio` stays the one place that knows
about radiated power, allowances, the way back and spreads.
"""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar

from pydantic import BaseModel

from pathproof.assess.context import Context
from pathproof.assess.radio import common_radio, radio_link, radios_of
from pathproof.assess.way import NEAREST_M, WallLosses
from pathproof.calc.radio import margin_for_odds_db
from pathproof.job import PANEL_ID, Between, Device, Floor, Job, Panel, Profile, Repeater, Wall
from pathproof.terms import LimitName, Reason

Sender = Device | Repeater
Receiver = Repeater | Panel
_Thing = TypeVar("_Thing", bound=BaseModel)
_Key = tuple[object, ...]
_PROBE = "(probe)"
"""Id of the sender that is asked about; no id of a job holds brackets."""
_ASIDE = Wall(id="aside", floor="here", start=(100.0, 0.0), end=(100.0, 1.0), construction="none")
"""Far from the pair: on a storey without any wall nothing is known."""


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """What a way may lose so that the odds asked for are just met, and the margin's spread."""

    loss_db: float
    spread_db: float


@dataclass(frozen=True, kw_only=True)
class PairBudget:
    """What the way from one thing to another may lose."""

    frequency_hz: float
    known: Allowed
    """With every build-up on the way known."""
    unknown: Allowed
    """With one that is not."""

    def on_bare_storey(self) -> "PairBudget":
        """The budget where an end stands on a storey without walls: nothing is known there."""
        return replace(self, known=self.unknown)


class Budgets:
    """Budgets of pairs of things by what they are and how they hang, each asked for once."""

    def __init__(self, job: Job, as_of: datetime, profile: Profile | None) -> None:
        here = Floor(id="here", name="here", elevation_m=0.0, height_m=2.0)
        empty = {"floors": [here], "devices": [], "repeaters": [], "panel": None}
        confirmed = [e for e in job.record if e.kind == "confirm"]
        site = job.site.model_copy(update={**empty, "walls": [_ASIDE]})
        self._job = job.model_copy(update={"site": site, "record": confirmed})
        self._as_of, self._profile = as_of, profile
        ctx = Context(self._job, as_of, profile, leave_out_later=True)
        self._limits = ctx.limits
        self.all_ways_needed = ctx.profile.all_paths
        self.kept_back_ratio = margin_for_odds_db(ctx.value(LimitName.RADIO_ODDS_RATIO), 1.0)
        """Decibels kept back for fading, for each of spread."""
        self._known: dict[_Key, PairBudget | None] = {}
        self._unconfirmed: dict[_Key, str] = {}

    def judge_like(self, other: "Budgets") -> bool:
        """Whether both go by the same limits."""
        return (self._limits, self.all_ways_needed) == (other._limits, other.all_ways_needed)

    def of(self, sender: Sender, receiver: Receiver) -> PairBudget | None:
        """The budget of a pair.

        None where they share no radio family, a figure is missing, or a limit is `unconfirmed`.
        """
        key = _pair(sender, receiver)
        if key not in self._known:
            self._known[key] = self._ask(sender, receiver)
        return self._known[key]

    def unconfirmed(self, sender: Sender, receiver: Receiver) -> str | None:
        """Names limits that nobody confirmed, where a pair has no budget for that reason."""
        return self._unconfirmed.get(_pair(sender, receiver))

    def _ask(self, sender: Sender, receiver: Receiver) -> PairBudget | None:
        known = self._beside(sender, receiver, on_plan=True)
        unknown = self._beside(sender, receiver, on_plan=False)
        if known is None or unknown is None:
            return None
        return PairBudget(frequency_hz=known[0], known=known[1], unknown=unknown[1])

    def _beside(
        self, sender: Sender, receiver: Receiver, *, on_plan: bool
    ) -> tuple[float, Allowed] | None:
        """Frequency, and margin plus loss, of the sender right beside its receiver."""
        heard_by = PANEL_ID if isinstance(receiver, Panel) else receiver.id
        probe = _hung(sender, on_plan=on_plan).model_copy(update={"id": _PROBE})
        if not on_plan:
            beside = Between(distance_m=NEAREST_M)
            probe = probe.model_copy(update={"between": beside})
            if isinstance(probe, Device):
                probe = probe.model_copy(update={"between_repeaters": {heard_by: beside}})
        ends = [probe, _hung(receiver, on_plan=True)]
        there = {
            "devices": [x for x in ends if isinstance(x, Device)],
            "repeaters": [x for x in ends if isinstance(x, Repeater)],
            "panel": next((x for x in ends if isinstance(x, Panel)), None),
        }
        site = self._job.site.model_copy(update=there)
        job = self._job.model_copy(update={"site": site})
        ctx = Context(job, self._as_of, self._profile, leave_out_later=True)
        pair = common_radio(radios_of(ctx, sender), radios_of(ctx, receiver))
        found = radio_link(ctx, WallLosses(), probe.id, heard_by)
        link, way = found.link, found.way
        if link.reason is Reason.LIMIT:
            self._unconfirmed[_pair(sender, receiver)] = confirm_first(link.why)
        if pair is None or way is None or link.margin is None or link.scale is None:
            return None
        allowed = Allowed(loss_db=link.margin.value + way.loss_db, spread_db=link.scale)
        return pair[0].frequency_hz, allowed


def confirm_first(why: str) -> str:
    """What to do about limits that nobody confirmed."""
    return f"{why}; see pathproof profile confirm"


def _pair(sender: Sender, receiver: Receiver) -> _Key:
    return _kind(sender), _kind(receiver)


def _kind(thing: Device | Repeater | Panel) -> _Key:
    """All of a thing that its budget rests on, beside its part's figures."""
    carried = isinstance(thing, Device) and thing.carried
    noisy = isinstance(thing, Panel) and thing.near_electronics
    return type(thing), thing.part, thing.mounting, carried, noisy


def _hung(thing: _Thing, *, on_plan: bool) -> _Thing:
    """The thing on the probing site's plan, or nowhere."""
    place = {"floor": "here", "at": (0.0, 0.0)} if on_plan else {"floor": None, "at": None}
    return thing.model_copy(update={**place, "height_m": 1.0})
