"""What to do about a supply."""

import pytest

from pathproof.assess.power.check import amount, told_check
from pathproof.assess.power.supply_advice import (
    supply_ask,
    supply_findings,
    supply_proof,
    supply_remedy,
)
from pathproof.assess.types import Margin
from pathproof.terms import Severity

from ._supply_jobs import (
    cable,
    changed,
    context,
    link_of,
    module,
    siren,
    supply_job,
    with_test,
)


def test_the_remedy_names_the_size_that_holds_and_what_else_lacks() -> None:
    # 1 mm2 by hand, see test_supply_cables; 0.12 + 0.5 A all day of 0.55 A.
    job = supply_job(changed("psu", average_a=0.55), devices=[siren()], cables=[cable()])
    text = supply_remedy(context(job))
    assert text.startswith("Take 1 mm², class 5 or thicker for cable to_S1, or feed it from")
    assert "Choose a supply that gives 0.62 A or more all day" in text


def test_no_size_is_suggested_where_none_holds() -> None:
    job = supply_job(devices=[siren()], cables=[cable(length_m=900.0)])
    assert "No size of cable holds" in supply_remedy(context(job))


def test_a_battery_that_ends_too_low_is_the_first_cause_and_one_order() -> None:
    # It ends at 10 V, where the siren needs 10 V and the module 11 V: any drop is too much.
    of = supply_job(
        changed("block", end_v=10.0, chemistry="lithium_iron_phosphate", nominal_v=12.8),
        changed("siren", minimum_v=10.0),
        changed("module", minimum_v=11.0),
        devices=[siren()],
        cables=[cable()],
        communicators=[module()],
    )
    assert "the battery ends at 10 V where 11 V are needed" in link_of(of).why
    told = supply_remedy(context(of))
    assert told.startswith("Choose a battery that ends above 11 V: this one ends at 10 V")
    assert told.count("Choose") == 1
    assert "or thicker" not in told


def test_what_waits_for_a_limit_is_told_beside_what_lacks() -> None:
    memory = {"recharge_h": {"source": {"ref": "A standard", "evidence": "memory"}}}
    told = supply_remedy(context(supply_job(changed("psu", average_a=0.2), limits=memory)))
    assert told.startswith("Choose a supply that gives 0.6 A or more all day")
    assert "Look recharge_h up in your own copy and confirm it" in told


def test_has_and_needs_are_told_apart_by_their_figures() -> None:
    told = told_check(
        f"has {amount(9.995, 'V')} and needs {amount(10.0, 'V')}",
        Margin(value=-0.005, unit="V"),
        10.0,
        "",
    )
    assert told.why == "has 9.995 V and needs 10 V: 0.005 V too little"


def test_copper_is_suggested_in_place_of_copper_clad_aluminium_which_is_rejected() -> None:
    clad = {"kind": "cable", "id": "clad", "area_mm2": 0.5, "copper_clad": True}
    job = supply_job(clad, devices=[siren()], cables=[cable(length_m=20.0, part="clad")])
    assert "Take copper of 0.5 mm²" in supply_remedy(context(job))
    [(severity, about, text, do)] = supply_findings(context(job))
    assert severity is Severity.ADVICE
    assert about == "to_S1"
    assert "copper-clad" in text
    assert "Reject it" in do


def test_a_burst_that_droops_is_met_by_cable_battery_or_a_buffer() -> None:
    # 780.4 uF by hand, see test_supply_cables.
    droops = supply_job(communicators=[module()], cables=[cable("main", 20.0)])
    assert "a buffer of 780.39 uF or more" in supply_remedy(context(droops))
    unsaid = supply_job(
        changed("module", burst_s=None), communicators=[module()], cables=[cable("main", 20.0)]
    )
    assert "burst_s of module" in supply_remedy(context(unsaid))


def test_no_buffer_helps_where_the_average_is_too_much() -> None:
    # 40 m of 0.5 mm2: 3.12 ohm; a steady 0.5 A take 1.56 V of the 1.5 V that a module of 9 V has.
    hungry = changed("module", alarm_current_a=0.5)
    job = supply_job(hungry, communicators=[module()], cables=[cable("main", 40.0)])
    assert "no buffer helps" in supply_remedy(context(job))


@pytest.mark.parametrize(("capacity_ah", "found"), [(1.9, True), (2.0, False), (7.0, False)])
def test_a_charger_of_more_than_a_quarter_of_the_capacity_is_advised_on(
    capacity_ah: float, *, found: bool
) -> None:
    # 0.25 to 0.30 of the capacity an hour, typically: 0.5 A are a quarter of 2 Ah.
    findings = list(supply_findings(context(supply_job(changed("block", capacity_ah=capacity_ah)))))
    assert bool(findings) is found
    assert all("for charging" in text for _, _, text, _ in findings)


def test_a_charger_for_another_chemistry_is_asked_for() -> None:
    job = supply_job(changed("block", chemistry="nickel_metal_hydride"))
    [(severity, about, text, _)] = supply_findings(context(job))
    assert (severity, about) == (Severity.ADVICE, "battery")
    assert "no lead-acid battery" in text


@pytest.mark.parametrize("chemistry", ["lithium_ion", "lithium_iron_phosphate"])
@pytest.mark.parametrize(
    ("degc", "kind", "found"),
    [
        (-5.0, "mains_recharged", True),
        (0.0, "mains_recharged", False),
        (-5.0, "mains_not_recharged", False),
    ],
)
def test_a_lithium_battery_charged_in_frost_is_not_safe(
    chemistry: str, degc: float, kind: str, *, found: bool
) -> None:
    # Never charge a lithium cell below 0 degC: from memory of makers' papers.
    job = supply_job(
        changed("block", chemistry=chemistry),
        supply={"part": "psu", "kind": kind},
        battery={"part": "block", "temperature_degc": degc},
    )
    unsafe = [x for x in supply_findings(context(job)) if x[0] is Severity.SAFETY]
    assert bool(unsafe) is found
    assert all("below 0 °C" in text for _, _, text, _ in unsafe)


@pytest.mark.parametrize("nominal_v", [6.0, 24.0])
def test_a_battery_of_another_system_is_a_fault(nominal_v: float) -> None:
    job = supply_job(changed("block", nominal_v=nominal_v))
    [(severity, _, text, _)] = supply_findings(context(job))
    assert severity is Severity.FAULT
    assert f"has {nominal_v:g} V" in text


def test_a_usual_job_has_no_finding() -> None:
    job = supply_job(devices=[siren()], communicators=[module()], cables=[cable(length_m=2.0)])
    assert list(supply_findings(context(job))) == []


def test_what_is_missing_is_asked_for_by_part_and_field() -> None:
    silent = changed("siren", alarm_current_a=None)
    job = supply_job(silent, devices=[siren()], cables=[cable()])
    assert "alarm_current_a of siren" in supply_ask(context(job))
    no_battery = supply_job(battery=None)
    assert supply_ask(context(no_battery)).startswith("Choose the battery: fit at least 2.1 Ah")


def test_the_proof_says_what_to_measure_and_what_is_still_missing() -> None:
    job = supply_job()
    asked = supply_proof(context(job), link_of(job))
    assert "5 minutes" in asked
    assert "13.50 to 13.80 V" in asked
    assert asked.endswith("the account off test.")
    begun = with_test(job, charger_v=None)
    assert "Not measured yet: charger volts" in supply_proof(context(begun), link_of(begun))
