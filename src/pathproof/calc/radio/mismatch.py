"""What is lost where impedances do not fit, by standing wave ratios. Array code."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pathproof.calc._arrays import FloatArray, as_given, require_finite, require_not_negative
from pathproof.terms import InvalidInputError


@dataclass(frozen=True, kw_only=True)
class MismatchLoss:
    """What two mismatches lose together, when nobody knows how their reflections meet."""

    low_db: FloatArray
    """Where they cancel best. [dB]"""
    high_db: FloatArray
    """Where they add up worst; plan with it. [dB]"""


def reflection_ratio(vswr: FloatArray) -> FloatArray:
    r"""The share of a wave's amplitude that a mismatch throws back.

    .. math:: \rho = (S - 1) / (S + 1)

    Parameters
    ----------
    vswr : float or ndarray, any shape
        S, the voltage standing wave ratio, 1 or above. [1]

    Returns
    -------
    reflection_ratio : float or ndarray, the same shape
        0 to 1. [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite, or is below 1.

    Notes
    -----
    An amplitude: its square is the share of the power.

    Examples
    --------
    >>> reflection_ratio(3.0)
    0.5
    """
    s = _checked(vswr, "vswr")
    return as_given((s - 1.0) / (s + 1.0))


def return_loss_db(vswr: FloatArray) -> FloatArray:
    r"""How far the reflected power lies below the arriving power.

    .. math:: RL = -20 \log_{10} \rho

    Parameters
    ----------
    vswr : float or ndarray, any shape
        Voltage standing wave ratio, 1 or above. [1]

    Returns
    -------
    return_loss_db : float or ndarray, the same shape
        A positive number, the larger the better; infinite for a perfect match. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or is below 1.

    Examples
    --------
    >>> f"{return_loss_db(2.0):.2f}"
    '9.54'

    References
    ----------
    .. [1] Transmission lines; computed in two independent ways.
    """
    with np.errstate(divide="ignore"):
        return as_given(-20.0 * np.log10(np.asarray(reflection_ratio(vswr))))


def mismatch_loss_db(vswr: FloatArray) -> FloatArray:
    r"""Power that a mismatch keeps from arriving, where the other end fits.

    .. math:: ML = -10 \log_{10} (1 - \rho^2)

    Parameters
    ----------
    vswr : float or ndarray, any shape
        Voltage standing wave ratio, 1 or above. [1]

    Returns
    -------
    mismatch_loss_db : float or ndarray, the same shape
        Loss as a positive number. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or is below 1.

    Notes
    -----
    Limits: one mismatch. Where both ends are off, see :func:`two_mismatches_loss_db`.

    Examples
    --------
    >>> f"{mismatch_loss_db(2.0):.4f}"
    '0.5115'

    References
    ----------
    .. [1] Transmission lines; computed in two independent ways.
    """
    return as_given(-10.0 * np.log10(_passing(_checked(vswr, "vswr"))))


def two_mismatches_loss_db(
    vswr: FloatArray, other_vswr: FloatArray, feeder_loss_db: FloatArray = 0.0
) -> MismatchLoss:
    r"""What two mismatches lose beside the feeder between them, at best and at worst.

    .. math:: L = ML_1 + ML_2 + 20 \log_{10} (1 \pm \rho_1 \rho_2 \, 10^{-2 A / 20})

    Parameters
    ----------
    vswr, other_vswr : float or ndarray, broadcast
        Voltage standing wave ratios of both ends, 1 or above, such as antenna and module. [1]
    feeder_loss_db : float or ndarray, broadcasts with both
        A, one-way loss of the feeder between them, 0 or above. [dB]

    Returns
    -------
    loss : MismatchLoss
        Least and greatest loss, beside the feeder's own. [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, a ratio is below 1 or the loss is below 0.

    Notes
    -----
    How the reflections meet depends on the length of the feeder to a fraction of a wavelength, so
    only both ends are known. A lossy feeder damps what runs to and fro and narrows the range.

    Examples
    --------
    >>> loss = two_mismatches_loss_db(1.5, 2.0)
    >>> f"{loss.low_db:.4f} {loss.high_db:.4f}"
    '0.0895 1.2494'

    References
    ----------
    .. [1] Transmission lines; computed in two independent ways.
    """
    one, other = _checked(vswr, "vswr"), _checked(other_vswr, "other_vswr")
    damping = 10.0 ** (-require_not_negative(feeder_loss_db, "feeder_loss_db") / 10.0)
    echo = np.asarray(reflection_ratio(one)) * np.asarray(reflection_ratio(other)) * damping
    both = -10.0 * np.log10(_passing(one) * _passing(other))
    return MismatchLoss(
        low_db=as_given(both + 20.0 * np.log10(1.0 - echo)),
        high_db=as_given(both + 20.0 * np.log10(1.0 + echo)),
    )


def return_loss_seen_db(return_loss_db: FloatArray, feeder_loss_db: FloatArray) -> FloatArray:
    r"""The return loss of an antenna as it reads at the other end of its feeder.

    .. math:: RL_{seen} = RL + 2 A

    Parameters
    ----------
    return_loss_db : float or ndarray, any shape
        RL, of the antenna itself, 0 or above. [dB]
    feeder_loss_db : float or ndarray, broadcasts with the return loss
        A, one-way loss of the feeder, 0 or above. [dB]

    Returns
    -------
    return_loss_db : float or ndarray, the broadcast shape
        [dB]

    Raises
    ------
    InvalidInputError
        A value is not finite, or is below 0.

    Notes
    -----
    A lossy feeder hides a bad antenna: 3 dB of feeder make an open end read 6 dB. Measure at the
    antenna.

    Examples
    --------
    >>> return_loss_seen_db(0.0, 3.0)
    6.0

    References
    ----------
    .. [1] The wave runs the feeder there and back; transmission lines, restated.
    """
    own = require_not_negative(return_loss_db, "return_loss_db")
    return as_given(own + 2.0 * require_not_negative(feeder_loss_db, "feeder_loss_db"))


def _checked(vswr: FloatArray, name: str) -> NDArray[np.float64]:
    ratio = require_finite(vswr, name)
    if np.any(ratio < 1.0):
        raise InvalidInputError(
            f"{name} was {np.min(ratio):g}; a standing wave ratio is 1 or above (2:1 is 2)."
        )
    return ratio


def _passing(s: NDArray[np.float64]) -> NDArray[np.float64]:
    """1 - rho^2, the share of the power that passes, without cancellation."""
    return 4.0 * s / (s + 1.0) ** 2
