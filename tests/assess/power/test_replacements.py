"""How long cells last, and the calendar of what is to be replaced."""

import json
import time
from datetime import UTC, date, datetime
from typing import Any

import pytest
from pydantic import ValidationError

from pathproof.assess import Assessment, Finding, assess
from pathproof.assess.context import Context
from pathproof.assess.power import first_visit, replacements
from pathproof.assess.types import Replacement
from pathproof.job import DetectorPart, Job, Profile, embed
from pathproof.terms import Severity

from .._jobs import NOW, PARTS, SOURCE, device, library, with_entry

# The worked example of cell life: 1500 mAh, 90 % of it usable, 5 uA, 200 messages a day of 20 mA
# for 0.1 s, 1 % lost a year: 1350 / (43.8 + 40.556 + 15) = 13.5876 years, then the shelf life of
# 10 years. Computed in two ways.
CELL = {
    "designation": "CR17345",
    "capacity_ah": 1.5,
    "sleep_current_a": 5e-6,
    "message_current_a": 0.020,
    "message_s": 0.1,
}
# 75 messages a day by the profile and one of supervision each 691.2 s make 200; or 100 and 864 s.
EVERY_864_S = {"cell": CELL, "supervision_interval_s": 864.0}
BY_CHARGE_YEARS = pytest.approx(13.5876, abs=5e-5)


def _detector(part_id: str, **figures: Any) -> dict[str, Any]:
    radio = {"family": "f868", "frequency_hz": 868.42e6, "eirp_dbm": 0.0}
    fields = {"what": "contact", "radio": radio, "source": SOURCE, **figures}
    return {"kind": "detector", "id": part_id, "name": part_id.capitalize(), **fields}


HUNGRY = {**CELL, "sleep_current_a": 5e-5}
KIT = [
    _detector("door", **EVERY_864_S),
    _detector("pair", cell={**CELL, "count": 2}, supervision_interval_s=864.0),
    _detector("silent", cell=CELL),
    _detector("hungry", cell=HUNGRY, supervision_interval_s=864.0),
    _detector("blank"),
    _detector("fed", standby_current_a=0.01),
    _detector("siren", what="sounder", cell=HUNGRY),
    _detector("rushed", cell=CELL, supervision_interval_s=0.05),
    {
        "kind": "battery",
        "id": "block",
        "name": "Block",
        "source": SOURCE,
        "chemistry": "lead_acid",
        "nominal_v": 12.0,
        "capacity_ah": 7.0,
        "life_years": 4.0,
    },
]


def _job(*devices: dict[str, Any], part: dict[str, Any] | None = None, **site: Any) -> Job:
    kit = [*KIT, part] if part else KIT
    data = {
        "site": {"name": "Test", "panel": {"part": "panel_a"}, "devices": devices, **site},
        "embedded": {"catalogue": PARTS | {p["id"]: p for p in kit}},
    }
    return embed(Job.model_validate(data), library())


def _calendar(*devices: dict[str, Any], as_of: datetime = NOW, **site: Any) -> list[Replacement]:
    return list(assess(_job(*devices, **site), as_of).replacements)


def _only(*devices: dict[str, Any], **site: Any) -> Replacement:
    (found,) = _calendar(*devices, **site)
    return found


def _value(item: Replacement, label: str) -> float | str:
    (found,) = [line.value for line in item.working if line.label.startswith(label)]
    return found


def test_worked_example_is_capped_at_shelf_life() -> None:
    found = _only(device(part="door", cells_fitted_on="2026-05-04"))
    assert _value(found, "Years by the charge") == BY_CHARGE_YEARS
    assert (found.years, found.due, found.overdue) == (10.0, date(2036, 5, 4), False)
    assert found.why == "fitted on 2026-05-04, 10 years by shelf life"


# Each term of the example by hand, in mAh a year.
def test_terms_of_the_worked_example() -> None:
    found = _only(device(part="door"))
    assert _value(found, "Taken in a year asleep") == pytest.approx(43.8)
    events = _value(found, "Taken in a year by messages")
    supervision = _value(found, "Taken in a year by supervision")
    assert isinstance(events, float)
    assert isinstance(supervision, float)
    assert events == pytest.approx(supervision)
    assert events + supervision == pytest.approx(40.556, abs=5e-4)
    assert _value(found, "Lost in a year") == pytest.approx(15.0)


# By hand: 1350 / (438 + 40.556 + 15) = 2.7353 years, 2 years and 0.7353 * 365.25 = 268.6 days; two
# cells in series hold no more charge.
def test_more_sleep_current_counts_and_cells_in_series_add_nothing() -> None:
    found = _only(device(part="hungry", cells_fitted_on="2024-02-29"))
    assert found.years == pytest.approx(2.7353, abs=5e-5)
    assert found.due == date(2026, 11, 24)  # 269 days after 28 February 2026
    assert found.why == "fitted on 2024-02-29, 2.7 years by charge"
    pair = _only(device(part="pair"))
    assert _value(pair, "Years by the charge") == BY_CHARGE_YEARS
    assert pair.name == "2 x CR17345 (CR123A) for Pair"


# House targets: a message each 7200 s where the part tells none, so 12 a day beside 100:
# 112 * 365 * 20 mA * 0.1 s / 3600 = 22.711 mAh; 1350 / (43.8 + 22.711 + 15) = 16.562 years.
def test_a_part_that_tells_no_interval_goes_by_the_profile() -> None:
    found = _only(device(part="silent"))
    assert _value(found, "Years by the charge") == pytest.approx(16.562, abs=5e-4)
    line = next(x for x in found.working if "supervision" in x.label)
    assert line.inputs["T"] == (7200.0, "s")
    assert any(s.ref.startswith("House value") for s in line.sources)


def test_limits_from_memory_are_said() -> None:
    assert (
        "from memory that nobody confirmed"
        in _only(device(part="silent"), profile="nfpa_ul_household").why
    )
    told = _only(device(part="door"), profile="nfpa_ul_household")
    assert "memory" not in told.why


def test_what_sounding_takes_is_said_to_be_left_out() -> None:
    assert "what sounding takes is not counted" in _only(device(part="siren")).why


def test_alkaline_cells_are_said_to_lose_more() -> None:
    part = _detector("door", cell={**CELL, "designation": "LR6"})
    assert "alkaline cells lose more" in _only(device(part="door"), part=part).why
    assert "alkaline" not in _only(device(part="door")).why


# IEC 60086 CR2032: 220 to 235 mAh, typical, from memory.
def test_more_charge_than_such_a_cell_holds_is_said() -> None:
    coin = {**CELL, "designation": "CR2032"}
    for capacity_ah, said in ((0.22, False), (0.5, True)):
        part = _detector("door", cell=coin | {"capacity_ah": capacity_ah})
        why = _only(device(part="door"), part=part).why
        assert ("has 0.5 Ah, such a cell typically 0.22 to 0.235 Ah" in why) is said


def test_no_figures_no_years() -> None:
    found = _only(device(part="blank", cells_fitted_on="2026-05-04"))
    assert (found.years, found.due, found.overdue) == (None, None, False)
    assert found.why == "the catalogue gives no figures for the cells of Blank"
    assert found.name == "Cells for Blank"
    assert found.working == ()


def test_figures_that_cannot_be_are_named() -> None:
    found = _only(device(part="rushed", cells_fitted_on="2026-05-04"))
    assert found.due is None
    assert "the figures of Rushed cannot be: supervision_interval_s was 0.05" in found.why


def test_a_profile_without_the_figure() -> None:
    job = _job(device(part="door"))
    kept = {n: x for n, x in job.profile.limits.items() if n != "cell_events_per_day"}
    profile = Profile.model_validate({**job.profile.model_dump(), "limits": kept})
    (found,) = assess(job, NOW, profile).replacements
    assert found.why.startswith("profile house_targets gives no cell_events_per_day")


def test_wired_and_fed_devices_have_no_cells() -> None:
    assert _calendar(device(part="fed"), device("D2", part="wired")) == []


def test_devices_of_one_part_and_date_stand_together_soonest_first() -> None:
    found = _calendar(
        device("D1", part="door"),
        device("D2", part="pair", cells_fitted_on="2025-01-01"),
        device("D3", part="hungry", cells_fitted_on="2026-01-01"),
        device("D4", part="pair", cells_fitted_on="2025-01-01"),
        device("D5", part="hungry"),
        device("D6", part="blank"),
        battery={"part": "block", "fitted_on": "2025-03-01"},
    )
    assert [(r.id, r.things) for r in found] == [
        ("cells:hungry:2026-01-01", ("D3",)),
        ("battery", ("panel",)),
        ("cells:pair:2025-01-01", ("D2", "D4")),
        ("cells:hungry", ("D5",)),
        ("cells:door", ("D1",)),
        ("cells:blank", ("D6",)),
    ]
    assert found[2].name == "4 x CR17345 (CR123A) for 2 x Pair"


def test_first_visit_is_now_where_something_is_overdue_then_the_soonest() -> None:
    found = _calendar(
        device("D1", part="hungry", cells_fitted_on="2020-01-01"),
        device("D2", part="hungry"),
        battery={"part": "block", "fitted_on": "2025-05-25"},
    )
    assert first_visit(found, NOW.date()) == (
        "Visit due now: 1 x CR17345 (CR123A) for Hungry. Next visit by 2029-05-25, in 2.4 years: "
        "Standby battery, Block. Without a date, shortest: 1 x CR17345 (CR123A) for Hungry, "
        "2.7 years."
    )
    assert first_visit([], NOW.date()) == ""


def test_as_of_decides_what_is_overdue() -> None:
    devices = (device(part="hungry", cells_fitted_on="2024-02-29"),)
    on_the_day = datetime(2026, 11, 24, 23, tzinfo=UTC)
    assert not _calendar(*devices, as_of=on_the_day)[0].overdue
    assert _calendar(*devices, as_of=NOW)[0].overdue


def test_no_date_is_beyond_the_calendar() -> None:
    late = datetime(9996, 1, 1, tzinfo=UTC)
    (found,) = _calendar(device(part="door", cells_fitted_on="9995-01-01"), as_of=late)
    assert found.due == date.max


def test_cells_of_a_day_to_come_have_no_date_and_are_named() -> None:
    of = device(part="door", cells_fitted_on="2036-05-04")
    found = _only(of)
    assert (found.due, found.overdue) == (None, False)
    assert "2036-05-04: a date in the future" in found.why
    [told] = [f for f in assess(_job(of), NOW).findings if "is in the future" in f.text]
    assert (told.severity, told.about) == (Severity.GAP, "D1")
    assert "D1 2036-05-04" in told.text


def test_shape_of_the_json() -> None:
    answer = assess(_job(device(part="hungry", cells_fitted_on="2024-02-29")), NOW)
    (found,) = answer.as_dict()["replacements"]
    assert {k: v for k, v in found.items() if k not in ("working", "years")} == {
        "id": "cells:hungry:2024-02-29",
        "what": "cells",
        "name": "1 x CR17345 (CR123A) for Hungry",
        "things": ["D1"],
        "due": "2026-11-24",
        "overdue": True,
        "why": "fitted on 2024-02-29, 2.7 years by charge",
    }
    assert found["working"][-1]["value"] == "2026-11-24"


def _about_replacing(answer: Assessment) -> list[Finding]:
    words = ("to be replaced", "To be replaced")
    return [f for f in answer.findings if any(w in f.text for w in words)]


def test_overdue_is_a_gap_and_soon_is_advice() -> None:
    job = _job(
        device("D1", part="hungry", cells_fitted_on="2023-01-01"),
        device("D2", part="hungry", cells_fitted_on="2024-06-01"),
        device("D3", part="door", cells_fitted_on="2024-06-01"),
        battery={"part": "block", "fitted_on": "2023-11-25"},
    )
    overdue, advice = _about_replacing(assess(job, NOW))
    assert (overdue.severity, overdue.about) == (Severity.GAP, "D1")
    assert "to be replaced by 2025-09-27" in overdue.text
    assert (advice.severity, advice.about) == (Severity.ADVICE, "D2, panel")
    assert "Standby battery, Block by 2027-11-25" in advice.text


def test_an_overdue_battery_asks_for_a_new_test() -> None:
    job = _job(device(part="door"), battery={"part": "block", "fitted_on": "2022-11-24"})
    (overdue,) = _about_replacing(assess(job, NOW))
    assert (overdue.severity, overdue.about) == (Severity.GAP, "panel")
    assert "test standby and supply again" in overdue.do


def test_what_was_tested_in_place_and_has_no_date_is_a_gap() -> None:
    devices = (device("D1", part="door"), device("D2", part="door"))
    job = _job(*devices, battery={"part": "block"})
    assert _about_replacing(assess(job, NOW)) == []
    values = {"signal": "alarm", "arrived": True, "means": "list"}
    tested = with_entry(job, [], kind="event", values=values, about=["D2"])
    (gap,) = _about_replacing(assess(tested, NOW))
    assert (gap.severity, gap.about) == (Severity.GAP, "D2")
    measured = {"standby_current_a": 0.1}
    with_test = with_entry(job, [], kind="supply_test", values=measured, about=["panel"])
    (gap,) = _about_replacing(assess(with_test, NOW))
    assert gap.about == "panel"


def test_nothing_to_replace_changes_no_word() -> None:
    bare = _job(device(part="door"))
    dated = _job(device(part="door", cells_fitted_on="2001-01-01"))
    one, other = assess(bare, NOW), assess(dated, NOW)
    assert (one.word, one.links) == (other.word, other.links)


def test_300_devices_of_300_dates_take_no_time() -> None:
    many = [
        device(f"D{i}", part="hungry", cells_fitted_on=str(date.fromordinal(738_000 + i)))
        for i in range(300)
    ]
    job = _job(*many)
    ctx = Context(job, NOW, None, leave_out_later=False)
    begun = time.perf_counter()
    assert len(replacements(ctx)) == 300
    assert time.perf_counter() - begun < 1.0


# Ranges of the catalogue: wide enough for any cell, common practice, no source.
@pytest.mark.parametrize("figure", ["capacity_ah", "sleep_current_a", "message_current_a"])
@pytest.mark.parametrize("value", [5e-324, 100.0])
def test_the_least_and_most_that_a_part_may_state(figure: str, value: float) -> None:
    part = _detector("door", cell={**CELL, figure: value})
    found = assess(_job(device(part="door", cells_fitted_on="2026-01-01"), part=part), NOW)
    json.dumps(found.as_dict(), allow_nan=False)
    (row,) = found.replacements
    assert row.due is not None
    assert date(2026, 1, 1) <= row.due <= date(2036, 1, 1)


def test_a_slip_of_the_unit_is_refused() -> None:
    with pytest.raises(ValidationError, match="less than or equal to 1000"):
        DetectorPart.model_validate(_detector("door", cell={**CELL, "capacity_ah": 1500.0}))
