"""Materials by P.2040: ranges, shapes, bad input. The table itself is in tests/published."""

import math

import numpy as np
import pytest

from pathproof.calc.radio import P2040_ROWS, BelowRange, is_extrapolated, relative_permittivity
from pathproof.terms import InvalidInputError, Material, OutOfRangeError

EXTRAPOLATE, HOLD = BelowRange.EXTRAPOLATE, BelowRange.HOLD


def conductivity_ratio(material: Material, frequency_hz: float, reference_hz: float) -> float:
    """Held conductivity at one frequency over that at another."""
    held = complex(relative_permittivity(material, frequency_hz, HOLD)).imag * frequency_hz
    return held / (complex(relative_permittivity(material, reference_hz, HOLD)).imag * reference_hz)


def test_every_material_has_a_row() -> None:
    assert set(P2040_ROWS) == set(Material)


def test_shape_follows_the_frequencies() -> None:
    assert type(relative_permittivity(Material.BRICK, 868e6, HOLD)) is complex
    etas = relative_permittivity(Material.GLASS, np.array([[1e9, 300e9], [2e9, 100e6]]), HOLD)
    assert np.shape(etas) == (2, 2)
    assert np.real(etas).tolist() == [[6.31, 5.79], [6.31, 6.31]]


def test_within_its_range_a_row_is_taken_as_it_stands() -> None:
    for material in (Material.CONCRETE, Material.GLASS, Material.WET_GROUND):
        held = relative_permittivity(material, 2.4e9, HOLD)
        assert held == relative_permittivity(material, 2.4e9, EXTRAPOLATE)
        assert not is_extrapolated(material, 2.4e9)


@pytest.mark.parametrize("frequency_hz", [345e6, 868.42e6, 200e9])
def test_held_conductivity_is_that_at_the_end_of_the_range(frequency_hz: float) -> None:
    end_hz = 1e9 if frequency_hz < 1e9 else 100e9
    assert conductivity_ratio(Material.CONCRETE, frequency_hz, end_hz) == pytest.approx(1.0)
    assert is_extrapolated(Material.CONCRETE, frequency_hz)


def test_ends_of_a_range_belong_to_it() -> None:
    assert not is_extrapolated(Material.BRICK, np.array([1e9, 40e9]))
    assert is_extrapolated(Material.BRICK, np.array([0.999e9, 40e9]))


@pytest.mark.parametrize(
    ("frequency_hz", "row", "outside"),
    [(50e6, 0, True), (0.1e9, 0, False), (140e9, 0, True), (160e9, 1, True), (220e9, 1, False)],
)
def test_of_two_rows_the_nearer_one_counts(frequency_hz: float, row: int, outside: bool) -> None:
    eta = complex(relative_permittivity(Material.GLASS, frequency_hz, EXTRAPOLATE))
    assert eta.real == P2040_ROWS[Material.GLASS][row].a
    assert is_extrapolated(Material.GLASS, frequency_hz) is outside


def test_air_is_nothing() -> None:
    assert relative_permittivity(Material.AIR, 868e6, EXTRAPOLATE) == 1.0
    assert not is_extrapolated(Material.AIR, 868e6)


@pytest.mark.parametrize("frequency_hz", [0.5e6, 451e9])
def test_beyond_the_whole_table(frequency_hz: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"covers 1e\+06 to 4\.5e\+11 Hz"):
        relative_permittivity(Material.GLASS, frequency_hz, HOLD)
    with pytest.raises(OutOfRangeError, match=r"P\.2040"):
        is_extrapolated(Material.GLASS, np.array([1e9, frequency_hz]))


@pytest.mark.parametrize("frequency_hz", [0.0, -868e6, math.nan, math.inf])
def test_frequencies_that_make_no_sense(frequency_hz: float) -> None:
    with pytest.raises(InvalidInputError, match="frequency_hz was"):
        relative_permittivity(Material.BRICK, frequency_hz, HOLD)


def test_unknown_material() -> None:
    with pytest.raises(InvalidInputError, match="'straw'; it must be one of air, asphalt"):
        relative_permittivity("straw", 868e6, HOLD)  # type: ignore[arg-type]
