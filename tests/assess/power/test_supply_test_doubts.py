"""What a supply test says that cannot be, or is too old, proves nothing and buys nothing."""

from datetime import UTC, datetime
from typing import Any

import pytest

from pathproof.assess import Assessment, assess
from pathproof.job import Job
from pathproof.terms import LimitName, Reason, Severity, Word

from ._power_jobs import NOW
from ._supply_jobs import BATTERY, MAINS, cable, changed, line_of, siren, supply_job, with_test

# The board states 0.1 A in standby and 0.4 A in alarm.
LONG_LIVED = changed("block", life_years=8.0)
WHOLE: dict[str, Any] = {"standby_current_a": 0.1, "battery_date": "2026-06-01"}


def made(*tests: dict[str, Any], block: dict[str, Any] = LONG_LIVED, **site: Any) -> Job:
    """A job with supply tests a day apart, whole where nothing else is told."""
    job = supply_job(block, **site)
    for values in tests:
        job = with_test(job, **{**WHOLE, **values})
    return job


def words(found: Assessment) -> tuple[Word, Word]:
    return found.link("supply").word, found.link("standby").word


def finding(found: Assessment, part: str) -> tuple[Severity, str, str]:
    [one] = [f for f in found.findings if part in f.text]
    return one.severity, one.text, one.do


def test_a_whole_and_likely_test_proves_both() -> None:
    assert words(assess(made({}), NOW)) == (Word.PROVEN, Word.PROVEN)


# Volts that no battery under load has.


@pytest.mark.parametrize(
    "slip",
    [
        {"loaded_v": 13.0},  # above 2.15 V of 6 cells
        {"loaded_v": 12.8, "charger_v": 12.8},
        {"loaded_v": 12.8, "charger_v": 12.6},
    ],
)
def test_volts_that_are_no_battery_s_under_load_prove_nothing(slip: dict[str, float]) -> None:
    found = assess(made(slip), NOW)
    assert Word.PROVEN not in words(found)
    assert finding(found, "the mains was on, or a slip")[0] is Severity.GAP
    assert "the mains was on, or a slip" in found.link("standby").missing


@pytest.mark.parametrize(
    ("chemistry", "nominal_v", "most_v"),
    [
        ("lithium_iron_phosphate", 12.8, 14.6),  # 4 cells of 3.65 V
        ("lithium_ion", 11.1, 12.6),  # 3 cells of 4.20 V
        ("nickel_metal_hydride", 12.0, 14.5),  # 10 cells of 1.45 V
    ],
)
def test_full_volts_of_other_chemistries(chemistry: str, nominal_v: float, most_v: float) -> None:
    block = changed("block", life_years=8.0, chemistry=chemistry, nominal_v=nominal_v)
    for loaded_v, word in ((most_v, Word.PROVEN), (most_v + 0.01, Word.PREDICTED)):
        job = made({"loaded_v": loaded_v, "charger_v": None}, block=block)
        assert assess(job, NOW).link("standby").word is word


def test_volts_below_the_need_lack_whatever_the_charger_s_are() -> None:
    found = assess(made({"loaded_v": 9.0, "charger_v": 8.0}), NOW)
    assert words(found) == (Word.LACKING, Word.LACKING)


def test_volts_measured_again_mend_it() -> None:
    found = assess(made({"loaded_v": 13.0}, {}), NOW)
    assert words(found) == (Word.PROVEN, Word.PROVEN)
    assert not [f for f in found.findings if "a slip" in f.text]


# Currents that look like slips.


def test_a_slip_of_the_decimal_point_is_measured_again_and_nothing_bought() -> None:
    found = assess(made({"alarm_current_a": 17.2}), NOW)
    supply = found.link("supply")
    assert (supply.word, supply.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "17.2 A (test1, 2026-11-01), where the parts state 0.4 A together" in supply.why
    for said in [*(a.text for a in found.next), *(f.do for f in found.findings)]:
        assert "Choose a supply" not in said
        assert "Fit " not in said
    assert finding(found, "alarm current was measured as 17.2 A")[0] is Severity.GAP


def test_a_slip_makes_no_cable_lack() -> None:
    job = supply_job(LONG_LIVED, devices=[siren()], cables=[cable(length_m=10.0)])
    found = assess(with_test(job, alarm_current_a=9.0, **WHOLE), NOW).link("supply")
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert line_of(found, "volts at S1 in alarm").value == pytest.approx(10.5 - 0.39)


def test_what_lacks_by_the_parts_alone_lacks_beside_a_slip() -> None:
    job = supply_job(LONG_LIVED, changed("psu", peak_a=0.8))
    found = assess(with_test(job, alarm_current_a=17.2, **WHOLE), NOW).link("supply")
    assert found.word is Word.LACKING
    assert "0.9 A" in found.why  # 0.4 A and 0.5 A for charging
    assert "17" not in found.why


@pytest.mark.parametrize(
    ("currents", "unproven"),
    [
        ({"alarm_current_a": 0.19}, True),  # twice and half of 0.4 A
        ({"alarm_current_a": 0.2}, False),
        ({"alarm_current_a": 0.8}, False),
        ({"alarm_current_a": 0.81}, True),
        ({"standby_current_a": 0.066}, True),  # 1.5 times of 0.1 A, and as far below
        ({"standby_current_a": 0.067}, False),
        ({"standby_current_a": 0.15}, False),
        ({"standby_current_a": 0.151}, True),
    ],
)
def test_a_current_far_from_what_is_stated_proves_nothing(
    currents: dict[str, float], unproven: bool
) -> None:
    found = assess(made(currents), NOW)
    word = Word.PREDICTED if unproven else Word.PROVEN
    assert words(found) == (word, word)
    assert ("measured again" in found.link("standby").missing) is unproven


def test_an_alarm_that_takes_less_than_standby_proves_nothing() -> None:
    quiet = changed("board", alarm_current_a=0.12)
    job = supply_job(LONG_LIVED, quiet)
    likely = with_test(job, **{**WHOLE, "alarm_current_a": 0.11})
    assert words(assess(likely, NOW)) == (Word.PROVEN, Word.PROVEN)
    found = assess(with_test(job, **{**WHOLE, "alarm_current_a": 0.09}), NOW)
    assert words(found) == (Word.PREDICTED, Word.PREDICTED)
    assert "less than the 0.1 A in standby" in found.link("standby").missing
    # The larger counts: 0.12 A as stated.
    assert line_of(found.link("standby"), "Alarm current that counts").value == 0.12


def test_an_alarm_that_takes_less_by_the_parts_too_is_no_slip() -> None:
    quiet = changed("board", alarm_current_a=0.09)
    job = supply_job(LONG_LIVED, quiet)
    found = assess(with_test(job, **{**WHOLE, "alarm_current_a": 0.09}), NOW)
    assert words(found) == (Word.PROVEN, Word.PROVEN)


def test_a_standby_slip_fits_no_larger_battery() -> None:
    found = assess(made({"standby_current_a": 1.0}), NOW).link("standby")
    assert (found.word, found.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "where the parts state 0.1 A together" in found.why
    assert found.missing.startswith("Measure standby and alarm current at the panel again")


def test_currents_measured_again_mend_it() -> None:
    found = assess(made({"alarm_current_a": 17.2}, {}), NOW)
    assert words(found) == (Word.PROVEN, Word.PROVEN)
    # And a slip takes a proof away until it is measured again.
    assert Word.PROVEN not in words(assess(made({}, {"alarm_current_a": 17.2}), NOW))


# Tests that are too old.


def test_a_test_proves_for_400_days_with_the_house_targets() -> None:
    job = made({})  # of 2026-11-01T10:00Z
    for as_of, word in (
        (datetime(2027, 12, 6, 9, tzinfo=UTC), Word.PROVEN),
        (datetime(2027, 12, 6, 11, tzinfo=UTC), Word.PREDICTED),
    ):
        assert words(assess(job, as_of)) == (word, word)
    late = assess(job, datetime(2028, 1, 1, tzinfo=UTC))
    for link in ("supply", "standby"):
        assert "test1 is of 2026-11-01, more than 400 days ago" in late.link(link).missing


def test_what_an_old_test_found_too_much_still_lacks() -> None:
    job = supply_job(LONG_LIVED, changed("psu", peak_a=1.1))
    old = with_test(job, **{**WHOLE, "alarm_current_a": 0.7})
    late = datetime(2028, 1, 1, tzinfo=UTC)
    assert assess(old, late).link("supply").word is Word.LACKING
    low = made({"loaded_v": 9.0})
    assert words(assess(low, late)) == (Word.LACKING, Word.LACKING)


def test_a_limit_of_age_from_memory_keeps_a_test_from_proving() -> None:
    memory = {"source": {"ref": "A standard", "evidence": "memory"}}
    found = assess(made({}, limits={"supply_test_max_age_days": memory}), NOW)
    assert words(found) == (Word.PREDICTED, Word.PREDICTED)
    assert LimitName.SUPPLY_TEST_MAX_AGE_DAYS in found.link("supply").missing


def test_the_supply_rests_on_no_battery_past_its_date() -> None:
    short = changed("block", life_years=1.0)
    job = made({"battery_date": "2025-06-01"}, block=short)
    found = assess(job, NOW).link("supply")
    assert found.word is Word.PREDICTED
    assert "not past its date" in found.missing


# Dates that had not come.


def test_a_date_on_the_battery_after_the_test_does_not_count() -> None:
    job = made({"battery_date": "2036-06-01"})
    found = assess(job, NOW)
    assert found.link("standby").word is Word.PREDICTED
    assert "the date of the battery" in found.link("standby").missing
    assert finding(found, "2036-06-01")[0] is Severity.GAP
    [battery] = [r for r in found.replacements if r.id == "battery"]
    assert battery.due is None


def test_a_battery_fitted_in_the_future_has_no_due_day() -> None:
    site = {"battery": {**BATTERY, "fitted_on": "2036-06-01"}, "supply": MAINS}
    found = assess(supply_job(LONG_LIVED, **site), NOW)
    [battery] = [r for r in found.replacements if r.id == "battery"]
    assert battery.due is None
    assert "a date in the future" in battery.why
    assert finding(found, "panel 2036-06-01")[0] is Severity.GAP
