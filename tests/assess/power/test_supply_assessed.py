"""The supply through the whole of `assess`: its link, findings and the next action."""

from pathproof.assess import assess
from pathproof.assess.types import Assessment
from pathproof.job import Job
from pathproof.terms import LinkKind, Reason, Severity, Word

from ._power_jobs import NOW, b1_job
from ._supply_jobs import BATTERY, MAINS, cable, changed, siren, supply_job, with_test


def _assessed(job: Job) -> Assessment:
    return assess(job, NOW)


def test_the_published_example_of_a_cable_reaches_the_assessment() -> None:
    # 16 AWG, 7 strands, 100 ft, 4 A: 4.99 ohm/kft at 75 degC (NEC chapter 9 table 8), 3.992 V of a
    # published example. 20.4 V - 3.992 V = 16.408 V where 17 V are needed; 14 AWG (3.14 ohm/kft)
    # takes 2.512 V.
    job = supply_job(
        changed("board", nominal_v=24.0, minimum_v=17.0),
        changed("block", nominal_v=24.0, end_v=None),
        changed("psu", peak_a=20.0),
        changed("siren", alarm_current_a=4.0, minimum_v=17.0),
        devices=[siren()],
        cables=[cable(length_m=30.48, part="awg_16", temperature_degc=75.0)],
    )
    found = _assessed(job)
    link = found.link("supply")
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert abs(link.margin.value + 0.592) < 0.0005
    [fault] = [f for f in found.findings if f.text.startswith("Supply of the panel:")]
    assert fault.severity is Severity.FAULT
    assert "Take 14 AWG, 7 strands or thicker for cable to_S1" in fault.do
    assert fault.do in {action.text for action in found.next}


def test_the_loads_of_a_published_quiz_ask_a_supply_for_their_sums() -> None:
    # Standby 0.5264 A and alarm 3.6082 A (the quiz of `_power_jobs`); 0.5 A for charging.
    job = b1_job(
        parts=[changed("psu", average_a=2.0, peak_a=4.1), changed("block")],
        supply=MAINS,
        battery=BATTERY,
    )
    link = _assessed(job).link("supply")
    values = {line.label: line.value for line in link.working}
    assert abs(float(values["What the supply has to give all day"]) - 1.0264) < 1e-9
    assert abs(float(values["What the supply has to give for a short time"]) - 4.1082) < 1e-9
    assert link.word is Word.LACKING
    assert "0.0082 A too little" in link.why


def test_a_proven_supply_carries_its_evidence() -> None:
    tested = with_test(supply_job(devices=[siren()]), alarm_current_a=0.9)
    link = _assessed(tested).link("supply")
    assert (link.kind, link.word) == (LinkKind.SUPPLY, Word.PROVEN)
    assert link.evidence == ("test1",)


def test_a_supply_without_a_test_is_predicted() -> None:
    lone = supply_job(devices=[siren()])
    assert _assessed(lone).link("supply").word is Word.PREDICTED


def test_an_unconfirmed_limit_asks_to_confirm_it() -> None:
    memory = {"source": {"ref": "A standard", "evidence": "memory"}}
    found = _assessed(supply_job(limits={"recharge_h": memory}, devices=[siren()]))
    assert found.link("supply").reason is Reason.LIMIT
    [gap] = [f for f in found.findings if f.text.startswith("Supply of the panel:")]
    assert "recharge_h" in gap.do


def test_copper_clad_aluminium_is_a_finding_of_the_assessment() -> None:
    clad = {"kind": "cable", "id": "clad", "area_mm2": 0.5, "copper_clad": True}
    job = supply_job(clad, devices=[siren()], cables=[cable(length_m=1.0, part="clad")])
    assert any("copper-clad" in f.text for f in _assessed(job).findings)


def test_a_site_without_a_supply_is_undecided_and_shows_no_sum() -> None:
    link = _assessed(supply_job(supply=None, devices=[siren()])).link("supply")
    assert (link.word, link.reason, link.working) == (Word.UNDECIDED, Reason.INPUT, ())
