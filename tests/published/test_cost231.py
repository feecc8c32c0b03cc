"""COST 231 Final Report, chapter 4: multi-wall model, as restated by an open simulator."""

import pytest

from pathproof.calc.radio import (
    FLOOR_EXPONENT,
    FLOOR_LOSS_DB,
    HEAVY_WALL_LOSS_DB,
    LIGHT_WALL_LOSS_DB,
    cost231_floor_loss_db,
    free_space_path_loss_db,
)


def test_constants() -> None:
    # Light wall 3.4 dB, heavy wall 6.9 dB, floor 18.3 dB, b = 0.46, for 1.8 GHz.
    assert (LIGHT_WALL_LOSS_DB, HEAVY_WALL_LOSS_DB) == (3.4, 6.9)
    assert (FLOOR_LOSS_DB, FLOOR_EXPONENT) == (18.3, 0.46)


# Floor term with these constants; computed, printed to 3 decimals.
@pytest.mark.parametrize(
    ("floors", "loss_db"), [(1, 18.300), (2, 33.524), (3, 43.589), (4, 51.048)]
)
def test_floor_term(floors: int, loss_db: float) -> None:
    assert cost231_floor_loss_db(floors) == pytest.approx(loss_db, abs=5e-4)


# Whole paths with no constant loss; computed, printed to 3 decimals.
@pytest.mark.parametrize(
    ("frequency_hz", "distance_m", "light", "heavy", "floors", "loss_db"),
    [(868.42e6, 15.0, 2, 1, 1, 86.744), (433.92e6, 10.0, 1, 0, 0, 48.596)],
)
def test_whole_paths(
    frequency_hz: float, distance_m: float, light: int, heavy: int, floors: int, loss_db: float
) -> None:
    ours = (
        free_space_path_loss_db(frequency_hz, distance_m)
        + light * LIGHT_WALL_LOSS_DB
        + heavy * HEAVY_WALL_LOSS_DB
        + cost231_floor_loss_db(floors)
    )
    assert ours == pytest.approx(loss_db, abs=5e-4)
