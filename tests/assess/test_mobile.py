"""Mobile links from readings."""

from typing import Any

import pytest
from scipy.stats import norm

from pathproof.assess import Link, assess
from pathproof.job import Job
from pathproof.terms import Reason, Word

from ._jobs import NOW, PARTS, device, entry, make_job, with_entry

NETWORKS = [
    {"mcc_mnc": f"001-0{i}", "label": f"N{i}", "technologies": ["lte", "gsm"]} for i in (1, 2, 3)
]


def _level(value: float, quantity: str = "rsrp_dbm") -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "low": value - 0.5, "high": value + 0.5}


def _reading(network: str, *values: float, **fields: Any) -> dict[str, Any]:
    levels = [_level(v, fields.pop("quantity", "rsrp_dbm")) for v in values]
    technology = fields.pop("technology", None)
    shown = {"levels": levels, "network": network, "technology": technology}
    fields = {"about": ["S1"], "conditions": {}, **fields}
    return entry("reading", shown, **fields)


def _job(*record: dict[str, Any], kind: str = "fixed", part: str = "lte", **fields: Any) -> Job:
    sim = {"kind": kind, "networks": ["001-01"] if kind == "fixed" else []}
    communicator = {"id": "C1", "part": part, "sim": sim, "spot": "S1", **fields}
    return make_job(
        [r | {"id": f"r{i}"} for i, r in enumerate(record)],
        devices=[device()],
        networks=NETWORKS,
        spots=[{"id": "S1", "name": "Hall"}],
        communicators=[communicator],
    )


def _link(job: Job) -> Link:
    return assess(job, NOW).link("mobile:C1")


def test_a_single_reading_predicts_with_its_spread_and_does_not_prove() -> None:
    link = _link(_job(_reading("001-01", -98.0)))
    # house figures (practice): need -115 dBm, fade margin 10 dB, spread 6 dB and half a bin
    assert link.word is Word.PREDICTED
    assert link.margin is not None
    assert link.margin.value == pytest.approx(7.0)
    assert link.probability == pytest.approx(norm.cdf(17.0 / (6.0**2 + 0.5**2) ** 0.5))


def test_too_weak_a_reading_is_lacking() -> None:
    link = _link(_job(_reading("001-01", -108.0)))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-3.0)


def test_index_16_of_31_is_enough_for_a_module() -> None:
    # Common practice, no source: 16 on the 0 to 31 scale (-81 dBm) is enough for an alarm module.
    job = _job(_reading("001-01", -81.0, quantity="rssi_dbm"), part="gsm")
    assert _link(job).word is Word.PREDICTED


def test_rssi_does_not_grade_lte() -> None:
    link = _link(_job(_reading("001-01", -60.0, quantity="rssi_dbm", technology="lte")))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "RSRP" in link.why


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ([("001-01", -90.0)], Word.UNDECIDED),
        ([("001-01", -90.0), ("001-02", -98.0)], Word.PREDICTED),
        ([("001-01", -90.0), ("001-02", -110.0)], Word.UNDECIDED),
        ([("001-01", -90.0), ("001-02", -110.0), ("001-03", -120.0)], Word.LACKING),
        ([("001-01", -90.0), ("001-02", -110.0), ("001-03", -99.0)], Word.PREDICTED),
    ],
)
def test_a_card_that_roams_needs_two_networks(
    readings: list[tuple[str, float]], word: Word
) -> None:
    assert _link(_job(*(_reading(n, v) for n, v in readings), kind="roaming")).word is word


def test_other_networks_do_not_help_a_fixed_card() -> None:
    link = _link(_job(_reading("001-02", -80.0)))
    assert link.word is Word.UNDECIDED


def test_no_reading_no_card_no_communicator() -> None:
    assert "no level" in _link(_job()).why
    assert "card" in _link(_job(_reading("001-01", -90.0), sim=None)).why
    none = assess(make_job(devices=[device()]), NOW).link("mobile:none")
    assert none.word is Word.UNDECIDED


def test_antenna_and_feeder_change_a_reading_taken_without_them() -> None:
    fields = {"antenna": "whip", "feeder": {"part": "coax", "length_m": 10.0, "connectors": 2}}
    plain = _link(_job(_reading("001-01", -90.0)))
    link = _link(_job(_reading("001-01", -90.0), **fields))
    # RG-58C class, MIL-C-17 form with handbook points: 142.2 dB/100 m at 2.6 GHz (restated), a
    # little more at the top of the band; 2 connectors of 0.5 dB; antenna 3 dBi
    assert link.margin is not None
    assert plain.margin is not None
    assert link.margin.value - plain.margin.value == pytest.approx(3 - 14.5 - 1.0, abs=0.4)
    final = _job(_reading("001-01", -90.0, conditions={"final_antenna": True}), **fields)
    assert _link(final).margin == plain.margin


def _over_time(count: int, minutes: int, value: float = -95.0, **fields: Any) -> Job:
    job = _job()
    for i in range(count):
        minute = i * minutes // max(1, count - 1)
        at = f"2026-11-20T{10 + minute // 60:02d}:{minute % 60:02d}:00+00:00"
        shown = {"levels": [_level(value)], "network": "001-01", "technology": "lte"}
        new = {"kind": "reading", "about": ["C1"], "values": shown, "at": at, **fields}
        job = with_entry(job, ["mobile:C1"], id=f"r{i}", **new)
    return job


def test_readings_over_time_with_everything_final_prove() -> None:
    # house figures (practice): 10 readings over 30 minutes
    assert _link(_over_time(10, 30)).word is Word.PROVEN
    assert _link(_over_time(9, 30)).word is Word.PREDICTED
    assert _link(_over_time(10, 20)).word is Word.PREDICTED
    assert _link(_over_time(10, 30, conditions={"final_antenna": True})).word is Word.PREDICTED
    assert _link(_over_time(10, 30, value=-106.0)).word is Word.LACKING


def test_changing_the_card_voids_the_proof() -> None:
    job = _over_time(10, 30)
    data = job.model_dump(mode="json")
    data["site"]["communicators"][0]["sim"]["networks"] = ["001-01", "001-02"]
    link = _link(Job.model_validate(data))
    assert link.word is not Word.PROVEN


def test_a_reading_that_names_no_network_counts_for_none_of_several() -> None:
    unnamed = _reading("001-01", -90.0)
    unnamed["values"]["network"] = None
    link = _link(_job(unnamed))
    assert link.word is Word.UNDECIDED
    assert "which network" in link.why


def test_the_modules_own_reading_is_of_the_cards_only_network() -> None:
    own = _reading("001-01", -90.0, about=["C1"])
    own["values"]["network"] = None
    assert _link(_job(own)).word is Word.PREDICTED


def test_readings_that_are_too_old_do_not_count() -> None:
    # house figure (practice): 365 days
    link = _link(_job(_reading("001-01", -90.0, at="2025-11-01T10:00:00+00:00")))
    assert link.word is Word.UNDECIDED


def test_what_a_roaming_card_needs_is_said() -> None:
    some = [_reading("001-01", -90.0), _reading("001-02", -110.0)]
    assert "not read yet: 001-03" in _link(_job(*some, kind="roaming")).why
    link = _link(_job(*some, _reading("001-03", -120.0), kind="roaming"))
    assert "roams" in link.why
    assert "001-02" in link.why


def _changed(job: Job, **communicator: Any) -> Job:
    data = job.model_dump(mode="json")
    data["site"]["communicators"][0] |= communicator
    data["embedded"]["catalogue"] |= {k: PARTS[k] for k in ("whip", "coax")}
    return Job.model_validate(data)


def test_a_reading_about_module_and_spot_proves_nothing_once_the_antenna_is_another() -> None:
    job = _job()
    for i in range(10):
        values = {"levels": [_level(-95.0)], "network": "001-01", "technology": "lte"}
        at = f"2026-11-20T10:{i * 4:02d}:00+00:00"
        new = {"kind": "reading", "about": ["C1", "S1"], "values": values, "at": at}
        job = with_entry(job, ["mobile:C1", "spot:S1"], id=f"r{i}", **new)
    assert _link(job).word is Word.PROVEN
    assert _link(_changed(job, antenna="whip")).word is Word.PREDICTED
    feeder = {"part": "coax", "length_m": 30.0}
    assert _link(_changed(job, antenna="whip", feeder=feeder)).word is Word.LACKING


def test_a_module_in_the_panel_moves_with_it() -> None:
    floors = [{"id": "G", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0}]
    panel = {"part": "panel_a", "floor": "G", "at": [0.0, 0.0], "height_m": 1.5}
    sim = {"kind": "fixed", "networks": ["001-01"]}
    job = make_job(
        devices=[device()],
        networks=NETWORKS,
        floors=floors,
        panel=panel,
        communicators=[{"id": "C1", "part": "lte", "sim": sim}],
    )
    values = {"levels": [_level(-95.0)], "network": "001-01", "technology": "lte"}
    job = with_entry(job, ["mobile:C1"], kind="reading", about=["C1"], values=values)
    assert _link(job).word is Word.PREDICTED
    data = job.model_dump(mode="json")
    data["site"]["panel"]["at"] = [30.0, 20.0]
    assert _link(Job.model_validate(data)).word is Word.UNDECIDED


def test_an_ended_account_carries_nothing() -> None:
    assert _link(_job(_reading("001-01", -80.0), state="ended")).word is Word.LACKING


def test_a_band_that_the_module_has_not_does_not_count() -> None:
    reading = _reading("001-01", -80.0)
    reading["values"]["band"] = "3"
    assert _link(_job(reading, part="lte_band_20")).word is Word.UNDECIDED
    reading["values"]["band"] = "B20"
    assert _link(_job(reading, part="lte_band_20")).word is Word.PREDICTED


def test_another_antenna_is_believed_even_of_the_module_itself() -> None:
    fields = {"antenna": "whip", "feeder": {"part": "coax", "length_m": 30.0}}
    own = _reading("001-01", -90.0, about=["C1"], conditions={"final_antenna": False})
    assert _link(_job(own, **fields)).word is Word.LACKING


def test_one_moment_is_one_reading_in_however_many_quantities() -> None:
    job = _job(part="gsm")
    for i in range(5):
        levels = [_level(-81.0, "rssi_dbm"), _level(-81.0, "rxlev_dbm")]
        values = {"levels": levels, "network": "001-01", "technology": "gsm"}
        at = f"2026-11-20T10:{i * 8:02d}:00+00:00"
        new = {"kind": "reading", "about": ["C1"], "values": values, "at": at}
        job = with_entry(job, ["mobile:C1"], id=f"r{i}", **new)
    assert _link(job).word is Word.PREDICTED  # 10 readings are asked (house figure, practice)


def test_the_weakest_of_a_few_readings_counts() -> None:
    link = _link(_job(_reading("001-01", -80.0), _reading("001-01", -112.0)))
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-7.0)
