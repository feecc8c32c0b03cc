"""What must hold for any feeder, mismatch, building and sender."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.calc.radio import (
    COAX_TYPES,
    PUBLIC_RULES,
    BuildingType,
    CoaxType,
    DistanceRule,
    break_even_length_m,
    building_entry_loss_db,
    coax_loss,
    distance_to_keep,
    feeder_loss_db,
    mismatch_loss_db,
    return_loss_db,
    return_loss_seen_db,
    two_mismatches_loss_db,
)

cables = st.sampled_from(list(COAX_TYPES.values()))
frequencies_hz = st.floats(10e6, 6e9)
lengths_m = st.floats(0.0, 500.0)
standing_waves = st.floats(1.0, 50.0)
losses_db = st.floats(0.0, 60.0)
eirps_dbm = st.floats(-60.0, 60.0)
stated_distances_m = st.floats(0.01, 5.0)
shares = st.floats(0.001, 0.999)
exposed_hz = st.floats(30e6, 100e9)


@given(cables, frequencies_hz, lengths_m, lengths_m)
def test_a_longer_feeder_loses_more_and_pieces_add_up(
    cable: CoaxType, frequency_hz: float, one_m: float, other_m: float
) -> None:
    one, other, both = (
        coax_loss(cable, frequency_hz, x).loss_db for x in (one_m, other_m, one_m + other_m)
    )
    assert both >= max(one, other)
    assert both == pytest.approx(one + other)


@given(cables, frequencies_hz, frequencies_hz, lengths_m)
def test_a_feeder_loses_more_at_a_higher_frequency(
    cable: CoaxType, one_hz: float, other_hz: float, length_m: float
) -> None:
    low, high = (coax_loss(cable, f, length_m) for f in sorted((one_hz, other_hz)))
    assert high.loss_db >= low.loss_db
    assert low.low_db <= low.loss_db <= low.high_db


@given(cables, frequencies_hz, st.floats(-10.0, 30.0), st.floats(0.0, 10.0))
def test_a_shorter_feeder_than_break_even_leaves_gain_and_a_longer_one_none(
    cable: CoaxType, frequency_hz: float, gain_db: float, other_db: float
) -> None:
    per_100m_db = coax_loss(cable, frequency_hz, 100.0).loss_db
    length_m = break_even_length_m(gain_db, other_db, per_100m_db)
    factors = (cable.k1_db_per_100m, cable.k2_db_per_100m, frequency_hz)
    if length_m > 0.0:
        assert gain_db - other_db - feeder_loss_db(*factors, length_m * 0.99) > 0.0
    assert gain_db - other_db - feeder_loss_db(*factors, length_m * 1.01 + 0.01) < 0.0


@given(standing_waves, standing_waves, losses_db)
def test_mismatch_is_the_same_from_both_ends(vswr: float, other: float, loss_db: float) -> None:
    there, back = (
        two_mismatches_loss_db(vswr, other, loss_db),
        two_mismatches_loss_db(other, vswr, loss_db),
    )
    assert there.low_db == pytest.approx(back.low_db, abs=1e-9)
    assert there.high_db == pytest.approx(back.high_db, abs=1e-9)


@given(standing_waves, standing_waves, losses_db, losses_db)
def test_no_mismatch_gains_power_and_feeder_loss_narrows_the_range(
    vswr: float, other: float, one_db: float, other_db: float
) -> None:
    less, more = (two_mismatches_loss_db(vswr, other, x) for x in sorted((one_db, other_db)))
    alone = float(mismatch_loss_db(vswr)) + float(mismatch_loss_db(other))
    assert -1e-9 <= less.low_db <= more.low_db + 1e-9
    assert more.low_db <= alone + 1e-9 <= more.high_db + 2e-9
    assert more.high_db <= less.high_db + 1e-9


@given(standing_waves, standing_waves)
def test_a_worse_standing_wave_loses_and_reflects_more(one: float, other: float) -> None:
    better, worse = sorted((one, other))
    assert mismatch_loss_db(worse) >= mismatch_loss_db(better)
    assert return_loss_db(worse) <= return_loss_db(better)


@given(st.floats(1.001, 50.0), losses_db)
def test_a_feeder_never_makes_an_antenna_read_worse(vswr: float, loss_db: float) -> None:
    own = return_loss_db(vswr)
    assert return_loss_seen_db(own, loss_db) >= own


@given(st.sampled_from(BuildingType), st.floats(0.08e9, 100e9), shares, shares)
def test_more_places_are_covered_only_by_more_entry_loss(
    building: BuildingType, frequency_hz: float, one: float, other: float
) -> None:
    low, high = (building_entry_loss_db(building, frequency_hz, p) for p in sorted((one, other)))
    assert high >= low


@given(eirps_dbm, eirps_dbm, exposed_hz, stated_distances_m)
def test_more_power_never_asks_for_less_distance(
    one_dbm: float, other_dbm: float, frequency_hz: float, stated_m: float
) -> None:
    weak, strong = (
        distance_to_keep(p, frequency_hz, stated_m) for p in sorted((one_dbm, other_dbm))
    )
    assert strong.keep_m >= weak.keep_m


@given(eirps_dbm, exposed_hz, stated_distances_m, st.booleans())
def test_the_distance_to_keep_is_below_none_of_what_asks_for_one(
    eirp_dbm: float, frequency_hz: float, stated_m: float, reflected: bool
) -> None:
    found = distance_to_keep(eirp_dbm, frequency_hz, stated_m, ground_reflection=reflected)
    asked = {
        DistanceRule.STATED: stated_m,
        DistanceRule.NEAR_FIELD: found.near_field_m,
        **found.far_field_m,
    }
    assert set(found.far_field_m) == set(PUBLIC_RULES)
    assert found.keep_m == max(asked.values()) == asked[found.rule]


@given(eirps_dbm, exposed_hz)
def test_four_times_the_power_asks_for_twice_the_distance(
    eirp_dbm: float, frequency_hz: float
) -> None:
    one = distance_to_keep(eirp_dbm, frequency_hz).far_field_m
    four = distance_to_keep(eirp_dbm + 6.020599913279624, frequency_hz).far_field_m
    for rule, distance_m in one.items():
        assert four[rule] == pytest.approx(2.0 * distance_m)
