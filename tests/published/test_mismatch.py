"""Mismatch loss against worked examples and against scikit-rf's transmission lines.

Examples: transmission line formulas, worked out in two independent ways, printed to four decimals.
"""

import numpy as np
import pytest
import skrf
from skrf.media import DefinedGammaZ0

from pathproof.calc.radio import (
    mismatch_loss_db,
    return_loss_db,
    return_loss_seen_db,
    two_mismatches_loss_db,
)

FREQUENCY_HZ = 900e6
Z0_OHM = 50.0


def line(attenuation_db: float, turns: float) -> skrf.Network:
    """A feeder of 50 ohm with a loss, some wavelengths long."""
    nepers = attenuation_db / (20.0 * np.log10(np.e))
    gamma = np.array([nepers + 2j * np.pi * turns])
    frequency = skrf.Frequency(FREQUENCY_HZ, FREQUENCY_HZ, 1, "hz")
    return DefinedGammaZ0(frequency, gamma=gamma, z0=Z0_OHM).line(1.0, "m")


@pytest.mark.parametrize(
    ("vswr", "loss_db"), [(1.5, 0.1773), (2.0, 0.5115), (3.0, 1.2494), (6.0, 3.0998)]
)
def test_one_mismatch(vswr: float, loss_db: float) -> None:
    assert mismatch_loss_db(vswr) == pytest.approx(loss_db, abs=5e-5)


@pytest.mark.parametrize(
    ("vswr", "other", "low_db", "high_db"),
    [(2.0, 2.0, 0.0, 1.9382), (1.5, 2.0, 0.0895, 1.2494), (3.0, 3.0, 0.0, 4.4370)],
)
def test_two_mismatches(vswr: float, other: float, low_db: float, high_db: float) -> None:
    loss = two_mismatches_loss_db(vswr, other)
    assert loss.low_db == pytest.approx(low_db, abs=5e-5)
    assert loss.high_db == pytest.approx(high_db, abs=5e-5)


@pytest.mark.parametrize("attenuation_db", [0.0, 0.7, 3.0, 12.0])
@pytest.mark.parametrize(("vswr", "other"), [(1.5, 2.0), (3.0, 3.0), (1.0, 4.0), (6.0, 1.2)])
def test_two_mismatches_against_lines_of_any_length(
    vswr: float, other: float, attenuation_db: float
) -> None:
    """Both ends off, the phase turned through: scikit-rf's least and greatest loss.

    It moves networks without loss by some 1e-8 before it inverts them.
    """
    losses = []
    for turns in np.linspace(0.5, 1.0, 101):  # both extremes lie on this grid
        feeder = line(attenuation_db, turns)
        feeder.renormalize(np.array([[Z0_OHM * vswr, Z0_OHM * other]]), s_def="power")
        losses.append(-20.0 * np.log10(abs(feeder.s[0, 1, 0])) - attenuation_db)
    expected = two_mismatches_loss_db(vswr, other, attenuation_db)
    assert min(losses) == pytest.approx(expected.low_db, abs=1e-6)
    assert max(losses) == pytest.approx(expected.high_db, abs=1e-6)


@pytest.mark.parametrize("vswr", [1.2, 2.0, 5.0])
@pytest.mark.parametrize("attenuation_db", [0.0, 2.0, 7.5])
def test_return_loss_through_a_feeder_against_lines(vswr: float, attenuation_db: float) -> None:
    feeder = line(attenuation_db, 0.31)
    antenna = skrf.Network(frequency=feeder.frequency, s=[[[(vswr - 1) / (vswr + 1)]]], z0=Z0_OHM)
    seen = -20.0 * np.log10(abs((feeder**antenna).s[0, 0, 0]))
    assert return_loss_seen_db(return_loss_db(vswr), attenuation_db) == pytest.approx(seen)
