"""Loss of coaxial feeders. Scalar code."""

import math

from pathproof.calc._arrays import require_not_negative, require_positive


def feeder_loss_db(
    k1_db_per_100m: float, k2_db_per_100m: float, frequency_hz: float, length_m: float
) -> float:
    r"""Loss of a length of coaxial cable without its connectors.

    .. math:: L = (K_1 \sqrt{f} + K_2 f) \, l / 100 \quad (f \text{ in MHz})

    Parameters
    ----------
    k1_db_per_100m : float
        Factor of the root of the frequency in MHz, 0 or above: conductor loss. [dB/100 m]
    k2_db_per_100m : float
        Factor of the frequency in MHz, 0 or above: dielectric loss. [dB/100 m]
    frequency_hz : float
        Above 0. [Hz]
    length_m : float
        0 or above. [m]

    Returns
    -------
    loss_db : float
        Loss as a positive number. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite or has the wrong sign.

    Notes
    -----
    Limits: nominal values at 20 degC; tables of the same cable differ by 15 % and more.

    Examples
    --------
    >>> f"{feeder_loss_db(1.3195, 0.02881, 900e6, 100.0):.1f}"
    '65.5'

    References
    ----------
    .. [1] Form of the attenuation tables of MIL-C-17; restated.
    """
    k1 = float(require_not_negative(k1_db_per_100m, "k1_db_per_100m"))
    k2 = float(require_not_negative(k2_db_per_100m, "k2_db_per_100m"))
    f_mhz = float(require_positive(frequency_hz, "frequency_hz")) / 1e6
    length = float(require_not_negative(length_m, "length_m"))
    return (k1 * math.sqrt(f_mhz) + k2 * f_mhz) * length / 100.0
