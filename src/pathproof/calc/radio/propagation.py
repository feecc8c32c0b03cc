"""Path loss without walls: free space, and two rays over flat ground. Array code."""

import numpy as np

from pathproof.calc._arrays import FloatArray, as_given, require_positive
from pathproof.calc._constants import SPEED_OF_LIGHT_M_PER_S


def free_space_path_loss_db(frequency_hz: FloatArray, distance_m: FloatArray) -> FloatArray:
    r"""Basic transmission loss between isotropic antennas in free space.

    .. math:: L = 20 \log_{10} (4 \pi d f / c)

    Parameters
    ----------
    frequency_hz : float or ndarray, any shape
        Carrier frequency, above 0. [Hz]
    distance_m : float or ndarray, broadcasts with ``frequency_hz``
        Straight line between the antennas, above 0. [m]

    Returns
    -------
    path_loss_db : float or ndarray, the broadcast shape
        Loss as a positive number; subtract it from the EIRP. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    Limits: far field only; no ground, walls or foliage. A reference, not a prediction: a corridor
    can guide the wave and lose less. Nearer than a wavelength the formula has no meaning (below
    1/(4 pi) of one it is negative), and nothing is clamped.

    The Recommendation's practical form rounds the constant to 32.4 (MHz, km); exact is 32.45, so
    the two differ by 0.05 dB.

    Examples
    --------
    >>> f"{free_space_path_loss_db(868.42e6, 100.0):.2f}"
    '71.22'

    References
    ----------
    .. [1] Rec. ITU-R P.525, "Calculation of free-space attenuation", P.525-4. Formula computed in
       two independent ways.
    """
    frequency = require_positive(frequency_hz, "frequency_hz")
    distance = require_positive(distance_m, "distance_m")
    return as_given(20.0 * np.log10(4.0 * np.pi * distance * frequency / SPEED_OF_LIGHT_M_PER_S))


def two_ray_path_loss_db(
    distance_m: FloatArray, transmitter_height_m: FloatArray, receiver_height_m: FloatArray
) -> FloatArray:
    r"""Path loss far out over flat ground, where the ground's reflection nearly cancels the wave.

    .. math:: L = 40 \log_{10} d - 20 \log_{10} (h_1 h_2)

    Parameters
    ----------
    distance_m : float or ndarray, any shape
        Distance along the ground, above 0. [m]
    transmitter_height_m, receiver_height_m : float or ndarray, broadcast with ``distance_m``
        Height over the ground, above 0. [m]

    Returns
    -------
    path_loss_db : float or ndarray, the broadcast shape
        Loss as a positive number; it does not depend on the frequency. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Notes
    -----
    Limits: a far-out form, for distances beyond :func:`two_ray_break_point_m`. At the break point
    itself it still lies 20 log10(pi) = 9.9 dB below free space, and passes it only at pi times that
    distance; nearer than that, take free space.

    Examples
    --------
    >>> f"{two_ray_path_loss_db(300.0, 1.5, 1.5):.2f}"
    '92.04'

    References
    ----------
    .. [1] Two-ray model over flat ground; common practice.
    """
    distance = require_positive(distance_m, "distance_m")
    h1 = require_positive(transmitter_height_m, "transmitter_height_m")
    h2 = require_positive(receiver_height_m, "receiver_height_m")
    return as_given(40.0 * np.log10(distance) - 20.0 * np.log10(h1 * h2))


def two_ray_break_point_m(
    frequency_hz: FloatArray, transmitter_height_m: FloatArray, receiver_height_m: FloatArray
) -> FloatArray:
    r"""The distance beyond which loss over flat ground grows with the fourth power.

    .. math:: d_b = 4 h_1 h_2 f / c

    Parameters
    ----------
    frequency_hz : float or ndarray, any shape
        Carrier frequency, above 0. [Hz]
    transmitter_height_m, receiver_height_m : float or ndarray, broadcast with ``frequency_hz``
        Height over the ground, above 0. [m]

    Returns
    -------
    break_point_m : float or ndarray, the broadcast shape
        [m]

    Raises
    ------
    InvalidInputError
        A value is not finite, or not above 0.

    Examples
    --------
    >>> f"{two_ray_break_point_m(868.42e6, 1.5, 1.5):.1f}"
    '26.1'

    References
    ----------
    .. [1] Two-ray model over flat ground; common practice.
    """
    frequency = require_positive(frequency_hz, "frequency_hz")
    h1 = require_positive(transmitter_height_m, "transmitter_height_m")
    h2 = require_positive(receiver_height_m, "receiver_height_m")
    return as_given(4.0 * h1 * h2 * frequency / SPEED_OF_LIGHT_M_PER_S)
