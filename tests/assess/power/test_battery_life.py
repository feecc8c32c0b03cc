"""When the standby battery is to be replaced."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from pathproof.assess.context import Context
from pathproof.assess.power import BatteryLife, battery_life
from pathproof.job import Job, embed
from pathproof.job.record import SupplyTestEntry

from .._jobs import NOW, PARTS, SOURCE, entry, library

BLOCK = {
    "kind": "battery",
    "id": "block",
    "name": "Block 12 V 7 Ah",
    "source": SOURCE,
    "chemistry": "lead_acid",
    "nominal_v": 12.0,
    "capacity_ah": 7.0,
    "life_years": 8.0,
}


def _job(
    *record: dict[str, Any],
    part: dict[str, Any] | None = None,
    profile: str = "house_targets",
    **battery: Any,
) -> Job:
    block = BLOCK | (part or {})
    data = {
        "site": {
            "name": "Test",
            "panel": {"part": "panel_a"},
            "profile": profile,
            "battery": {"part": "block", **battery},
        },
        "record": [r | {"id": f"t{i}"} for i, r in enumerate(record, start=1)],
        "embedded": {"catalogue": PARTS | {"block": {k: v for k, v in block.items() if v}}},
    }
    return embed(Job.model_validate(data), library())


def _life(job: Job, as_of: datetime = NOW) -> BatteryLife:
    found = battery_life(Context(job, as_of, None, leave_out_later=True))
    assert found is not None
    return found


def _test(battery_date: str | None, at: str = "2026-06-01T09:00:00+00:00") -> dict[str, Any]:
    return entry("supply_test", {"battery_date": battery_date}, at=at, about=["panel"])


def test_no_battery_has_no_life() -> None:
    data = {
        "site": {"name": "Test", "panel": {"part": "panel_a"}},
        "embedded": {"catalogue": PARTS},
    }
    job = embed(Job.model_validate(data), library())
    assert battery_life(Context(job, NOW, None, leave_out_later=False)) is None


# AGM 8, 6 and 4 years at 20, 25 and 30 degC: a public handbook's table, typical years; the rule
# that halves for each 10 K keeps to it within half a year.
@pytest.mark.parametrize(("degc", "years"), [(20.0, 8.0), (25.0, 6.0), (30.0, 4.0)])
def test_warmth_costs_life_as_in_a_handbook(degc: float, years: float) -> None:
    assert _life(_job(temperature_degc=degc)).years == pytest.approx(years, abs=0.5)


def test_cold_gives_no_more_than_is_stated() -> None:
    assert _life(_job(temperature_degc=-10.0)).years == 8.0


def test_only_lead_acid_follows_the_rule() -> None:
    part = {"chemistry": "lithium_iron_phosphate"}
    assert _life(_job(part=part, temperature_degc=40.0)).years == 8.0


def test_beyond_the_rule_nothing_is_said() -> None:
    found = _life(_job(temperature_degc=65.0, fitted_on="2025-01-01"))
    assert (found.years, found.due) == (None, None)
    assert "no rule on hand" in found.why


def test_a_battery_of_no_stated_life() -> None:
    found = _life(_job(part={"life_years": None}, fitted_on="2025-01-01"))
    assert found.due is None
    assert found.why == "the catalogue states no life for Block 12 V 7 Ah"
    assert not found.past(date.max)


# NFPA 72: not more than 4 years on by the edition of 2022, 5 years before (two trade articles).
def test_the_rule_holds_only_where_the_profile_is_of_that_world() -> None:
    dated = {"fitted_on": "2025-03-01"}
    assert _life(_job(**dated)).due == date(2033, 3, 1)
    assert _life(_job(profile="nfpa_ul_household", **dated)).due == date(2029, 3, 1)
    assert _life(_job(profile="en_50131_grade_2", **dated)).due == date(2033, 3, 1)
    short = _job(part={"life_years": 3.0}, profile="nfpa_ul_household", **dated)
    assert _life(short).due == date(2028, 3, 1)
    unstated = _job(part={"life_years": None}, profile="nfpa_ul_household", **dated)
    assert _life(unstated).due == date(2029, 3, 1)


@pytest.mark.parametrize(
    ("profile", "due"),
    [
        ("nfpa_72_2010_to_2019", date(2030, 3, 1)),
        ("nfpa_72_2022", date(2029, 3, 1)),
        ("nfpa_ul_household", date(2029, 3, 1)),  # leaves the edition open: the sooner one
        ("ul_household_burglary", date(2033, 3, 1)),  # by its own life alone
        ("en_54_4_bs_5839_1", date(2033, 3, 1)),
        ("pd_6662_2004_grade_3", date(2033, 3, 1)),
    ],
)
def test_the_edition_of_the_profile_decides(profile: str, due: date) -> None:
    assert _life(_job(profile=profile, fitted_on="2025-03-01")).due == due


def test_both_editions_stand_in_the_working() -> None:
    found = _life(_job(profile="nfpa_ul_household"))
    editions = {s.edition for line in found.working for s in line.sources}
    assert {"2022", "before 2022"} <= editions


def test_leap_day() -> None:
    found = _life(_job(part={"life_years": 5.0}, fitted_on="2024-02-29"))
    assert found.due == date(2029, 2, 28)
    assert not found.past(date(2029, 2, 28))
    assert found.past(date(2029, 3, 1))


def test_what_stands_on_it_goes_before_when_it_was_fitted() -> None:
    job = _job(_test("2024-11-05"), part={"life_years": 2.0}, fitted_on="2026-05-04")
    found = _life(job)
    assert (found.dated, found.entry) == (date(2024, 11, 5), "t1")
    assert found.due == date(2026, 11, 5)
    assert found.past(NOW.date())


def test_a_test_of_the_battery_before_this_one_says_nothing() -> None:
    found = _life(_job(_test("2019-05-05", "2026-05-03T09:00:00+00:00"), fitted_on="2026-05-04"))
    assert (found.dated, found.entry) == (date(2026, 5, 4), None)


def test_the_newest_test_that_read_a_date_counts_as_of_the_day() -> None:
    job = _job(
        _test("2024-01-10", "2026-06-01T09:00:00+00:00"),
        _test("2025-02-10", "2026-08-01T09:00:00+00:00"),
        _test(None, "2026-09-01T09:00:00+00:00"),
    )
    assert all(isinstance(e, SupplyTestEntry) for e in job.record)
    assert _life(job).dated == date(2025, 2, 10)
    assert _life(job, datetime(2026, 7, 1, tzinfo=UTC)).dated == date(2024, 1, 10)


def test_no_date_on_record() -> None:
    found = _life(_job())
    assert (found.due, found.dated, found.years) == (None, None, 8.0)
    assert found.why == "8 years"
    assert not any("To be replaced" in line.label for line in found.working)
