"""Feeder loss against handbook values.

Form of the attenuation tables of MIL-C-17, K1 sqrt(f) + K2 f; nominal dB/100 m of RG-174, RG-58C
and RG-213 class cables, restated; the values at 1800 MHz and above are extrapolated from the same
fit, so they test the formula, not the cable. Printed to one decimal, factors to four digits.
"""

import pytest

from pathproof.calc.radio import feeder_loss_db
from pathproof.terms import InvalidInputError

FACTORS = {"RG-174": (2.3991, 0.03568), "RG-58C": (1.3195, 0.02881), "RG-213": (0.5278, 0.00956)}


@pytest.mark.parametrize(
    ("cable", "f_mhz", "loss_db"),
    [
        ("RG-174", 400, 62.3),
        ("RG-174", 900, 104.1),
        ("RG-58C", 400, 37.9),
        ("RG-58C", 900, 65.5),
        ("RG-58C", 1800, 107.8),
        ("RG-213", 700, 20.7),
        ("RG-213", 2600, 51.8),
    ],
)
def test_loss_of_100_m(cable: str, f_mhz: float, loss_db: float) -> None:
    k1, k2 = FACTORS[cable]
    assert feeder_loss_db(k1, k2, f_mhz * 1e6, 100.0) == pytest.approx(loss_db, abs=0.06)


def test_loss_is_proportional_to_length_and_nothing_loses_nothing() -> None:
    assert feeder_loss_db(1.3195, 0.02881, 900e6, 5.0) == pytest.approx(65.5 / 20, abs=0.005)
    assert feeder_loss_db(1.3195, 0.02881, 900e6, 0.0) == 0.0


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(InvalidInputError):
        feeder_loss_db(1.0, 0.01, 900e6, bad)
    with pytest.raises(InvalidInputError):
        feeder_loss_db(1.0, 0.01, bad, 1.0)
