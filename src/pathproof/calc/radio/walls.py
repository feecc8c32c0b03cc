"""Loss through a wall or floor by its layers. Rec. ITU-R P.2040 with a house rule for links.

Two answers, kept apart on purpose:

- :func:`stack_loss_db` is the exact stack at one frequency and angle;
- :func:`link_loss` is what links use: the same stack with the angle capped, ripple averaged out,
  the more cautious of two readings of the table, and a floor for what no table knows.

A thicker layer can lose less. The waves reflected at its two faces add where the layer is about a
quarter of a wavelength thick, and cancel at about a half: at 868.42 MHz, 80 mm of brick loses less
than 45 mm. Likewise 115 mm of brick loses 3.16 dB at 433.92 MHz, and more both at 345 and at
868.42 MHz. That is physics, not a fault. The link rule averages over the band around the carrier,
because a real wall is never that even; the effect gets milder and stays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pathproof.calc._arrays import ComplexArray, FloatArray, require_finite, require_positive
from pathproof.calc._constants import SPEED_OF_LIGHT_M_PER_S
from pathproof.calc.radio.materials import (
    BelowRange,
    is_extrapolated,
    relative_permittivity,
    rows_of,
)
from pathproof.terms import InvalidInputError, Material

# The link rule. Common practice, no source (sources.LINK_RULE).
LINK_ANGLE_CAP_DEG = 70.0  # beyond it the ray goes round rather than through
LINK_BAND_RATIO = 0.1  # half width of the band averaged over, as a share of the carrier
LINK_BAND_STEPS = 21
CLUTTER_FLOOR_DB = 1.0  # pipes, sockets, shelves: no wall is quite as clear as its layers

THICKEST_LAYER_M = 5.0  # house limit; beyond it somebody gave millimetres

_DB_PER_NEPER = 20.0 / np.log(10.0)


@dataclass(frozen=True)
class Layer:
    """One sheet of material in a wall or floor."""

    material: Material
    thickness_m: float
    """Above 0, up to 5 m. [m]"""

    def __post_init__(self) -> None:
        rows_of(self.material)
        thickness = float(require_positive(self.thickness_m, "thickness_m"))
        if thickness > THICKEST_LAYER_M:
            raise InvalidInputError(
                f"thickness_m was {thickness:g}; it must be at most {THICKEST_LAYER_M:g}. "
                "Give it in metres, not millimetres."
            )


class StackTransmission(NamedTuple):
    """Complex transmission coefficients of a stack, by polarisation."""

    te: ComplexArray
    tm: ComplexArray


@dataclass(frozen=True, kw_only=True)
class StackLoss:
    """What a stack loses at one frequency and angle, over the free-space path."""

    te_db: float
    """Electric field along the wall: the bad case at a slant. [dB]"""
    tm_db: float
    """Magnetic field along the wall. [dB]"""
    mean_db: float
    """Power mean of both: indoors the polarisation is mixed. [dB]"""
    extrapolated: bool
    """Whether the frequency is outside what the table covers for a layer."""


@dataclass(frozen=True, kw_only=True)
class LinkLoss:
    """What a wall takes from a link, and the figures it was chosen from."""

    loss_db: float
    """The largest of the three below. [dB]"""
    extrapolated_db: float
    """With conductivities that follow the table's power law beyond its range. [dB]"""
    held_db: float
    """With conductivities held at the end of the table's range. [dB]"""
    floor_db: float
    """Least loss of a wall that has layers; 0 for an empty doorway. [dB]"""
    angle_used_deg: float
    """Angle of incidence after the cap. [deg]"""
    extrapolated: bool
    """Whether a frequency of the band is outside what the table covers for a layer."""


def stack_transmission(
    layers: Sequence[Layer],
    frequency_hz: FloatArray,
    angle_deg: FloatArray,
    below_range: BelowRange = BelowRange.EXTRAPOLATE,
) -> StackTransmission:
    r"""Complex transmission coefficients of plane layers in air, for both polarisations.

    .. math::
        T = \prod_n \frac{t_n e^{-j q_n}}{1 + r_n \Gamma_{n+1} e^{-2 j q_n}}, \quad
        q_n = k_0 d_n \sqrt{\eta_n - \sin^2\theta}

    with r and t of each face from the wave impedances, and :math:`\Gamma` the reflection of
    everything behind it, worked out from the far side forwards.

    Parameters
    ----------
    layers : sequence of Layer
        In the order the wave meets them; none is an empty doorway.
    frequency_hz : float or ndarray, any shape
        Carrier frequency, 1 MHz to 450 GHz. [Hz]
    angle_deg : float or ndarray, broadcasts with ``frequency_hz``
        Angle of incidence from the wall's normal, 0 up to but not including 90. [deg]
    below_range : BelowRange
        How conductivities are taken where the table does not cover the frequency.

    Returns
    -------
    transmission : StackTransmission
        ``te`` and ``tm``, complex, the broadcast shape: field behind the stack over field in front
        of it. Metal thicker than some millimetres gives 0, too small for a float;
        :func:`stack_loss_db` stays exact. [ratio]

    Raises
    ------
    InvalidInputError
        A value is not finite, a frequency not above 0, or an angle outside 0 to 90.
    OutOfRangeError
        A frequency is outside 1 MHz to 450 GHz, the ends of the table.

    Notes
    -----
    Limits: endless plane layers of even material. It knows nothing of studs, pipes, reinforcement,
    moisture or foil.

    The result is that of the product of ABCD matrices; this form never meets a growing
    exponential, so thick or metal layers cannot overflow.

    Examples
    --------
    >>> glass = stack_transmission([Layer(Material.GLASS, 0.004)], 868.42e6, 60.0)
    >>> f"{glass.tm:.4f}"
    '0.9816-0.1774j'

    References
    ----------
    .. [1] Rec. ITU-R P.2040-3/-4, transmission through a multilayer slab; computed in two
       independent ways.
    """
    ln_te, ln_tm = _log_transmission(layers, frequency_hz, _checked_cos(angle_deg), below_range)
    return StackTransmission(te=_plain_complex(np.exp(ln_te)), tm=_plain_complex(np.exp(ln_tm)))


def stack_loss_db(layers: Sequence[Layer], frequency_hz: float, angle_deg: float) -> StackLoss:
    """What a stack of layers loses at one frequency and angle, over the free-space path.

    Parameters
    ----------
    layers : sequence of Layer
        In the order the wave meets them; none is an empty doorway and loses 0 dB.
    frequency_hz : float
        Carrier frequency, 1 MHz to 450 GHz. [Hz]
    angle_deg : float
        Angle of incidence from the wall's normal, 0 up to but not including 90. [deg]

    Returns
    -------
    loss : StackLoss
        TE, TM and their power mean [dB]; the table's constants as they stand, extrapolated where
        need be.

    Raises
    ------
    InvalidInputError
        A value is not finite, a frequency not above 0, or an angle outside 0 to 90.
    OutOfRangeError
        A frequency is outside 1 MHz to 450 GHz, the ends of the table.

    Notes
    -----
    Limits: as :func:`stack_transmission`. A thicker layer can lose less, see the head of this
    module. A sheet of metal loses hundreds of decibels by this sum; nothing is capped, but a real
    one leaks round its edges, so give steel doors and foil a loss of their own.

    Examples
    --------
    >>> loss = stack_loss_db([Layer(Material.CONCRETE, 0.2)], 868.42e6, 60.0)
    >>> f"{loss.te_db:.2f} {loss.tm_db:.2f} {loss.mean_db:.2f} {loss.extrapolated}"
    '11.32 6.48 8.25 True'

    References
    ----------
    .. [1] Rec. ITU-R P.2040-3/-4, transmission through a multilayer slab; computed in two
       independent ways.
    """
    cos = _checked_cos(float(require_finite(angle_deg, "angle_deg")))
    ln_te, ln_tm = _log_transmission(layers, frequency_hz, cos, BelowRange.EXTRAPOLATE)
    te, tm = np.real(ln_te), np.real(ln_tm)
    return StackLoss(
        te_db=float(_loss_db(te)),
        tm_db=float(_loss_db(tm)),
        mean_db=float(_mean_loss_db(np.array([te, tm]))),
        extrapolated=any(is_extrapolated(layer.material, frequency_hz) for layer in layers),
    )


def link_loss(layers: Sequence[Layer], frequency_hz: float, angle_deg: float) -> LinkLoss:
    """What a wall or floor takes from an indoor link: the rule that every prediction uses.

    The angle is capped at 70 degrees; the power that comes through is averaged over both
    polarisations and over 21 frequencies from 0.9 to 1.1 of the carrier; once with conductivities
    that follow the table's power law beyond its range and once with them held at its end. The
    larger of both losses counts, and at least 1 dB for a wall that has layers.

    Parameters
    ----------
    layers : sequence of Layer
        In either order; none is an empty doorway and loses 0 dB.
    frequency_hz : float
        Carrier frequency; its band must lie in 1 MHz to 450 GHz. [Hz]
    angle_deg : float
        Angle of incidence from the wall's normal, 0 to 90. [deg]

    Returns
    -------
    loss : LinkLoss
        The loss [dB] and the figures it was chosen from.

    Raises
    ------
    InvalidInputError
        A value is not finite, a frequency not above 0, or an angle outside 0 to 90.
    OutOfRangeError
        A frequency of the band is outside 1 MHz to 450 GHz, the ends of the table.

    Notes
    -----
    Limits: as :func:`stack_transmission`. Holding the conductivity mostly loses more below a row's
    range; both are worked out because resonances can turn it round.

    Examples
    --------
    >>> loss = link_loss([Layer(Material.GLASS, 0.004)], 868.42e6, 80.0)
    >>> f"{loss.loss_db:.1f} {loss.angle_used_deg:.0f}"
    '1.0 70'

    References
    ----------
    .. [1] House rule, common practice, no source.
    .. [2] Rec. ITU-R P.2040-3/-4, transmission through a multilayer slab; computed in two
       independent ways.
    """
    angle = float(require_finite(angle_deg, "angle_deg"))
    if not 0.0 <= angle <= 90.0:
        raise InvalidInputError(f"angle_deg was {angle:g}; it must be 0 to 90.")
    used = min(angle, LINK_ANGLE_CAP_DEG)
    extrapolated, held = _band_losses_db(layers, frequency_hz, np.cos(np.radians([used])))
    floor = _floor_db(layers)
    band = _band_hz(frequency_hz)
    return LinkLoss(
        loss_db=max(float(extrapolated[0]), float(held[0]), floor),
        extrapolated_db=float(extrapolated[0]),
        held_db=float(held[0]),
        floor_db=floor,
        angle_used_deg=used,
        extrapolated=any(is_extrapolated(layer.material, band) for layer in layers),
    )


def link_loss_table_db(
    layers: Sequence[Layer], frequency_hz: float, cos_nodes: int = 65
) -> NDArray[np.float64]:
    """:func:`link_loss` over the cosine of the angle of incidence, for maps.

    Parameters
    ----------
    layers : sequence of Layer
        In either order; none is an empty doorway and loses 0 dB.
    frequency_hz : float
        Carrier frequency; its band must lie in 1 MHz to 450 GHz. [Hz]
    cos_nodes : int
        How many nodes, equally spaced over cosines 0 to 1; 2 or more. [count]

    Returns
    -------
    loss_db : ndarray, shape (cos_nodes,)
        Loss at cosine i / (cos_nodes - 1); to be read by linear interpolation. [dB]

    Raises
    ------
    InvalidInputError
        The frequency is not finite or not above 0, or there are fewer than 2 nodes.
    OutOfRangeError
        A frequency of the band is outside 1 MHz to 450 GHz, the ends of the table.

    References
    ----------
    .. [1] House rule, common practice, no source.
    """
    if cos_nodes < 2:
        raise InvalidInputError(f"cos_nodes was {cos_nodes}; it must be 2 or more.")
    cos = np.maximum(np.linspace(0.0, 1.0, cos_nodes), np.cos(np.radians(LINK_ANGLE_CAP_DEG)))
    extrapolated, held = _band_losses_db(layers, frequency_hz, cos)
    return np.maximum(np.maximum(extrapolated, held), _floor_db(layers))


def _checked_cos(angle_deg: ArrayLike) -> NDArray[np.float64]:
    angle = require_finite(angle_deg, "angle_deg")
    outside = angle[(angle < 0.0) | (angle >= 90.0)]
    if outside.size:
        raise InvalidInputError(
            f"angle_deg was {outside.flat[0]:g}; it must be 0 or above and below 90."
        )
    return np.cos(np.radians(angle))


def _log_transmission(
    layers: Sequence[Layer],
    frequency_hz: ArrayLike,
    cos: NDArray[np.float64],
    below_range: BelowRange,
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """ln T for TE and TM; kept as a logarithm because T itself may be too small for a float."""
    frequency, cos = np.broadcast_arrays(require_positive(frequency_hz, "frequency_hz"), cos)
    k0 = 2.0 * np.pi * frequency / SPEED_OF_LIGHT_M_PER_S
    etas = [np.asarray(relative_permittivity(x.material, frequency, below_range)) for x in layers]
    # s = sqrt(eta - sin^2), its imaginary part 0 or below; exactly cos in air
    roots = [np.sqrt(eta - 1.0 + cos**2) for eta in etas]
    phases = [k0 * x.thickness_m * root for x, root in zip(layers, roots, strict=True)]
    # wave impedances over that of free space
    z_te = [1.0 / cos, *(1.0 / s for s in roots), 1.0 / cos]
    z_tm = [cos, *(s / eta for s, eta in zip(roots, etas, strict=True)), cos]
    return _log_through(z_te, phases), _log_through(z_tm, phases)


def _log_through(
    impedances: Sequence[NDArray[Any]], phases: Sequence[NDArray[Any]]
) -> NDArray[np.complex128]:
    """ln T of layers in a row: air, the layers, air; worked from the far side forwards."""
    reflection, ln_t = _face(impedances[-2], impedances[-1])
    for n in range(len(phases), 0, -1):
        phase = phases[n - 1]
        r, ln_face = _face(impedances[n - 1], impedances[n])
        returned = reflection * np.exp(-2j * phase)  # at most 1: it cannot overflow
        ln_t = ln_t + ln_face - 1j * phase - np.log(1.0 + r * returned)
        reflection = (r + returned) / (1.0 + r * returned)
    return ln_t


def _face(
    front: NDArray[Any], behind: NDArray[Any]
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Reflection, and ln of the transmission, where two impedances meet."""
    total = behind + front
    return (behind - front) / total, np.log(2.0 * behind / total + 0j)


def _band_hz(frequency_hz: float) -> NDArray[np.float64]:
    carrier = float(require_positive(frequency_hz, "frequency_hz"))
    return carrier * np.linspace(1.0 - LINK_BAND_RATIO, 1.0 + LINK_BAND_RATIO, LINK_BAND_STEPS)


def _band_losses_db(
    layers: Sequence[Layer], frequency_hz: float, cos: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Loss of the mean power over band and polarisations; conductivity extrapolated, and held."""
    band = _band_hz(frequency_hz)[:, np.newaxis]

    def loss_db(below_range: BelowRange) -> NDArray[np.float64]:
        ln_te, ln_tm = _log_transmission(layers, band, cos, below_range)
        return _mean_loss_db(np.concatenate([np.real(ln_te), np.real(ln_tm)]))

    return loss_db(BelowRange.EXTRAPOLATE), loss_db(BelowRange.HOLD)


def _floor_db(layers: Sequence[Layer]) -> float:
    return CLUTTER_FLOOR_DB if layers else 0.0


def _mean_loss_db(ln_amplitudes: NDArray[np.float64]) -> NDArray[np.float64]:
    """Loss of the mean power over the first axis, by way of the largest so that none is lost."""
    largest = np.max(ln_amplitudes, axis=0)
    mean_power = np.mean(np.exp(2.0 * (ln_amplitudes - largest)), axis=0)
    return _loss_db(largest + np.log(mean_power) / 2.0)


def _loss_db(ln_amplitude: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(-_DB_PER_NEPER * ln_amplitude + 0.0)  # + 0.0 turns -0.0 into 0.0


def _plain_complex(value: NDArray[np.complex128]) -> ComplexArray:
    return complex(value) if np.ndim(value) == 0 else value
