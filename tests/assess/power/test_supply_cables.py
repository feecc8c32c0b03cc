"""Volts over cables, through a job: published rows, several loads, what the tables lack."""

import pytest

from pathproof.terms import Reason, Word

from ._supply_jobs import cable, changed, line_of, link_of, module, siren, supply_job


def test_the_published_example_of_16_awg_through_a_job() -> None:
    # A published example of voltage drop: 16 AWG, 7 strands, 100 ft, 4 A, 4.99 ohm/kft at 75 degC
    # (NEC chapter 9 table 8): 2 x 100 x 0.00499 x 4 = 3.992 V, printed 4.0.
    job = supply_job(
        changed("board", nominal_v=24.0, minimum_v=16.0),
        changed("block", nominal_v=24.0, end_v=None),
        changed("psu", peak_a=20.0),
        changed("siren", alarm_current_a=4.0, minimum_v=16.0),
        devices=[siren()],
        cables=[cable(length_m=30.48, part="awg_16", temperature_degc=75.0)],
    )
    link = link_of(job)
    # 20.4 V of 24 V at the end of discharge, as equipment manuals have it.
    assert line_of(link, "Volts of the battery").value == 20.4
    volts = line_of(link, "volts at S1 in alarm")
    assert volts.value == pytest.approx(20.4 - 3.992, abs=0.0005)
    assert line_of(link, "Margin of S1").value == pytest.approx(0.408, abs=0.0005)
    assert line_of(link, "one wire").value == pytest.approx(16.371, abs=0.0005)  # ohm/km, by Pint
    assert link.word is Word.PREDICTED
    assert link.margin is not None
    assert link.margin.unit == "V"
    assert link.margin.value == pytest.approx(0.408, abs=0.0005)
    assert link.scale == pytest.approx(4.4)


def test_a_row_of_iec_60228_by_hand_is_lacking_and_names_the_size_that_holds() -> None:
    # IEC 60228, 0.5 mm2 class 5: 39.0 ohm/km at 20 degC. 2 x 40 m x 0.039 x 0.5 A = 1.56 V, so
    # 8.94 V of 10.5 V are left where 9.6 V are needed. The 0.9 V allowed take 1 mm2 (19.5 ohm/km:
    # 0.78 V); 0.75 mm2 (26.0 ohm/km) would take 1.04 V.
    link = link_of(supply_job(devices=[siren()], cables=[cable()]))
    assert line_of(link, "volts at S1 in alarm").value == pytest.approx(8.94)
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-0.66)
    assert link.scale == pytest.approx(0.9)
    assert "to_S1" in link.why
    assert "8.94 V" in link.why
    assert "0.66 V too little" in link.why
    assert line_of(link, "smallest conductor").value == "1 mm², class 5"


def test_an_uncoated_gauge_at_20_degc_drops_less_than_the_75_degc_row() -> None:
    # NBS Handbook 100: 18 AWG solid 6.385 ohm/kft at 20 degC; NEC table 8 has 7.77 at 75 degC.
    wire = {"kind": "cable", "id": "awg_18", "awg": 18, "strands": "solid"}
    link = link_of(supply_job(wire, devices=[siren()], cables=[cable(part="awg_18")]))
    row = line_of(link, "one wire")
    assert row.value == pytest.approx(6.385 / 0.3048, rel=1e-6)
    assert row.inputs["row at 20 °C"] == (6.385, "ohm/kft")
    assert row.inputs["row at 75 °C"] == (7.77, "ohm/kft")


def test_several_loads_are_summed_stretch_by_stretch_beside_the_safe_case() -> None:
    # By hand, 0.5 mm2 class 5: at 10 m 2 x 0.039 x (10 x 0.5 + 10 x 0.5) = 0.78 V, at 40 m
    # 2 x 0.039 x (10 x 0.5 + 40 x 0.5) = 1.95 V, all at the far end 2 x 0.039 x 40 x 1 = 3.12 V.
    job = supply_job(
        devices=[siren("S1"), siren("S2")],
        cables=[cable(on_the_way=[{"to": "S2", "at_m": 10.0}])],
    )
    link = link_of(job)
    assert line_of(link, "volts at S2 in alarm").value == pytest.approx(10.5 - 0.78)
    assert line_of(link, "volts at S1 in alarm").value == pytest.approx(10.5 - 1.95)
    assert line_of(link, "the safe case").value == pytest.approx(3.12)
    # The far one decides: 8.55 V of 9.6 V.
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-1.05)


def test_the_smallest_size_gives_each_load_its_own_volts() -> None:
    # The near one needs 10.3 V: 0.2 V over 2 x (10 x 0.5 + 10 x 0.5) = 20 Am allow 10 ohm/km, for
    # which it takes 2.5 mm2 (7.98; 1.5 mm2 has 13.3). The far one would do with 18 ohm/km.
    keen = {**changed("siren", minimum_v=10.3), "id": "keen"}
    job = supply_job(
        keen,
        devices=[siren("S1"), siren("S2", "keen")],
        cables=[cable(on_the_way=[{"to": "S2", "at_m": 10.0}])],
    )
    assert line_of(link_of(job), "smallest conductor").value == "2.5 mm², class 5"


def test_no_size_holds_where_the_battery_ends_below_the_need() -> None:
    hungry = changed("siren", minimum_v=11.0)
    link = link_of(supply_job(hungry, devices=[siren()], cables=[cable(length_m=1.0)]))
    assert link.word is Word.LACKING
    assert line_of(link, "smallest conductor").value == "none"


def test_a_cable_to_the_panel_carries_everything_else_and_lowers_the_others() -> None:
    # 0.5 mm2 over 5 m are 0.39 ohm out and back. The board's 0.4 A and the siren's 0.5 A take
    # 0.351 V; the siren's own 10 m (0.78 ohm) 0.39 V more.
    job = supply_job(
        devices=[siren()],
        cables=[cable("panel", 5.0), cable(length_m=10.0)],
    )
    link = link_of(job)
    assert line_of(link, "Volts at the panel").value == pytest.approx(10.149)
    assert line_of(link, "volts at S1 in alarm").value == pytest.approx(10.149 - 0.39)


def test_what_hangs_on_the_cable_to_the_panel_is_not_counted_twice() -> None:
    # 0.5 mm2: siren at 2 m, board at 5 m: 2 x 0.039 x (2 x 0.5 + 5 x 0.4) = 0.234 V.
    job = supply_job(
        devices=[siren()],
        cables=[cable("panel", 5.0, on_the_way=[{"to": "S1", "at_m": 2.0}])],
    )
    assert line_of(link_of(job), "Volts at the panel").value == pytest.approx(10.5 - 0.234)


@pytest.mark.parametrize(
    ("size", "row", "note"),
    [
        # Rows of IEC 60228 (classes 1, 2 and 5), VDE 0295 and NEC chapter 9 table 8 (75 degC).
        ({"area_mm2": 0.5}, (39.0, "ohm/km"), ""),
        ({"area_mm2": 0.5, "strands": "solid"}, (36.0, "ohm/km"), ""),
        ({"area_mm2": 1.5, "strands": "7"}, (12.1, "ohm/km"), ""),
        ({"area_mm2": 0.25, "strands": "solid"}, (76.0, "ohm/km"), "counted as class 5"),
        ({"awg": 18, "strands": "7"}, (7.95, "ohm/kft"), ""),
        ({"awg": 18}, (7.95, "ohm/kft"), "counted as 7 strands"),
    ],
)
def test_strands_of_the_catalogue_lead_to_a_row(
    size: dict[str, object], row: tuple[float, str], note: str
) -> None:
    part = {"kind": "cable", "id": "some", **size}
    link = link_of(supply_job(part, devices=[siren()], cables=[cable(part="some")]))
    line = line_of(link, "one wire")
    assert row in line.inputs.values()
    assert note in line.formula


@pytest.mark.parametrize(
    ("size", "named"), [({"awg": 15}, "24, 22, 20, 18"), ({"area_mm2": 0.6}, "0.34, 0.5, 0.75")]
)
def test_a_size_that_the_tables_lack_is_undecided_and_names_those_they_have(
    size: dict[str, object], named: str
) -> None:
    part = {"kind": "cable", "id": "odd", **size}
    link = link_of(supply_job(part, devices=[siren()], cables=[cable(part="odd")]))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "odd" in link.why
    assert named in link.why


def test_copper_clad_aluminium_counts_for_what_it_is_and_copper_is_suggested() -> None:
    # About 1.6 times copper: 39.0 x 1.6 = 62.4 ohm/km; 2 x 20 x 0.0624 x 0.5 = 1.248 V.
    clad = {"kind": "cable", "id": "clad", "area_mm2": 0.5, "copper_clad": True}
    link = link_of(supply_job(clad, devices=[siren()], cables=[cable(length_m=20.0, part="clad")]))
    assert line_of(link, "volts at S1 in alarm").value == pytest.approx(10.5 - 1.248)
    assert "copper-clad" in line_of(link, "one wire").label
    # 0.9 V over 20 Am: 45 ohm/km, which copper of 0.5 mm2 holds.
    assert line_of(link, "smallest conductor").value == "0.5 mm², class 5"


def test_a_load_without_current_takes_no_volts() -> None:
    contact = changed("siren", standby_current_a=0.0, alarm_current_a=0.0)
    link = link_of(supply_job(contact, devices=[siren()], cables=[cable(length_m=400.0)]))
    assert line_of(link, "volts at S1 in alarm").value == 10.5
    assert link.word is Word.PREDICTED


def test_an_unknown_alarm_current_on_a_cable_is_asked_for_by_its_part() -> None:
    silent = changed("siren", alarm_current_a=None)
    link = link_of(supply_job(silent, devices=[siren()], cables=[cable()]))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "alarm current of siren (S1)" in link.why


def test_a_24_v_load_without_its_own_need_is_not_held_against_the_12_v_limit() -> None:
    job = supply_job(
        changed("board", nominal_v=24.0, minimum_v=18.0),
        changed("block", nominal_v=24.0, end_v=None),
        devices=[siren()],
        cables=[cable()],
    )
    link = link_of(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "least volts of siren (S1)" in link.why


def test_a_battery_of_another_chemistry_without_end_volts_is_undecided() -> None:
    job = supply_job(changed("block", chemistry="lithium_ion", end_v=None))
    link = link_of(job)
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert "block" in link.why
    assert "end of its discharge" in link.why


def test_a_burst_by_hand() -> None:
    # 10.5 V - 1.8 A x 0.025 ohm = 10.455 V; 9.0 V are needed.
    link = link_of(supply_job(communicators=[module()]))
    assert line_of(link, "volts in a burst").value == pytest.approx(10.455)
    assert link.word is Word.PREDICTED


def test_two_batteries_in_parallel_halve_the_resistance_of_one() -> None:
    job = supply_job(communicators=[module()], battery={"part": "block", "count": 2})
    assert line_of(link_of(job), "volts in a burst").value == pytest.approx(10.5 - 1.8 * 0.0125)


def test_a_burst_over_a_cable_by_hand_with_the_buffer_that_it_would_take() -> None:
    # 20 m of 0.5 mm2: 1.56 ohm out and back; 10.5 - 1.8 x 1.585 = 7.647 V where 9.0 V are needed.
    # At its average of 0.2 A 10.183 V: 1.183 V allowed, (1.8 - 0.2) x 577 us / 1.183 V = 780.4 uF.
    link = link_of(supply_job(communicators=[module()], cables=[cable("main", 20.0)]))
    assert line_of(link, "volts in a burst").value == pytest.approx(7.647)
    assert line_of(link, "buffer").value == pytest.approx(780.4, abs=0.05)
    assert link.word is Word.LACKING
    assert link.margin is not None
    assert link.margin.value == pytest.approx(-1.353)
    assert "main" in link.why
    assert "burst" in link.why


def test_other_loads_on_a_modules_cable_take_their_volts_before_its_burst() -> None:
    # 10 m of 0.5 mm2 are 0.78 ohm: the siren's 0.5 A take 0.39 V of the 10.5 V before the burst.
    job = supply_job(
        devices=[siren()],
        communicators=[module()],
        cables=[cable("main", 10.0, on_the_way=[{"to": "S1", "at_m": 10.0}])],
    )
    line = line_of(link_of(job), "volts in a burst")
    assert line.inputs["start"] == (10.5, "V")
    assert line.inputs["other loads of its cable"][0] == pytest.approx(0.39)
    assert line.value == pytest.approx(10.11 - 1.8 * (0.025 + 0.78))


def test_a_burst_on_the_cable_to_the_panel_runs_over_that_cable_once() -> None:
    # 5 m of 0.5 mm2 are 0.39 ohm; the board at its end takes 0.4 A, so 0.156 V, before the burst.
    job = supply_job(
        communicators=[module()],
        cables=[cable("panel", 5.0, on_the_way=[{"to": "main", "at_m": 5.0}])],
    )
    line = line_of(link_of(job), "volts in a burst")
    assert line.value == pytest.approx(10.5 - 0.156 - 1.8 * (0.025 + 0.39))


@pytest.mark.parametrize(
    ("part", "named"),
    [
        (changed("module", peak_current_a=None), "burst of module (main)"),
        (changed("block", internal_resistance_ohm=None), "internal resistance of block"),
    ],
)
def test_what_a_burst_lacks_is_named(part: dict[str, object], named: str) -> None:
    link = link_of(supply_job(part, communicators=[module()]))
    assert (link.word, link.reason) == (Word.UNDECIDED, Reason.INPUT)
    assert named in link.why
