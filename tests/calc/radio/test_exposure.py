"""Exposure: what binds, edges of range, bad input. Published values are in tests/published."""

import math

import pytest

from pathproof.calc.radio import (
    EXPOSURE_LIMITS,
    DistanceRule,
    distance_to_keep,
    exposure_limit_w_per_m2,
    far_field_distance_m,
    near_field_limit_m,
)
from pathproof.terms import Evidence, InvalidInputError, OutOfRangeError

GENERAL = DistanceRule.CFR_GENERAL
PUBLIC = DistanceRule.ICNIRP_PUBLIC
LOCAL = DistanceRule.ICNIRP_PUBLIC_LOCAL
OCCUPATIONAL = DistanceRule.CFR_OCCUPATIONAL


class TestWhatBinds:
    def test_the_stated_distance_for_a_usual_module(self) -> None:
        distance = distance_to_keep(26.0, 824e6)
        assert (distance.keep_m, distance.rule) == (0.2, DistanceRule.STATED)
        assert set(distance.far_field_m) == {GENERAL, PUBLIC}
        assert max(distance.far_field_m.values()) < 0.2

    def test_the_limits_for_a_strong_sender(self) -> None:
        distance = distance_to_keep(46.0, 824e6)
        assert distance.rule is PUBLIC
        assert distance.keep_m == distance.far_field_m[PUBLIC] > distance.far_field_m[GENERAL]
        assert distance_to_keep(46.0, 824e6, rules=(GENERAL,)).rule is GENERAL
        workers = distance_to_keep(46.0, 824e6, rules=(OCCUPATIONAL,))
        assert workers.keep_m == pytest.approx(distance.far_field_m[GENERAL] / math.sqrt(5.0))

    def test_the_near_field_for_a_weak_sender_at_a_long_wave(self) -> None:
        distance = distance_to_keep(-20.0, 100e6, stated_m=0.01)
        assert distance.rule is DistanceRule.NEAR_FIELD
        assert distance.keep_m == distance.near_field_m == near_field_limit_m(100e6)

    def test_a_reflection_asks_for_more(self) -> None:
        plain = distance_to_keep(40.0, 824e6)
        reflected = distance_to_keep(40.0, 824e6, ground_reflection=True)
        assert reflected.keep_m == pytest.approx(1.6 * plain.keep_m)
        assert reflected.near_field_m == plain.near_field_m


def test_limits_grow_into_each_other() -> None:
    """Where two spans meet they agree, but for the rounded factors of ICNIRP's local levels."""
    for rule, limit in EXPOSURE_LIMITS.items():
        for _, edge_hz, _ in limit.spans[:-1]:
            below = exposure_limit_w_per_m2(rule, edge_hz)
            above = exposure_limit_w_per_m2(rule, edge_hz * (1 + 1e-12))
            assert above == pytest.approx(below, rel=0.005 if rule is LOCAL else 1e-9)


def test_local_levels_never_ask_for_more_distance() -> None:
    for f_mhz in range(30, 6001, 10):
        local = exposure_limit_w_per_m2(LOCAL, f_mhz * 1e6)
        assert local >= 3.99 * exposure_limit_w_per_m2(PUBLIC, f_mhz * 1e6)


@pytest.mark.parametrize(
    ("rule", "low_hz", "high_hz"),
    [
        (GENERAL, 30e6, 100e9),
        (OCCUPATIONAL, 300e6, 100e9),
        (PUBLIC, 30e6, 300e9),
        (LOCAL, 30e6, 6e9),
    ],
)
def test_outside_the_frequencies_of_a_rule(
    rule: DistanceRule, low_hz: float, high_hz: float
) -> None:
    assert exposure_limit_w_per_m2(rule, low_hz) > 0.0
    assert exposure_limit_w_per_m2(rule, high_hz) > 0.0
    for frequency_hz in (low_hz * 0.999, high_hz * 1.001, 824.0):
        with pytest.raises(OutOfRangeError) as caught:
            far_field_distance_m(rule, 26.0, frequency_hz)
        assert (caught.value.low, caught.value.high) == (low_hz, high_hz)
        assert str(rule) in str(caught.value)


def test_sources_say_what_is_from_memory() -> None:
    tags = {rule: limit.source.evidence for rule, limit in EXPOSURE_LIMITS.items()}
    assert tags[PUBLIC] is Evidence.MEMORY
    assert tags[GENERAL] is tags[OCCUPATIONAL] is tags[LOCAL] is Evidence.RESTATED


@pytest.mark.parametrize("eirp_dbm", [math.nan, math.inf, -math.inf, 101.0, 1e9])
def test_powers_that_make_no_sense(eirp_dbm: float) -> None:
    with pytest.raises(InvalidInputError, match=r"^eirp_dbm was"):
        distance_to_keep(eirp_dbm, 824e6)


@pytest.mark.parametrize("bad", [0.0, -0.2, math.nan, math.inf])
def test_other_bad_input(bad: float) -> None:
    with pytest.raises(InvalidInputError, match=r"^stated_m was"):
        distance_to_keep(26.0, 824e6, stated_m=bad)
    with pytest.raises(InvalidInputError, match=r"^frequency_hz was"):
        distance_to_keep(26.0, bad)


def test_a_rule_without_a_limit_is_refused() -> None:
    with pytest.raises(InvalidInputError, match="47 CFR"):
        far_field_distance_m(DistanceRule.STATED, 26.0, 824e6)
