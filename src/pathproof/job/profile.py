"""A profile: the limits and house figures that a site is judged by."""

from datetime import date
from typing import Final, NamedTuple, Self

from pydantic import Field, model_validator

from pathproof.job._model import Id, Label, Model, Source, Text
from pathproof.job._problems import Problems
from pathproof.terms import Evidence, LimitName


class _Range(NamedTuple):
    """What a limit may be. Common practice, no source: wide enough for any site."""

    low: float
    high: float
    unit: str
    whole: bool = False
    within: bool = False
    """Whether the ends themselves are not allowed."""

    def allows(self, value: float) -> bool:
        """Whether a value is in it."""
        inside = self.low <= value <= self.high
        ends = self.within and value in (self.low, self.high)
        return inside and not ends and not (self.whole and value != int(value))

    def __str__(self) -> str:
        if self.within:
            return f"above {self.low:g} and below {self.high:g}"
        whole = "a whole number, " if self.whole else ""
        return f"{whole}{self.low:.12g} to {self.high:.12g} {self.unit}".rstrip()


_COUNT: Final = _Range(1, 1000, "", whole=True)
_BY_NAME: Final = {
    LimitName.RADIO_ODDS_RATIO: _Range(0, 1, "", within=True),
    LimitName.STANDBY_MARGIN_RATIO: _Range(1, 10, ""),
    LimitName.AGEING_RATIO: _Range(0.1, 1, ""),
    LimitName.LTE_WARN_RSRQ_DB: _Range(-50, 50, "dB"),
    LimitName.WALK_MESSAGES: _COUNT,
    LimitName.LEVEL_READINGS: _COUNT,
    LimitName.MOBILE_READINGS: _COUNT,
    LimitName.MOBILE_NETWORKS_ROAMING: _COUNT,
    LimitName.MOBILE_CERTAINTY_RATIO: _Range(0.5, 1, "", within=True),
    LimitName.CELL_EVENTS_PER_DAY: _Range(0, 100_000, ""),
    LimitName.MOBILE_PATHS: _Range(1, 2, "", whole=True),
}
_BY_SUFFIX: Final = {
    "db": _Range(0, 100, "dB"),
    "dbm": _Range(-200, 0, "dBm"),
    "days": _Range(1, 36_500, "days"),
    "h": _Range(0, 8_784, "h"),
    "min": _Range(0, 527_040, "min"),
    "minutes": _Range(0, 527_040, "min"),
    "s": _Range(0, 31_622_400, "s"),
    "v": _Range(0, 100, "V"),
}


def _range(name: LimitName) -> _Range:
    return _BY_NAME.get(name) or _BY_SUFFIX[name.rpartition("_")[2]]


class Confirmation(Model):
    """A person checked a limit in their own copy of the document."""

    by: Label
    """Who."""
    on: date
    """When."""
    document: Label
    """Document."""
    edition: Label
    """Edition of their copy."""


class Limit(Model):
    """One figure with where it comes from."""

    value: float
    """The figure. [unit]"""
    unit: Text
    """Its unit; empty for a ratio or a count."""
    text: Label
    """What it means."""
    source: Source
    """Where it comes from and how sure we are."""
    confirmed: Confirmation | None = None
    """Who checked it, where it is known from memory."""

    @property
    def usable(self) -> bool:
        """Whether a word may rest on it: not from memory, or confirmed by a person."""
        return self.source.evidence is not Evidence.MEMORY or self.confirmed is not None


class Profile(Model):
    """Limits and house figures with their sources."""

    id: Id
    """Stable name of the profile."""
    title: Label
    """What people call it."""
    text: Text
    """What it is for and what it rests on."""
    base: Id | None = None
    """Profile that applies where this one says nothing."""
    all_paths: bool = False
    """True when every alternative path must work, not just the best one."""
    alarm_within_standby: bool = True
    """True when the time in alarm is part of the standby time, false when it comes after it."""
    limits: dict[LimitName, Limit] = Field(default={})
    """Figures by name."""

    @model_validator(mode="after")
    def _limits_make_sense(self) -> Self:
        problems = []
        for name, limit in self.limits.items():
            allowed = _range(name)
            if not allowed.allows(limit.value):
                place = f"limits.{name}.value"
                problems.append((place, f"given {limit.value:.12g}; allowed: {allowed}"))
            if limit.unit != allowed.unit:
                place = f"limits.{name}.unit"
                unit = f'"{allowed.unit}"' + (" (nothing, a plain number)" * (not allowed.unit))
                problems.append((place, f'given "{limit.unit}"; allowed: {unit}'))
        if problems:
            raise Problems(problems)
        return self
