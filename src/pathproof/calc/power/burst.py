"""What is left of the volts in a module's bursts, and the buffer that bursts take. Scalar code."""

from dataclasses import dataclass

from pathproof.calc._arrays import require_not_negative, require_positive
from pathproof.terms import InvalidInputError


@dataclass(frozen=True, kw_only=True)
class BurstDroop:
    """The volts at a module while it sends a burst."""

    droop_v: float
    """What battery and cable take together. [V]"""
    left_v: float
    """At the module; at or below 0 the source cannot give that current at all. [V]"""
    headroom_v: float
    """Left over the module's minimum; below 0 it restarts or drops out. [V]"""


def burst_droop(
    source_v: float, peak_a: float, battery_ohm: float, cable_ohm: float, minimum_v: float
) -> BurstDroop:
    r"""The volts at a module in a burst, against the least it works with.

    .. math:: V = V_0 - I (R_i + R_{cable})

    Parameters
    ----------
    source_v : float
        V0, volts of the battery without the burst, at the end of its discharge; above 0. [V]
    peak_a : float
        I, the module's peak current with whatever else flows then, above 0. [A]
    battery_ohm : float
        Ri, internal resistance of the battery as it is then, 0 or above. [ohm]
    cable_ohm : float
        Of the cable, out and back, with fuse and terminals; 0 or above. [ohm]
    minimum_v : float
        Least volts that the module's papers state, above 0. [V]

    Returns
    -------
    droop : BurstDroop
        Droop, what is left and what that is above the minimum. [V]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.

    Notes
    -----
    Limits: no buffer and no converter between battery and module: a converter draws a larger
    current as the volts fall. An old or cold battery has several times its internal resistance when
    new, so what counts is a measurement under load.

    Examples
    --------
    >>> droop = burst_droop(10.5, 2.0, 0.1, 0.5, 9.0)
    >>> f"{droop.droop_v:.1f} {droop.left_v:.1f} {droop.headroom_v:.1f}"
    '1.2 9.3 0.3'

    References
    ----------
    .. [1] Ohm's law; computed.
    """
    source = float(require_positive(source_v, "source_v"))
    peak = float(require_positive(peak_a, "peak_a"))
    battery = float(require_not_negative(battery_ohm, "battery_ohm"))
    cable = float(require_not_negative(cable_ohm, "cable_ohm"))
    minimum = float(require_positive(minimum_v, "minimum_v"))
    droop = peak * (battery + cable)
    left = source - droop
    return BurstDroop(droop_v=droop, left_v=left, headroom_v=left - minimum)


def buffer_capacitance_f(
    current_a: float, burst_s: float, allowed_droop_v: float, esr_ohm: float = 0.0
) -> float:
    r"""The capacitance at a module that carries it through a burst.

    .. math:: C = \frac{I t}{\Delta V - I R_{ESR}}

    Parameters
    ----------
    current_a : float
        I, what the capacitor gives: the peak, less what the supply can be relied on for; above 0.
        [A]
    burst_s : float
        t, length of a burst, above 0. [s]
    allowed_droop_v : float
        What the volts may fall by within a burst, above 0. [V]
    esr_ohm : float
        Equivalent series resistance of the capacitor, 0 or above. [ohm]

    Returns
    -------
    capacitance_f : float
        Least capacitance. [F]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign, or the series resistance alone takes the
        allowed droop, so that no capacitance would do.

    Notes
    -----
    Limits: one burst out of a full capacitor; between bursts the supply has to fill it again.
    Capacitance falls with age, cold and volts, so fit more; and the buffer has to be one that the
    module's maker allows.

    Examples
    --------
    >>> f"{buffer_capacitance_f(2.0, 577e-6, 0.4, 0.1) * 1e6:.0f}"
    '5770'

    References
    ----------
    .. [1] Charge of a capacitor and Ohm's law; computed.
    """
    current = float(require_positive(current_a, "current_a"))
    burst = float(require_positive(burst_s, "burst_s"))
    allowed = float(require_positive(allowed_droop_v, "allowed_droop_v"))
    esr = float(require_not_negative(esr_ohm, "esr_ohm"))
    for_charge = allowed - current * esr
    if for_charge <= 0.0:
        raise InvalidInputError(
            f"esr_ohm was {esr:g}; at {current:g} A it must be below {allowed / current:g}: more "
            f"takes the allowed {allowed:g} V by itself. Take a capacitor of less series "
            "resistance, or several in parallel."
        )
    return current * burst / for_charge
