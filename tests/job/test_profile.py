"""Limits of a profile: figures that nobody can mean are refused where they stand."""

import json
from pathlib import Path

import pytest

from pathproof.job import Library, Limit, Profile, Source, dump_job, parse_job, shipped
from pathproof.simulate import demo_job
from pathproof.terms import Evidence, JobError, LimitName


def profile_with(name: LimitName, value: float, unit: str | None = None) -> str:
    """The demo's job as a file, with one limit changed by hand."""
    data = json.loads(dump_job(demo_job()))
    limit = data["embedded"]["profile"]["limits"][name]
    limit.update(value=value, unit=limit["unit"] if unit is None else unit)
    return json.dumps(data)


# What the ranges allow is common practice, no source; that a count is whole, that odds lie between
# 0 and 1 and that a spread is not negative is arithmetic.
@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        (LimitName.LEVEL_READINGS, 0, "given 0; allowed: a whole number, 1 to 1000"),
        (LimitName.WALK_MESSAGES, 2.5, "given 2.5; allowed: a whole number, 1 to 1000"),
        (LimitName.MOBILE_NETWORKS_ROAMING, 0, "given 0; allowed: a whole number, 1 to 1000"),
        (LimitName.MOBILE_READINGS, -1, "given -1; allowed: a whole number, 1 to 1000"),
        (LimitName.MOBILE_MAX_AGE_DAYS, 1e9, "given 1000000000; allowed: 1 to 36500 days"),
        (LimitName.MOBILE_MINUTES, -0.5, "given -0.5; allowed: 0 to 527040 min"),
        (LimitName.RADIO_ODDS_RATIO, 0, "given 0; allowed: above 0 and below 1"),
        (LimitName.RADIO_ODDS_RATIO, 1, "given 1; allowed: above 0 and below 1"),
        (LimitName.RADIO_ODDS_RATIO, 95, "given 95; allowed: above 0 and below 1"),
        (LimitName.RADIO_SPREAD_PLAN_DB, -6, "given -6; allowed: 0 to 100 dB"),
        (LimitName.LTE_NEED_RSRP_DBM, 115, "given 115; allowed: -200 to 0 dBm"),
        (LimitName.STANDBY_H, -12, "given -12; allowed: 0 to 8784 h"),
        (LimitName.EVENT_AT_CENTRE_S, -1, "given -1; allowed: 0 to 31622400 s"),
        (LimitName.STANDBY_MARGIN_RATIO, 0.8, "given 0.8; allowed: 1 to 10"),
        (LimitName.SUPPLY_MIN_V, -10.5, "given -10.5; allowed: 0 to 100 V"),
    ],
)
def test_a_figure_that_nobody_can_mean(name: LimitName, value: float, says: str) -> None:
    with pytest.raises(JobError) as caught:
        parse_job(profile_with(name, value))
    assert f"embedded.profile.limits.{name}.value: {says}" in str(caught.value)


def test_the_unit_is_that_of_the_name() -> None:
    with pytest.raises(JobError) as caught:
        parse_job(profile_with(LimitName.STANDBY_H, 720, "min"))
    assert 'limits.standby_h.unit: given "min"; allowed: "h"' in str(caught.value)
    with pytest.raises(JobError) as caught:
        parse_job(profile_with(LimitName.RADIO_ODDS_RATIO, 0.95, "%"))
    assert 'limits.radio_odds_ratio.unit: given "%"; allowed: ""' in str(caught.value)


def test_every_name_has_a_range() -> None:
    source = Source(ref="none", evidence=Evidence.PRACTICE)
    shipped_limits = shipped().profiles["house_targets"].limits
    for name in LimitName:
        absurd = Limit(value=-1e12, unit=shipped_limits[name].unit, text="x", source=source)
        with pytest.raises(ValueError, match=f"limits.{name}.value"):
            Profile(id="x", title="x", text="", limits={name: absurd})


def test_a_profile_of_ones_own_is_held_to_it(tmp_path: Path) -> None:
    (tmp_path / "profile_own.toml").write_text(
        'id = "own"\ntitle = "Own"\ntext = "x"\n[limits.level_readings]\nvalue = 0\nunit = ""\n'
        'text = "x"\nsource = { ref = "x", evidence = "practice" }\n',
        "utf-8",
    )
    with pytest.raises(JobError, match=r"profile_own.toml(.|\n)*limits.level_readings.value"):
        Library().with_folder(tmp_path)
