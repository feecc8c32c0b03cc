"""What explains that a network is stronger at one spot than at another: building entry loss.

For explaining only: levels that were read decide, and nothing here changes a word or an order.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pathproof.assess.mobile_levels import bare_band
from pathproof.assess.spot_contest import Group, compared, decibels_text, middle_db, spot_called
from pathproof.assess.spot_readings import SpotReading
from pathproof.assess.spot_report import Difference
from pathproof.assess.wording import technology_text
from pathproof.calc.mobile import Better, Interval
from pathproof.calc.radio import (
    P2109_EDITION,
    BuildingType,
    MobileBand,
    band_of,
    building_entry_loss_db,
    share_losing_less_ratio,
)
from pathproof.calc.radio.sources import P2109
from pathproof.job import Spot
from pathproof.terms import AntennaPlace, InvalidInputError, Quantity, Technology

__all__ = ["differences_of"]

_RARE_RATIO = 0.1
"""How seldom an ordinary building should be called unusual, about. [ratio]"""
_Kind = tuple[Technology, Quantity]


@dataclass(frozen=True, kw_only=True)
class _Pair:
    """The best and the worst of the spots where a network was read in one band."""

    best: Spot
    worst: Spot
    best_name: str
    worst_name: str
    spots: int
    inside: int
    """How many of them are not outside."""
    technology: Technology
    band: MobileBand
    difference_db: Interval

    @property
    def head(self) -> str:
        """What is explained, such as "23 dB between Landing and Cellar (LTE, band 20)"."""
        of = f", the best and the worst of {self.spots} spots" if self.spots > 2 else ""
        where = f"{technology_text(self.technology)}, band {self.band.number}"
        return (
            f"{decibels_text(self.difference_db)} between {self.best_name} and {self.worst_name} "
            f"({where}{of})"
        )

    @property
    def by(self) -> str:
        """What the figures stand on."""
        return f"{P2109_EDITION} at {self.band.downlink_centre_hz / 1e6:g} MHz"


def differences_of(
    groups: Mapping[str, Mapping[_Kind, Group]],
    spots: Mapping[str, Spot],
    reading_spread_db: float,
) -> tuple[tuple[Difference, ...], tuple[str, ...]]:
    """Best and worst spot of a network in each technology and band, and what is not explained.

    Parameters
    ----------
    groups : mapping
        What was read of the network, by spot, technology and quantity.
    spots : mapping
        The spots of the site by their ids.
    reading_spread_db : float
        What a single reading leaves open. [dB]

    Returns
    -------
    differences, notes : tuple, tuple
        Differences where one spot is clearly the better one; sentences on what has no explanation.
    """
    explained: list[Difference] = []
    notes: list[str] = []
    for (technology, _, number), at in sorted(_by_band(groups).items()):
        order = sorted(at, key=lambda spot: (-at[spot].shown_dbm, spot))
        comparison = compared(at[order[0]], at[order[-1]], reading_spread_db)
        if len(order) < 2 or comparison.better is not Better.FIRST:
            continue
        best, worst = spot_called(spots, order[0]), spot_called(spots, order[-1])
        band = _known(number)
        if isinstance(band, str):
            notes.append(
                f"What makes {best} better than {worst} "
                f"({technology_text(technology)}) is not explained: {band}."
            )
            continue
        pair = _Pair(
            best=spots[order[0]],
            worst=spots[order[-1]],
            best_name=best,
            worst_name=worst,
            spots=len(order),
            inside=sum(spots[s].place is not AntennaPlace.OUTSIDE for s in order),
            technology=technology,
            band=band,
            difference_db=comparison.difference_db,
        )
        explained.append(_explained(pair))
    return tuple(explained), tuple(notes)


def _by_band(
    groups: Mapping[str, Mapping[_Kind, Group]],
) -> dict[tuple[Technology, Quantity, str], dict[str, Group]]:
    """The same by technology, quantity and number of the band, then by spot."""
    found: dict[tuple[Technology, Quantity, str], dict[str, Group]] = defaultdict(dict)
    for spot, by_kind in groups.items():
        for kind, group in by_kind.items():
            for number, part in _parted(group):
                found[(*kind, number)][spot] = part
    return found


def _parted(group: Group) -> Iterator[tuple[str, Group]]:
    """Readings of a group by the number of their band; empty text where none was named."""
    by_number: dict[str, list[SpotReading]] = defaultdict(list)
    for r in group.readings:
        by_number[bare_band(r.taken.band or "")].append(r)
    for number, readings in by_number.items():
        yield number, group if len(by_number) == 1 else Group(readings)


def _known(number: str) -> MobileBand | str:
    """The band, or why there is none."""
    if not number:
        return "the band was not read"
    try:
        return band_of(number)
    except InvalidInputError:
        return f"the frequencies of band {number} are not on hand"


def _explained(pair: _Pair) -> Difference:
    outside = [s for s in (pair.best, pair.worst) if s.place is AntennaPlace.OUTSIDE]
    span = ""
    if len(outside) == 2:
        unusual, says = False, _both_outside()
    elif outside == [pair.worst]:
        unusual, says = True, _weaker_outside(pair)
    elif outside:
        unusual, says = _on_the_way_in(pair)
    else:
        unusual, says, span = _inside(pair)
    says = f"{pair.head}: {says}."
    return Difference(
        technology=pair.technology,
        band=pair.band.number,
        frequency_hz=pair.band.downlink_centre_hz,
        best=pair.best.id,
        worst=pair.worst.id,
        difference_db=pair.difference_db,
        unusual=unusual,
        text=f"{says} {span}".rstrip(),
        says=says,
        usual=span,
        sources=(P2109, pair.band.source),
    )


def _inside(pair: _Pair) -> tuple[bool, str, str]:
    """Held against the middle of all places that the best and the worst of so many seldom leave."""
    frequency_hz = pair.band.downlink_centre_hz
    left_out_ratio = 2.0 * _RARE_RATIO / pair.inside  # at either end; 0.1 for two spots
    usual_db, efficient_db = (
        building_entry_loss_db(b, frequency_hz, 1.0 - left_out_ratio)
        - building_entry_loss_db(b, frequency_hz, left_out_ratio)
        for b in (BuildingType.TRADITIONAL, BuildingType.THERMALLY_EFFICIENT)
    )
    seen_db = round(middle_db(pair.difference_db))  # to whole decibels, as everything here is told
    unusual = seen_db > round(usual_db)
    places = f"{pair.inside} places inside"
    if not unusual:
        says = f"{places} differ as much anyway"
    else:
        unless = (
            "" if seen_db > round(efficient_db) else ", unless the building is of the second kind"
        )
        says = f"more than {places} commonly differ{unless}; {_look_for(pair)}"
    span = (
        f"{100.0 * (1.0 - 2.0 * left_out_ratio):.3g} % of indoor places span {usual_db:.0f} dB in "
        f"a building of traditional build and {efficient_db:.0f} dB in a thermally efficient one "
        f"({pair.by})."
    )
    return unusual, says, span


def _on_the_way_in(pair: _Pair) -> tuple[bool, str]:
    frequency_hz, lost_db = pair.band.downlink_centre_hz, middle_db(pair.difference_db)
    usual, efficient = BuildingType.TRADITIONAL, BuildingType.THERMALLY_EFFICIENT
    medians = [building_entry_loss_db(b, frequency_hz) for b in (usual, efficient)]
    shares = [share_losing_less_ratio(b, frequency_hz, lost_db) for b in (usual, efficient)]
    unusual = shares[0] ** pair.inside > 1.0 - _RARE_RATIO  # the worst of so many places
    so = f"; {_look_for(pair)}" if unusual else ""
    return unusual, (
        f"on the way in {_share_text(shares[0])} of indoor places lose less in a "
        f"building of traditional build (half of them less than {medians[0]:.0f} dB), and "
        f"{_share_text(shares[1])} in a thermally efficient one ({medians[1]:.0f} dB; {pair.by})"
        f"{so}"
    )


def _look_for(pair: _Pair) -> str:
    return (
        f"look for metal, foil or coated glass near {pair.worst_name}, or for the ground around a "
        "cellar"
    )


def _weaker_outside(pair: _Pair) -> str:
    return (
        "the spot outside is the weaker one, which no loss of a building explains; read both "
        f"again, and see what stands between {pair.worst_name} and the masts"
    )


def _both_outside() -> str:
    return "both are outside, so no loss of a building explains it"


def _share_text(ratio: float) -> str:
    """A share of places; no false digits at either end."""
    if ratio > 0.99:
        return "more than 99 %"
    return "less than 1 %" if ratio < 0.01 else f"{ratio * 100:.0f} %"
