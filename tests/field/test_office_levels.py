"""Levels between readings on real ones: an office, 2.4 GHz, transmitters at known places.

Figures of the plan fact sheet on kernels, section 3, for "plain kriging, nothing tuned": 7.6 dB and
74 % with 8 readings of each transmitter on its own storey, 6.2 dB and 78 % with 20, chosen by
chance; the others, levels above -90 dBm, are predicted. Several at one place are averaged here.
Figures marked as pins are computed here and only guard against a change.
"""

import csv
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from pathproof.calc.radio.interpolation import interpolated_levels

FLOOR_DBM = -90.0
NOTHING_HEARD = 100.0
REPEATS = 3
NOMINAL_90 = 1.6449  # half width of a central 90 % interval, standard normal table
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Heard:
    """One transmitter as read on its own storey."""

    at_m: Array
    level_dbm: Array
    distance_db: Array
    """10 log10 of the distance, the transmitter 2 m above the reader."""


@pytest.fixture(scope="module")
def heard(field_data: Path) -> list[Heard]:
    folder = field_data / "measurements"
    rows = [*_rows(folder / "office_hall_training.csv"), *_rows(folder / "office_hall_testing.csv")]
    found = [_heard(t, rows) for t in _rows(folder / "office_hall_transmitters.csv")]
    return [h for h in found if len(h.level_dbm) >= 30]


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _heard(transmitter: dict[str, str], rows: list[dict[str, str]]) -> Heard:
    by_place: dict[tuple[float, float], list[float]] = defaultdict(list)
    for row in rows:
        level_dbm = float(row[transmitter["Attribute_2.4"]])
        if row["FloorID"] == transmitter["FloorID"] and level_dbm != NOTHING_HEARD:
            by_place[float(row["ECoord"]), float(row["NCoord"])].append(level_dbm)
    means = {p: float(np.mean(x)) for p, x in by_place.items() if np.mean(x) > FLOOR_DBM}
    at = np.array(list(means)).reshape(-1, 2)
    away = np.hypot(*(at - [float(transmitter["ECoord"]), float(transmitter["NCoord"])]).T)
    return Heard(at, np.array(list(means.values())), 10.0 * np.log10(np.hypot(away, 2.0)))


def _errors(heard: list[Heard], count: int, exponent: float) -> tuple[float, float, float]:
    """RMSE, share within the nominal 90 % interval, and RMSE of the readings' mean alone."""
    chance = np.random.default_rng(11)
    errors, scaled, plain = [], [], []
    for h in heard:
        rest = h.level_dbm + exponent * h.distance_db
        for chosen, others in _choices(chance, len(rest), count):
            found = interpolated_levels(h.at_m[chosen], rest[chosen], h.at_m[others])
            errors.append(rest[others] - found.level_dbm)
            scaled.append(errors[-1] / found.spread_db)
            plain.append(rest[others] - rest[chosen].mean())
    inside = np.abs(np.concatenate(scaled)) < NOMINAL_90
    return _rms(errors), float(inside.mean()), _rms(plain)


def _choices(
    chance: np.random.Generator, size: int, count: int
) -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    for _ in range(REPEATS):
        order = chance.permutation(size)
        yield order[:count], order[count:]


def _rms(parts: list[Array]) -> float:
    return float(np.sqrt(np.mean(np.concatenate(parts) ** 2)))


def test_most_of_the_transmitters_can_be_used(heard: list[Heard]) -> None:
    # 26 transmitters, section 3
    assert 20 <= len(heard) <= 26


# The sheet does not say which readings it drew, nor whether a distance term was taken out; its
# figures are met with one taken out, exponents of 2 to 3.5 and 0 to 2 m of height moving the error
# by 0.3 dB and the share by 0.03, and not without one (below).
@pytest.mark.parametrize(("count", "rmse_db", "share"), [(8, 7.6, 0.74), (20, 6.2, 0.78)])
def test_distance_taken_out_the_error_is_that_of_the_sheet(
    heard: list[Heard], count: int, rmse_db: float, share: float
) -> None:
    found_db, found_share, offset_db = _errors(heard, count, exponent=3.0)
    assert found_db == pytest.approx(rmse_db, abs=0.4)
    assert found_share == pytest.approx(share, abs=0.04)
    if count == 8:  # "one offset"
        assert offset_db == pytest.approx(9.4, abs=0.4)


def test_nothing_known_of_the_transmitter_the_readings_still_halve_the_variance(
    heard: list[Heard],
) -> None:
    found_db, found_share, mean_db = _errors(heard, 8, exponent=0.0)
    assert found_db**2 < 0.5 * mean_db**2
    # Pins, computed here: what the docstring and the map's note warn of.
    assert found_db == pytest.approx(10.0, abs=0.7)
    assert found_share == pytest.approx(0.63, abs=0.05)
