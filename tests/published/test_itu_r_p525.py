"""Rec. ITU-R P.525-4: free-space attenuation."""

import pytest

from pathproof.calc.radio import free_space_path_loss_db

# Basic transmission loss, computed with a second, independent library; printed to 3 decimals.
COMPUTED = [
    (345e6, 10.0, 43.204),
    (433.92e6, 30.0, 54.738),
    (868.42e6, 10.0, 51.222),
    (868.42e6, 100.0, 71.222),
    (908.42e6, 30.0, 61.156),
    (1800e6, 1000.0, 97.553),
]


@pytest.mark.parametrize(("frequency_hz", "distance_m", "loss_db"), COMPUTED)
def test_computed_values(frequency_hz: float, distance_m: float, loss_db: float) -> None:
    assert free_space_path_loss_db(frequency_hz, distance_m) == pytest.approx(loss_db, abs=5e-4)


def test_printed_constant_at_1_mhz_and_1_km() -> None:
    # L = 32.4 + 20 log f(MHz) + 20 log d(km). The constant is printed with one decimal, so half a
    # digit is 0.05 dB.
    assert free_space_path_loss_db(1e6, 1e3) == pytest.approx(32.4, abs=0.05)


def test_exact_constant_at_1_mhz_and_1_km() -> None:
    # 20 log10(4 pi 10^9 / c) with c exact, as computed: 32.4478
    assert free_space_path_loss_db(1e6, 1e3) == pytest.approx(32.4478, abs=5e-5)
