"""Which network wins at which spot, which spot is best for each network, and what explains it."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property, partial

from pathproof.assess.context import Context, cite
from pathproof.assess.mobile_levels import NEEDS
from pathproof.assess.spot_contest import Group, compared, contest, spot_called
from pathproof.assess.spot_differences import differences_of
from pathproof.assess.spot_readings import SpotReading, SpotReadings
from pathproof.assess.spot_report import Contest, LevelRead, NetworkReport, SpotReport
from pathproof.calc.mobile import Comparison, median_bounds, tenth_percentile_bounds
from pathproof.job import Network, Spot
from pathproof.terms import AntennaPlace, LimitName, Quantity, Role, Technology

__all__ = ["SpotSurvey"]

_LEAST_SPREAD_DB = 1e-3
"""Where a profile says that a reading leaves nothing open, the bins decide alone. [dB]"""
_Kind = tuple[Technology, Quantity]


class SpotSurvey:
    """What was read at the spots of a site, by spot, network, technology and quantity.

    Networks are compared within a technology only: a level of one says little of another.
    """

    def __init__(self, ctx: Context) -> None:
        self._ctx = ctx
        self._readings = SpotReadings(ctx)
        self._spots = {s.id: s for s in ctx.site.spots}
        self._groups: dict[tuple[str, str], dict[_Kind, Group]] = {}
        for spot in ctx.site.spots:
            found: dict[tuple[str, _Kind], list[SpotReading]] = defaultdict(list)
            for r in self._readings.at(spot.id):
                found[r.network, (r.taken.technology, r.taken.level.quantity)].append(r)
            for (network, kind), readings in sorted(found.items()):
                lost = self._readings.lost(spot.id, network, kind[0])
                self._groups.setdefault((spot.id, network), {})[kind] = Group(readings, lost)

    @cached_property
    def spots(self) -> tuple[SpotReport, ...]:
        """One report a spot, in the order of the site."""
        return tuple(self._spot_report(s) for s in self._ctx.site.spots)

    @cached_property
    def networks(self) -> tuple[NetworkReport, ...]:
        """One report a network, in the order of the site."""
        return tuple(self._network_report(n) for n in self._ctx.site.networks)

    def at_both(
        self, network: str, first: str, second: str
    ) -> Iterator[tuple[Technology, Comparison]]:
        """A network at two spots compared, in each technology and quantity read at both.

        Only where it was there at the median of both: else there is no level to compare.
        """
        others = _there(self._groups.get((second, network), {}))
        for kind, group in _there(self._groups.get((first, network), {})).items():
            if kind in others:
                yield kind[0], compared(group, others[kind], self._spread_db)

    @property
    def _spread_db(self) -> float:
        """What a single reading leaves open about the level over time. [dB]"""
        told_db = self._ctx.value(LimitName.MOBILE_SPREAD_SINGLE_READING_DB)
        return max(told_db, _LEAST_SPREAD_DB)

    def _spot_report(self, spot: Spot) -> SpotReport:
        codes = [n.mcc_mnc for n in self._ctx.site.networks]
        here = {
            code: self._groups[spot.id, code] for code in codes if (spot.id, code) in self._groups
        }
        moments = self._readings.silent(spot.id)
        silent = {code: moments[code] for code in codes if code in moments}
        not_read = [code for code in codes if code not in here]
        left_out = self._readings.left_out(spot.id)
        steps = self._readings.steps(spot.id)
        return SpotReport(
            spot=spot.id,
            name=spot.name,
            levels=tuple(
                self._level(spot.id, code, kind, group)
                for code, groups in here.items()
                for kind, group in groups.items()
            ),
            contests=self._contests(here, self._network_called),
            not_read=tuple(not_read),
            silent=tuple(silent),
            steps=tuple(steps),
            notes=(
                *([_read_as_steps(steps)] if steps else []),
                *([f"The instrument showed no level of {_listed(silent)}."] if silent else []),
                *([f"Not counted: {'; '.join(left_out)}."] if left_out else []),
            ),
            ask=self._ask(spot, [code for code in not_read if code not in silent]),
        )

    def _network_report(self, network: Network) -> NetworkReport:
        code = network.mcc_mnc
        at = {s: self._groups[s, code] for s in self._spots if (s, code) in self._groups}
        there = {spot: _there(groups) for spot, groups in at.items()}
        explained, notes = differences_of(there, self._spots, self._spread_db) if at else ((), ())
        return NetworkReport(
            network=code,
            label=network.label,
            contests=self._contests(at, partial(spot_called, self._spots)),
            differences=explained,
            notes=notes,
        )

    def _contests(
        self, groups: Mapping[str, Mapping[_Kind, Group]], called: Callable[[str], str]
    ) -> tuple[Contest, ...]:
        """One for each technology and quantity, those with most to compare first."""
        by_kind: dict[_Kind, dict[str, Group]] = defaultdict(dict)
        for name, by in groups.items():
            for kind, group in by.items():
                by_kind[kind][name] = group
        ordered = sorted(by_kind.items(), key=lambda item: (-len(item[1]), item[0]))
        if not ordered:
            return ()
        source = cite(self._ctx.limit(LimitName.MOBILE_SPREAD_SINGLE_READING_DB).source)
        return tuple(
            contest(*kind, named, self._spread_db, called, (source,))
            for kind, named in ordered
            if not all(group.median_lost for group in named.values())
        )

    def _level(self, spot: str, network: str, kind: _Kind, group: Group) -> LevelRead:
        technology, quantity = kind
        limits = [
            self._ctx.limits.get(name)
            for name in (NEEDS[technology][1], LimitName.MOBILE_FADE_MARGIN_DB)
        ]
        told = [limit for limit in limits if limit is not None]
        readings = group.readings
        return LevelRead(
            spot=spot,
            network=network,
            technology=technology,
            quantity=quantity,
            bands=tuple(sorted({r.taken.band for r in readings if r.taken.band is not None})),
            readings=group.moments,
            lost=len(group.lost),
            independent=group.independent,
            first_at=readings[0].taken.at,
            last_at=readings[-1].taken.at,
            instruments=tuple(sorted({r.instrument for r in readings if r.instrument})),
            median_dbm=None if group.median_lost else median_bounds(group.levels),
            tenth_dbm=None if group.tenth_lost else tenth_percentile_bounds(group.levels),
            required_dbm=sum(x.value for x in told) if len(told) == len(limits) else None,
            confirmed=all(x.usable for x in told),
        )

    def _network_called(self, code: str) -> str:
        label = next(n.label for n in self._ctx.site.networks if n.mcc_mnc == code)
        return code if label == code else f"{label} ({code})"

    def _ask(self, spot: Spot, untried: list[str]) -> str:
        if not self._ctx.site.networks:
            return "Add the networks that can be had at the site to the job; then read each here."
        if not untried:
            return ""
        named = ", ".join(self._network_called(code) for code in untried)
        first = not self._groups and spot.id == self._first_to_read
        return f"Read {'here first: ' if first else ''}{named}{'' if first else ' here'}."

    @cached_property
    def _first_to_read(self) -> str:
        """Where the antenna is, or is to be; else in the panel; else the first of the site."""
        communicators = sorted(self._ctx.site.communicators, key=lambda c: c.role is not Role.MAIN)
        at_antennas = [c.spot for c in communicators if c.spot is not None]
        in_panel = [
            s.id
            for s in self._ctx.site.spots
            if s.place is AntennaPlace.IN_PANEL or s.cable_m == 0.0
        ]
        return [*at_antennas, *in_panel, *self._spots][0]


def _there(groups: Mapping[_Kind, Group]) -> dict[_Kind, Group]:
    """Those of a network that was there at the median."""
    return {kind: group for kind, group in groups.items() if not group.median_lost}


def _listed(silent: Mapping[str, tuple[int, int]]) -> str:
    """Networks with the number of moments, such as "001-01 (85 of 211 moments)"."""
    return ", ".join(
        f"{code} ({'once' if of == 1 else f'{n} of {of} moments'})"
        for code, (n, of) in silent.items()
    )


def _read_as_steps(steps: Sequence[str]) -> str:
    shown = ", ".join(dict.fromkeys(steps))
    return f"Read as steps of a scale without levels, which rank nothing: {shown}; read in dBm."
