"""What must hold for any readings of a mobile level, whatever their bins and their order."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from pathproof.calc.mobile import (
    BinnedLevels,
    Interval,
    Side,
    binned_levels,
    certainty_of_tenth_percentile,
    compare_levels,
    median_bounds,
    serial_correlation,
    tenth_percentile,
    tenth_percentile_bounds,
    tolerance_factor,
    tolerance_of_tenth_percentile,
    watch,
)

Readings = list[tuple[float, float, float]]
"""Level, how far its bin reaches below it and how far above; an infinite reach is an open end."""

reaches_db = st.floats(0.0, 3.0) | st.just(math.inf)
closed_db = st.floats(0.0, 3.0)
values = st.floats(-140.0, -44.0)
readings = st.lists(
    st.tuples(values, reaches_db, closed_db) | st.tuples(values, closed_db, reaches_db),
    min_size=1,
    max_size=60,
)
many_readings = st.lists(st.tuples(values, closed_db, closed_db), min_size=22, max_size=60)


def _levels(given_readings: Readings) -> BinnedLevels:
    return binned_levels([(v - low, v + high) for v, low, high in given_readings])


@given(readings)
def test_bounds_hold_the_percentiles_of_the_true_levels(some: Readings) -> None:
    levels, true = _levels(some), sorted(v for v, _, _ in some)
    tenth, median = tenth_percentile_bounds(levels), median_bounds(levels)
    assert tenth.low <= tenth_percentile(true) <= tenth.high
    assert median.low - 1e-9 <= np.median(true) <= median.high + 1e-9
    assert tenth.low <= median.low
    assert tenth.high <= median.high


@given(many_readings, st.randoms(use_true_random=False))
def test_order_does_not_matter_where_time_is_not_asked(some: Readings, chance: object) -> None:
    shuffled = list(some)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    a, b = _levels(some), _levels(shuffled)
    assert tenth_percentile_bounds(a) == tenth_percentile_bounds(b)
    assert median_bounds(a) == median_bounds(b)
    assert tolerance_of_tenth_percentile(a, 0.9) == tolerance_of_tenth_percentile(b, 0.9)


@given(many_readings)
def test_a_sure_bound_is_no_better_than_the_percentile_read(some: Readings) -> None:
    levels = _levels(some)
    bound = tolerance_of_tenth_percentile(levels, 0.9)
    assert bound is not None
    assert bound.value <= tenth_percentile_bounds(levels).low
    assert bound.confidence_ratio >= 0.9


@given(many_readings, st.integers(1, 40))
def test_more_readings_that_are_no_worse_never_lower_the_bound(some: Readings, more: int) -> None:
    before = tolerance_of_tenth_percentile(_levels(some), 0.9)
    best = max(some, key=lambda r: r[0] - r[1])
    after = tolerance_of_tenth_percentile(_levels(some + [best] * more), 0.9)
    assert before is not None
    assert after is not None
    assert after.value >= before.value


@given(st.integers(1, 500), st.data())
def test_certainty_grows_with_readings_and_falls_with_those_below(
    count: int, data: st.DataObject
) -> None:
    below = data.draw(st.integers(0, count - 1))
    certainty = certainty_of_tenth_percentile(count, below)
    assert 0.0 <= certainty <= 1.0
    assert certainty_of_tenth_percentile(count + 1, below) >= certainty - 1e-12
    assert certainty_of_tenth_percentile(count, below + 1) <= certainty + 1e-12


@settings(deadline=None)
@given(st.floats(2.0, 300.0), st.floats(1.0, 2.0), st.floats(0.5, 0.99))
def test_tolerance_factor_falls_with_readings(n: float, more: float, confidence: float) -> None:
    assert tolerance_factor(n * more, confidence) <= tolerance_factor(n, confidence) + 1e-9


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(values, closed_db, closed_db), min_size=2, max_size=40),
    st.lists(st.floats(0.0, 300.0), min_size=39, max_size=39),
    st.floats(-140.0, -60.0),
)
def test_any_watch_is_counted_soundly(
    some: Readings, gaps_s: list[float], requirement: float
) -> None:
    levels = _levels(some)
    at_s = np.cumsum([0.0, *gaps_s])[: levels.count].tolist()
    correlation = serial_correlation(levels, at_s)
    assert 1.0 <= correlation.independent <= levels.count
    # At 30 s and exponential correlation, not even the best weights make more of a watch than one
    # a minute and the one that is there at once.
    assert correlation.independent <= 1.0 + correlation.watched_s / 60.0 + 1e-9
    found = watch(levels, at_s, requirement, 0.9)
    assert found.enough == (found.certainty_ratio >= 0.9)
    if found.enough:
        assert found.needed_s is not None
        assert found.needed_s <= correlation.watched_s + 1e-6
        assert watch(levels, at_s, requirement - 5.0, 0.9).enough
    elif found.needed_s is not None:
        assert found.needed_s >= correlation.watched_s


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(values, closed_db, closed_db), min_size=2, max_size=30),
    st.floats(-50.0, 50.0),
    st.floats(0.0, 1e6),
)
def test_neither_the_level_nor_the_hour_plays_a_part_in_how_readings_hang_together(
    some: Readings, shift_db: float, later_s: float
) -> None:
    at_s = [30.0 * i for i in range(len(some))]
    before = serial_correlation(_levels(some), at_s)
    shifted = [(v + shift_db, low, high) for v, low, high in some]
    after = serial_correlation(_levels(shifted), [t + later_s for t in at_s])
    if before.varied and np.ptp(_levels(some).shown) > 1e-3:
        assert math.isclose(after.independent, before.independent, rel_tol=1e-4)


@given(readings, readings, st.floats(0.0, 5.0), st.booleans())
def test_comparing_the_other_way_round_turns_the_odds_round(
    one: Readings, other: Readings, offset_db: float, same: bool
) -> None:
    a = Side(levels=_levels(one), instrument_spread_db=offset_db)
    b = Side(levels=_levels(other), instrument_spread_db=2.0)
    there = compare_levels(a, b, reading_spread_db=6.0, same_instrument=same)
    back = compare_levels(b, a, reading_spread_db=6.0, same_instrument=same)
    bounds = Interval(1.0 - back.odds_bounds.high, 1.0 - back.odds_bounds.low)
    assert math.isclose(there.odds_bounds.low, bounds.low, abs_tol=1e-12)
    assert math.isclose(there.odds_bounds.high, bounds.high, abs_tol=1e-12)
    if there.odds_ratio is not None and back.odds_ratio is not None:
        assert math.isclose(there.odds_ratio, 1.0 - back.odds_ratio, abs_tol=1e-12)
