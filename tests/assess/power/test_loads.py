"""Load schedule: what takes current from the panel's supply."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pathproof.assess.power import draws_of, load_schedule, write_loads
from pathproof.assess.sheet import Sheet
from pathproof.job import Job
from pathproof.terms import Technology

from ._power_jobs import B1_ALARM_A, B1_STANDBY_A, b1_job, power_job

MODULE = {
    "technologies": ["lte", "gsm"],
    "average_current_a": 0.03,
    "peak_current_a": 1.5,
    "alarm_current_a": 0.12,
}
DRAWS = [
    {"technology": "lte", "idle_a": 0.012, "report_a": 0.15, "report_s": 8.0, "peak_a": 0.75},
    {"technology": "gsm", "idle_a": 0.010, "report_a": 0.26, "report_s": 10.0, "peak_a": 1.8},
]
REPORTING = {"interval_s": 80.0, "misses": 2, "timeout_s": 10.0}
SIM = {"kind": "fixed", "networks": ["001-01"]}


def _with_module(part: dict[str, Any], **site: Any) -> Job:
    parts = [{"kind": "communicator", "id": "module", **part}]
    communicators = [{"id": "main", "part": "module", "sim": SIM}]
    return power_job(parts, **{"communicators": communicators, "networks": _network(), **site})


def _network(*technologies: str) -> list[dict[str, Any]]:
    return [{"mcc_mnc": "001-01", "label": "One", "technologies": list(technologies)}]


def test_a_published_list_of_parts_adds_up_as_printed() -> None:
    # Quiz of a trade magazine on standby batteries: 0.5264 A and 3.6082 A.
    schedule = load_schedule(b1_job())
    assert schedule.standby_a == pytest.approx(B1_STANDBY_A, abs=1e-12)
    assert schedule.alarm_a == pytest.approx(B1_ALARM_A, abs=1e-12)
    assert schedule.unknown == ()


def test_wireless_devices_live_on_their_cells() -> None:
    radio = {"family": "f868", "frequency_hz": 868e6, "eirp_dbm": 0.0}
    parts = [
        {"kind": "detector", "id": "wireless", "what": "motion", "radio": radio},
        {"kind": "repeater", "id": "own_adapter", "radios": [radio]},
        {"kind": "repeater", "id": "from_panel", "radios": [radio], "standby_current_a": 0.02,
         "alarm_current_a": 0.03},
    ]  # fmt: skip
    job = power_job(
        parts,
        devices=[{"id": "D1", "name": "D1", "part": "wireless"}],
        repeaters=[
            {"id": "R1", "name": "R1", "part": "own_adapter"},
            {"id": "R2", "name": "R2", "part": "from_panel"},
        ],
    )
    assert [d.things for d in load_schedule(job).draws] == [("panel",), ("R2",)]


def test_a_wireless_device_that_a_cable_feeds_takes_current_too() -> None:
    radio = {"family": "f868", "frequency_hz": 868e6, "eirp_dbm": 0.0}
    parts = [
        {"kind": "detector", "id": "siren", "what": "sounder", "radio": radio},
        {"kind": "cable", "id": "wire", "area_mm2": 0.5},
    ]
    devices = [{"id": f"S{i}", "name": f"S{i}", "part": "siren"} for i in range(3)]
    cable = {
        "id": "run",
        "part": "wire",
        "to": "S0",
        "length_m": 10.0,
        "on_the_way": [{"to": "S1", "at_m": 5.0}],
    }
    schedule = load_schedule(power_job(parts, devices=devices, cables=[cable]))
    assert [d.things for d in schedule.draws] == [("panel",), ("S0", "S1")]
    assert schedule.unknown == ("standby and alarm current of 2 x siren (S0, S1)",)


def test_what_reports_often_takes_more_by_the_share_of_the_time_that_it_reports() -> None:
    job = _with_module(MODULE | {"draws": DRAWS}, networks=_network("lte"), reporting=REPORTING)
    module = draws_of(job, "main")
    assert module.standby_a == pytest.approx(0.012 + 0.15 * 8 / 80)  # by hand
    assert (module.alarm_a, module.peak_a) == (0.15, 0.75)
    assert (module.alarm_by, module.burst_by) == (None, None)


def test_of_the_technologies_that_its_networks_offer_the_one_that_takes_most_counts() -> None:
    both = _with_module(
        MODULE | {"draws": DRAWS}, networks=_network("lte", "gsm"), reporting=REPORTING
    )
    module = draws_of(both, "main")
    assert module.standby_a == pytest.approx(0.010 + 0.26 * 10 / 80)
    assert (module.alarm_a, module.peak_a) == (0.26, 1.8)
    assert (module.alarm_by, module.burst_by) == (Technology.GSM, Technology.GSM)
    sheet = Sheet()
    write_loads(sheet, load_schedule(both))
    told = [line for line in sheet.lines if line.label.endswith(" by GSM")]
    assert [(line.value, line.formula[-13:]) for line in told][1:] == [
        (0.26, "the safe case"),
        (1.8, "the safe case"),
    ]


def test_where_nobody_says_what_is_offered_every_technology_counts() -> None:
    job = _with_module(MODULE | {"draws": DRAWS}, reporting=REPORTING)
    assert draws_of(job, "main").peak_a == 1.8


def test_a_module_that_reports_without_a_pause_takes_no_more_than_idle_and_report() -> None:
    always = REPORTING | {"interval_s": 1.0}
    job = _with_module(MODULE | {"draws": DRAWS[:1]}, reporting=always)
    assert draws_of(job, "main").standby_a == pytest.approx(0.012 + 0.15)
    sheet = Sheet()
    write_loads(sheet, load_schedule(job))
    assert "min(1, length of a report / reporting interval)" in sheet.lines[0].formula


@settings(max_examples=30, deadline=None)
@given(st.floats(1.0, 1e6), st.floats(1.0, 1e6))
def test_reporting_more_often_never_takes_less(one_s: float, other_s: float) -> None:
    often_a, seldom_a = (
        draws_of(
            _with_module({**MODULE, "draws": DRAWS}, reporting={**REPORTING, "interval_s": each}),
            "main",
        ).standby_a
        for each in sorted((one_s, other_s))
    )
    assert often_a is not None
    assert seldom_a is not None
    assert often_a >= seldom_a


def test_without_an_interval_the_stated_average_counts() -> None:
    job = _with_module(MODULE | {"draws": DRAWS})
    assert draws_of(job, "main").standby_a == 0.03


def test_without_interval_and_average_nobody_says_what_it_takes() -> None:
    job = _with_module({"technologies": ["lte"], "draws": DRAWS[:1]})
    assert load_schedule(job).unknown == ("standby current of module (main)",)


def test_the_alarm_current_is_the_larger_of_stated_and_report() -> None:
    stated = MODULE | {"draws": DRAWS[:1], "alarm_current_a": 0.5}
    assert draws_of(_with_module(stated, reporting=REPORTING), "main").alarm_a == 0.5


def test_the_burst_is_what_one_module_takes_beyond_its_average() -> None:
    parts = [
        {"kind": "communicator", "id": "small", **MODULE},
        {"kind": "communicator", "id": "large", **(MODULE | {"peak_current_a": 2.0})},
    ]
    job = power_job(
        parts, communicators=[{"id": "A", "part": "small"}, {"id": "B", "part": "large"}]
    )
    assert load_schedule(job).burst_a == pytest.approx(2.0 - 0.03)


@pytest.mark.parametrize(("peak", "burst"), [({}, None), ({"peak_current_a": 0.01}, 0.0)])
def test_a_burst_that_nobody_states_is_not_nothing(
    peak: dict[str, Any], burst: float | None
) -> None:
    part = {"technologies": ["lte"], "average_current_a": 0.03, "alarm_current_a": 0.1, **peak}
    assert load_schedule(_with_module(part)).burst_a == burst


def test_a_site_without_a_module_has_no_burst() -> None:
    assert load_schedule(power_job()).burst_a == 0.0


def test_currents_that_nobody_says_are_named() -> None:
    parts = [{"kind": "detector", "id": "siren", "what": "sounder", "standby_current_a": 0.001}]
    job = power_job(parts, devices=[{"id": "S1", "name": "S1", "part": "siren"}])
    schedule = load_schedule(job)
    assert schedule.unknown == ("alarm current of siren (S1)",)
    assert schedule.standby_a == pytest.approx(0.101)


def test_a_site_without_panel_says_so() -> None:
    assert "panel" in load_schedule(power_job(panel=None)).unknown[0]


def test_the_sums_show_every_part_with_its_things() -> None:
    sheet = Sheet()
    standby, alarm = write_loads(sheet, load_schedule(b1_job()))
    lines = {x.id: x for x in sheet.lines}
    assert lines[standby].value == pytest.approx(B1_STANDBY_A)
    assert lines[alarm].value == pytest.approx(B1_ALARM_A)
    horns = next(v for k, v in lines[alarm].inputs.items() if k.startswith("10 x horn"))
    assert horns == (pytest.approx(0.18), "A")
