"""Limits of low-power and low-voltage sources, for cautions, never for verdicts. Scalar code.

All of it is from memory: a caution says so and sends the reader to the label of the supply and to
the code in force.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from pathproof.calc._arrays import require_positive
from pathproof.calc.power.sources import IEC_60950_1, IEC_62368_1
from pathproof.calc.sources import Source
from pathproof.terms import OutOfRangeError


class Class2Supply(StrEnum):
    """Kinds of Class 2 power sources by the NEC."""

    AC_INHERENTLY_LIMITED = "AC, inherently limited"
    AC_PROTECTED = "AC, not inherently limited, with overcurrent protection"
    DC_INHERENTLY_LIMITED = "DC, inherently limited"


@dataclass(frozen=True, kw_only=True)
class Class2Limits:
    """What a Class 2 power source may give at its voltage."""

    most_a: float
    """Into any load. [A]"""
    nameplate_va: float
    """[VA]"""
    nameplate_a: float
    """[A]"""
    overcurrent_a: float | None
    """Rating of its overcurrent device; None that needs none. [A]"""


def _limited(most_a: float, volts: float) -> Class2Limits:
    return Class2Limits(
        most_a=most_a, nameplate_va=100.0, nameplate_a=100.0 / volts, overcurrent_a=None
    )


def _low(volts: float) -> Class2Limits:
    return Class2Limits(most_a=8.0, nameplate_va=5.0 * volts, nameplate_a=5.0, overcurrent_a=None)


def _tiny(volts: float) -> Class2Limits:
    return Class2Limits(
        most_a=0.005, nameplate_va=0.005 * volts, nameplate_a=0.005, overcurrent_a=None
    )


def _low_protected(volts: float) -> Class2Limits:
    return Class2Limits(
        most_a=1000.0 / volts, nameplate_va=5.0 * volts, nameplate_a=5.0, overcurrent_a=5.0
    )


def _protected(volts: float) -> Class2Limits:
    return Class2Limits(
        most_a=1000.0 / volts,
        nameplate_va=100.0,
        nameplate_a=100.0 / volts,
        overcurrent_a=100.0 / volts,
    )


_Rows = tuple[tuple[float, Callable[[float], Class2Limits]], ...]

# Source: sources.NEC_CLASS_2. Up to which voltage a row goes, and its limits by the voltage.
_CLASS_2: Mapping[Class2Supply, _Rows] = MappingProxyType(
    {
        Class2Supply.AC_INHERENTLY_LIMITED: (
            (20.0, _low),
            (30.0, lambda volts: _limited(8.0, volts)),
            (150.0, _tiny),
        ),
        Class2Supply.AC_PROTECTED: ((20.0, _low_protected), (30.0, _protected)),
        Class2Supply.DC_INHERENTLY_LIMITED: (
            (20.0, _low),
            (30.0, lambda volts: _limited(8.0, volts)),
            (60.0, lambda volts: _limited(150.0 / volts, volts)),
            (150.0, _tiny),
        ),
    }
)


@dataclass(frozen=True, kw_only=True)
class VoltageLimit:
    """Up to which volts a source counts as being of a class."""

    dc_v: float
    """[V]"""
    ac_peak_v: float
    """[V]"""
    ac_rms_v: float | None
    """None where only the peak is limited. [V]"""
    source: Source


VOLTAGE_LIMITS: Mapping[str, VoltageLimit] = MappingProxyType(
    {
        "SELV": VoltageLimit(dc_v=60.0, ac_peak_v=42.4, ac_rms_v=None, source=IEC_60950_1),
        "ES1": VoltageLimit(dc_v=60.0, ac_peak_v=42.4, ac_rms_v=30.0, source=IEC_62368_1),
        "ES2": VoltageLimit(dc_v=120.0, ac_peak_v=70.7, ac_rms_v=50.0, source=IEC_62368_1),
    }
)
"""Of AC up to 1 kHz."""


def class_2_limits(supply: Class2Supply, volts_v: float) -> Class2Limits:
    """What a Class 2 power source may give at its voltage, as remembered.

    Parameters
    ----------
    supply : Class2Supply
        Its kind.
    volts_v : float
        Its voltage, above 0. [V]

    Returns
    -------
    limits : Class2Limits
        For a caution, not for a verdict.

    Raises
    ------
    InvalidInputError
        The voltage is not finite, or not above 0.
    OutOfRangeError
        The table has no row for it.

    Notes
    -----
    Sources are not put in parallel unless listed for it. The supply's label and the code in force
    come first.

    Examples
    --------
    >>> class_2_limits(Class2Supply.DC_INHERENTLY_LIMITED, 25.0)
    Class2Limits(most_a=8.0, nameplate_va=100.0, nameplate_a=4.0, overcurrent_a=None)

    References
    ----------
    .. [1] NEC chapter 9, tables 11(A) and 11(B); from memory, check your own copy.
    """
    volts = float(require_positive(volts_v, "volts_v"))
    rows = _CLASS_2[supply]
    for up_to_v, limits in rows:
        if volts <= up_to_v:
            return limits(volts)
    raise OutOfRangeError("volts_v", volts, 0.0, rows[-1][0], "V", f"the Class 2 table ({supply})")
