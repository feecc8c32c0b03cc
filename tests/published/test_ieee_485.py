"""Temperature factors of IEEE 485, from memory; an engineering note restates span and 25 degC."""

import numpy as np
import pytest

from pathproof.calc.power import temperature_factor
from pathproof.terms import InvalidInputError, OutOfRangeError

# The table as it is remembered: degrees Celsius to one decimal, factor. It goes by degrees
# Fahrenheit, so a temperature is off by up to 0.05 K: at most 0.0015 of the factor.
TABLE = [
    (-3.9, 1.520),
    (-1.1, 1.430),
    (1.7, 1.350),
    (4.4, 1.300),
    (7.2, 1.250),
    (10.0, 1.190),
    (12.8, 1.150),
    (15.6, 1.110),
    (18.3, 1.080),
    (21.1, 1.040),
    (23.9, 1.011),
    (25.0, 1.000),
    (26.7, 0.980),
    (29.4, 0.960),
    (32.2, 0.940),
    (35.0, 0.930),
    (37.8, 0.910),
    (40.6, 0.890),
    (43.3, 0.880),
    (46.1, 0.870),
    (48.9, 0.860),
    (51.7, 0.850),
]


@pytest.mark.parametrize(("degc", "factor"), TABLE)
def test_rows(degc: float, factor: float) -> None:
    assert temperature_factor(degc, count_warmth=True) == pytest.approx(factor, abs=0.0016)
    assert temperature_factor(degc) >= 1.0


# Interpolated linearly, as the note does: 0 degC about 1.40 (1.398), 20 degC about 1.06.
def test_between_rows() -> None:
    assert temperature_factor(0.0) == pytest.approx(1.398, abs=5e-4)
    assert temperature_factor(20.0) == pytest.approx(1.06, abs=5e-3)
    by_numpy = np.interp(52.0, [45, 50, 55], [1.25, 1.19, 1.15])
    assert temperature_factor((52.0 - 32.0) / 1.8) == pytest.approx(by_numpy)


def test_warmth_counts_only_where_asked_for() -> None:
    assert temperature_factor(40.0) == 1.0
    assert temperature_factor(40.0, count_warmth=True) < 0.9


@pytest.mark.parametrize("degc", [-4.0, 51.8, -40.0, 70.0])
def test_nothing_outside_the_span(degc: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"temperature_degc .* covers -3\.9 to 51\.7 degC"):
        temperature_factor(degc)


@pytest.mark.parametrize("degc", [float("nan"), float("inf")])
def test_nonsense_is_refused(degc: float) -> None:
    with pytest.raises(InvalidInputError, match="finite"):
        temperature_factor(degc)
