"""What a two-wire cable takes from direct current, and the smallest that holds. Scalar code."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from pathproof.calc._arrays import require_positive
from pathproof.calc.power.conductors import Conductor, resistance_ohm_per_m
from pathproof.terms import InvalidInputError

# Source: sources.ALLOWED_DROP.
ALLOWED_DROP_RATIO = 0.1
"""Drop to plan with where the load's own papers state none, of the supply's volts. [ratio]"""
# Source: sources.END_OF_DISCHARGE.
END_OF_DISCHARGE_V: Mapping[float, float] = MappingProxyType({12.0: 10.5, 24.0: 20.4})
"""Volts of a lead-acid battery at the end of its discharge, by its nominal volts. [V]"""

_SAME = 1e-9  # a drop that exceeds the allowed one by rounding alone holds


@dataclass(frozen=True, kw_only=True)
class CableLoad:
    """Something that a cable feeds."""

    distance_m: float
    """Cable length from the supply, one way, above 0. [m]"""
    current_a: float
    """What it takes in alarm, above 0. [A]"""

    def __post_init__(self) -> None:
        require_positive(self.distance_m, "distance_m")
        require_positive(self.current_a, "current_a")


def loop_resistance_ohm(
    conductor: Conductor, length_m: float, temperature_degc: float = 20.0
) -> float:
    """Resistance of a two-wire cable, out and back.

    Parameters
    ----------
    conductor : Conductor
        Each of its two wires.
    length_m : float
        Length one way, above 0. [m]
    temperature_degc : float
        Of the copper, -40 to 105. [degC]

    Returns
    -------
    resistance_ohm : float
        [ohm]

    Raises
    ------
    InvalidInputError
        A value is not finite, or the length is not above 0.
    OutOfRangeError
        The temperature is outside -40 to 105 degC.

    Notes
    -----
    Limits: the wires alone; terminals and fuses add to it.

    Examples
    --------
    >>> from pathproof.calc.power.conductors import mm2_conductor
    >>> f"{loop_resistance_ohm(mm2_conductor(0.5), 40.0):.2f}"
    '3.12'
    """
    length = float(require_positive(length_m, "length_m"))
    return 2.0 * length * resistance_ohm_per_m(conductor, temperature_degc)


def cable_drop_v(
    conductor: Conductor, loads: Sequence[CableLoad], temperature_degc: float = 20.0
) -> float:
    r"""The volts that a two-wire cable takes on the way to its farthest load.

    .. math:: V = 2 r \sum_i l_i I_i

    Parameters
    ----------
    conductor : Conductor
        Each of its two wires, with a resistance of r a metre.
    loads : sequence of CableLoad
        One or more, in any order.
    temperature_degc : float
        Of the copper, -40 to 105. [degC]

    Returns
    -------
    drop_v : float
        [V]

    Raises
    ------
    InvalidInputError
        There is no load, or a value is not finite.
    OutOfRangeError
        The temperature is outside -40 to 105 degC.

    Notes
    -----
    Each current takes its part on the length that it flows through, which is the sum stretch by
    stretch. Limits: steady currents that do not depend on the volts; loads with a converter inside
    take more as the volts fall. Not the current that a cable may carry: that is the place's code.

    Examples
    --------
    >>> from pathproof.calc.power.conductors import awg_conductor
    >>> one = CableLoad(distance_m=30.48, current_a=4.0)
    >>> f"{cable_drop_v(awg_conductor(16), [one], 75.0):.3f}"
    '3.992'

    References
    ----------
    .. [1] Ohm's law out and back; computed, and a published example with these figures.
    """
    if not loads:
        raise InvalidInputError("loads was empty; give at least one load.")
    amperemetres = math.fsum(load.distance_m * load.current_a for load in loads)
    return 2.0 * resistance_ohm_per_m(conductor, temperature_degc) * amperemetres


def lumped(loads: Sequence[CableLoad]) -> CableLoad:
    """All loads of a cable as one at its far end: the safe case.

    Parameters
    ----------
    loads : sequence of CableLoad
        One or more.

    Returns
    -------
    load : CableLoad
        The farthest distance [m] and the currents together [A].

    Raises
    ------
    InvalidInputError
        There is no load.

    Notes
    -----
    Its drop is never less than that of the loads where they are.

    Examples
    --------
    >>> lumped([CableLoad(distance_m=10.0, current_a=0.5), CableLoad(distance_m=25.0,
    ... current_a=0.25)])
    CableLoad(distance_m=25.0, current_a=0.75)
    """
    if not loads:
        raise InvalidInputError("loads was empty; give at least one load.")
    return CableLoad(
        distance_m=max(load.distance_m for load in loads),
        current_a=math.fsum(load.current_a for load in loads),
    )


def smallest_conductor(
    choice: Iterable[Conductor],
    loads: Sequence[CableLoad],
    allowed_v: float,
    temperature_degc: float = 20.0,
) -> Conductor | None:
    """The thinnest conductor whose cable takes no more than the allowed drop.

    Parameters
    ----------
    choice : iterable of Conductor
        What there is to choose from.
    loads : sequence of CableLoad
        What the cable feeds.
    allowed_v : float
        Largest drop to the farthest load, above 0. [V]
    temperature_degc : float
        Of the copper, -40 to 105. [degC]

    Returns
    -------
    conductor : Conductor or None
        None where not even the thickest holds.

    Raises
    ------
    InvalidInputError
        There is no load, or a value is not finite or has the wrong sign.
    OutOfRangeError
        The temperature is outside -40 to 105 degC.

    Notes
    -----
    Limits: as :func:`cable_drop_v`; drop alone, not the current that a cable may carry.

    Examples
    --------
    >>> from pathproof.calc.power.conductors import Stranding, conductors
    >>> loads = [CableLoad(distance_m=40.0, current_a=0.5)]
    >>> smallest_conductor(conductors(Stranding.CLASS_5), loads, 1.2).name
    '0.75 mm², class 5'
    """
    most_v = float(require_positive(allowed_v, "allowed_v")) * (1.0 + _SAME)
    holding = (c for c in choice if cable_drop_v(c, loads, temperature_degc) <= most_v)
    return min(holding, key=lambda conductor: conductor.area_mm2, default=None)
