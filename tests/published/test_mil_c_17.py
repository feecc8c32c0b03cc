"""Feeder loss against handbook values.

Form of the attenuation tables of MIL-C-17, K1 sqrt(f) + K2 f; nominal dB/100 m of RG-174, RG-58C
and RG-213 class cables, restated; the values at 1800 MHz and above are extrapolated from the same
fit, so they test the formula, not the cable. Printed to one decimal, factors to four digits.
"""

import pytest

from pathproof.calc.radio import COAX_TYPES, coax_loss, feeder_loss_db
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


# The same fit at all the frequencies printed, through the classes that ship. "Extrapolated" as
# printed beside the values: all above 1000 MHz.
NOMINAL = {
    "rg174": {400: 62.3, 700: 88.5, 900: 104.1, 1800: 166.0, 2100: 184.9, 2600: 215.1},
    "rg58": {400: 37.9, 700: 55.1, 900: 65.5, 1800: 107.8, 2100: 121.0, 2600: 142.2},
    "rg213": {400: 14.4, 700: 20.7, 900: 24.4, 1800: 39.6, 2100: 44.3, 2600: 51.8},
}


@pytest.mark.parametrize("cable", NOMINAL)
def test_classes_of_cable(cable: str) -> None:
    assert set(COAX_TYPES) == set(NOMINAL)
    for f_mhz, loss_db in NOMINAL[cable].items():
        loss = coax_loss(COAX_TYPES[cable], f_mhz * 1e6, 100.0)
        assert loss.loss_db == pytest.approx(loss_db, abs=0.06)
        assert loss.extrapolated == (f_mhz > 1000)


# Attenuation in public tables, dB/100 m, one decimal: each class's range holds what was seen of it.
@pytest.mark.parametrize(
    ("cable", "f_mhz", "seen_db"),
    [
        ("rg58", 450, 34.8),
        ("rg58", 450, 35.5),
        ("rg58", 450, 38.5),
        ("rg58", 850, 58.2),
        ("rg213", 450, 16.3),
        ("rg213", 450, 16.7),
        ("rg213", 850, 24.7),
        ("rg174", 1000, 98.0),
        ("rg174", 1000, 154.0),
    ],
)
def test_range_of_a_class_holds_the_tables_seen(cable: str, f_mhz: float, seen_db: float) -> None:
    loss = coax_loss(COAX_TYPES[cable], f_mhz * 1e6, 100.0)
    assert loss.low_db - 0.05 <= seen_db <= loss.high_db + 0.05


# MIL-C-17G, greatest attenuation at 1 GHz, restated: 28 and 9 dB per 100 ft; 100 m is 3.2808 of it.
@pytest.mark.parametrize(("cable", "most_db_per_100ft"), [("rg58", 28.0), ("rg213", 9.0)])
def test_nominal_loss_is_below_the_specification(cable: str, most_db_per_100ft: float) -> None:
    loss = coax_loss(COAX_TYPES[cable], 1e9, 100.0)
    assert loss.loss_db <= most_db_per_100ft * 3.2808
    assert not loss.extrapolated
