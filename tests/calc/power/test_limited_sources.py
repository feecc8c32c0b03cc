"""Limits of Class 2 sources and of low voltages, all from memory: they make cautions only."""

import pytest

from pathproof.calc.power import VOLTAGE_LIMITS, Class2Supply, class_2_limits
from pathproof.terms import Evidence, InvalidInputError, OutOfRangeError

AC, PROTECTED, DC = Class2Supply


# NEC chapter 9, tables 11(A) and 11(B), from memory: Imax, nameplate VA and A, overcurrent device.
# That 100 VA hold at 30 V or less, and 100/V as the notation, is restated by trade articles.
@pytest.mark.parametrize(
    ("supply", "volts_v", "expected"),
    [
        (AC, 16.5, (8.0, 82.5, 5.0, None)),
        (AC, 20.0, (8.0, 100.0, 5.0, None)),
        (AC, 24.0, (8.0, 100.0, 100 / 24, None)),
        (AC, 120.0, (0.005, 0.6, 0.005, None)),
        (PROTECTED, 16.5, (1000 / 16.5, 82.5, 5.0, 5.0)),
        (PROTECTED, 24.0, (1000 / 24, 100.0, 100 / 24, 100 / 24)),
        (DC, 12.0, (8.0, 60.0, 5.0, None)),
        (DC, 24.0, (8.0, 100.0, 100 / 24, None)),
        (DC, 48.0, (150 / 48, 100.0, 100 / 48, None)),
        (DC, 100.0, (0.005, 0.5, 0.005, None)),
    ],
)
def test_class_2(supply: Class2Supply, volts_v: float, expected: tuple[float | None, ...]) -> None:
    found = class_2_limits(supply, volts_v)
    assert (found.most_a, found.nameplate_va, found.nameplate_a) == pytest.approx(expected[:3])
    assert found.overcurrent_a == (None if expected[3] is None else pytest.approx(expected[3]))


@pytest.mark.parametrize(("supply", "volts_v"), [(AC, 151.0), (PROTECTED, 31.0), (DC, 200.0)])
def test_no_row(supply: Class2Supply, volts_v: float) -> None:
    with pytest.raises(OutOfRangeError, match="volts_v"):
        class_2_limits(supply, volts_v)


@pytest.mark.parametrize("bad", [0.0, -12.0, float("nan"), float("inf")])
def test_no_voltage(bad: float) -> None:
    with pytest.raises(InvalidInputError, match="volts_v"):
        class_2_limits(DC, bad)


# IEC/EN 60950-1 and 62368-1, from memory. Peak over rms of a sine is the root of 2.
def test_voltages() -> None:
    selv, es1, es2 = (VOLTAGE_LIMITS[name] for name in ("SELV", "ES1", "ES2"))
    assert (selv.dc_v, selv.ac_peak_v) == (es1.dc_v, es1.ac_peak_v) == (60.0, 42.4)
    assert es1.ac_rms_v == pytest.approx(42.4 / 2**0.5, abs=0.05)
    assert es2.ac_rms_v == pytest.approx(70.7 / 2**0.5, abs=0.05)
    assert es2.dc_v == 120.0
    assert {x.source.evidence for x in VOLTAGE_LIMITS.values()} == {Evidence.MEMORY}
