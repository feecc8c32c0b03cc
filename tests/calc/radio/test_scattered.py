"""Losses to scattered places: the plain rule's, to the last bit."""

import numpy as np
import pytest

from pathproof.calc.radio.crossings import Obstacles, crossed_loss_db
from pathproof.calc.radio.scattered import scattered_loss_db
from pathproof.simulate.buildings import BuildingKind
from pathproof.terms import InvalidInputError

from ._fast import Case, random_case
from .test_shadows import LOSSES, building


def agrees(case: Case, places_m: np.ndarray) -> bool:
    fast = scattered_loss_db(case.obstacles, *case.classes, LOSSES, case.transmitters_m, places_m)
    plain = [
        crossed_loss_db(
            case.obstacles, *case.classes, LOSSES, np.broadcast_to(t, places_m.shape), places_m
        )
        for t in case.transmitters_m
    ]
    return np.array_equal(fast, np.array(plain).astype(np.float32))


def test_plans_where_almost_everything_touches() -> None:
    for seed in range(300):
        case = random_case(seed, walls=40, cells=12)
        assert agrees(case, case.places_m()), seed


@pytest.mark.parametrize("kind", BuildingKind)
def test_generated_buildings(kind: BuildingKind) -> None:
    case = building(kind, transmitters=3)
    low, high = case.places_m().min(axis=0), case.places_m().max(axis=0)
    places = np.random.default_rng(4).uniform(low, high + np.array([0.0, 0.0, 4.0]), (300, 3))
    assert agrees(case, places)


def test_transmitters_at_the_very_places_of_the_receivers() -> None:
    case = random_case(1)
    assert agrees(case, case.transmitters_m)


def test_shapes() -> None:
    empty = Obstacles.from_arrays()
    one, none = [(0.0, 0.0, 1.0)], np.empty((0, 3))
    table = np.ones((1, 2))
    assert scattered_loss_db(empty, [], [], [], table, one, one * 3).tolist() == [[0.0] * 3]
    assert scattered_loss_db(empty, [], [], [], table, none, one).shape == (0, 1)
    assert scattered_loss_db(empty, [], [], [], table, one, none).shape == (1, 0)


@pytest.mark.parametrize("places", [[(0.0, np.nan, 0.0)], [(0.0, 0.0)], [(0.0, 0.0, np.inf)]])
def test_bad_places(places: list[tuple[float, ...]]) -> None:
    with pytest.raises(InvalidInputError, match="receivers_m"):
        scattered_loss_db(
            Obstacles.from_arrays(), [], [], [], np.ones((1, 2)), [(0.0, 0.0, 0.0)], places
        )
