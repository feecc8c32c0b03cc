"""Devices typed or pasted as a list: what is taken, what is guessed, and what is refused."""

from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pathproof.job import DetectorPart, Job, Site, embed, shipped
from pathproof.plans.listed import (
    MAX_LINES,
    MAX_TEXT,
    ListedDevices,
    put_listed,
    read_device_list,
)
from pathproof.terms import DeviceKind, PathproofError, PlanError, ZoneKind

LIBRARY = shipped()
PARTS = [p for p in LIBRARY.parts.values() if isinstance(p, DetectorPart)]
EMPTY = Site(name="Dairy")
GROUND = {"id": "g", "name": "Ground floor", "elevation_m": 0.0, "height_m": 3.0}


def listed(
    text: str, site: Site = EMPTY, parts: Sequence[DetectorPart] = tuple(PARTS)
) -> ListedDevices:
    return read_device_list(text, site=site, parts=parts, constructions=LIBRARY.constructions)


def problem(text: str, parts: Sequence[DetectorPart] = tuple(PARTS)) -> str:
    found = listed(text, parts=parts)
    assert not found.devices
    (sentence,) = found.problems
    return sentence


def walls(items: str) -> dict[str, int]:
    (device,) = listed(f"lark_motion, Hall, 5 m, {items}").devices
    assert device.between is not None
    return device.between.walls


LINES = """\
door contact, Back door, 12 m, 2 brick, 1 floor
smoke detector, Landing, 7.5 m, concrete floor, timber_door
wired_sounder, Gable
"""


def test_a_list_becomes_devices_and_zones() -> None:
    found = listed(LINES)

    assert found.problems == ()
    assert [(d.id, d.name, d.part, d.zone) for d in found.devices] == [
        ("back_door", "Back door", "lark_contact", "z1"),
        ("landing", "Landing", "lark_smoke", "z2"),
        ("gable", "Gable", "wired_sounder", "z3"),
    ]
    back, landing, gable = (d.between for d in found.devices)
    assert back is not None
    assert (back.distance_m, back.floors, back.floor_construction) == (12.0, 1, "unknown_floor")
    assert back.walls == {"brick_plastered_145": 2}
    assert landing is not None
    assert landing.walls == {"timber_door": 1}
    assert landing.floor_construction == "concrete_floor_150"
    assert gable is None
    assert [(z.number, z.name, z.kind, z.partition, z.event) for z in found.zones] == [
        (1, "Back door", ZoneKind.IMMEDIATE, "partition_1", None),
        (2, "Landing", ZoneKind.FIRE, "partition_1", None),
        (3, "Gable", ZoneKind.TAMPER, "partition_1", None),
    ]


@pytest.mark.parametrize(
    "line",
    [
        "door contact\tBack door\t12,0\t2 brick, 1 floor",
        "door contact\tBack door\t12 m\t2 brick\t1 floor\t\t",
        "door contact; Back door; 12,0 metres; 2x brick and a floor",
        "  door contact ,  Back   door,12m,2 bricks + 1 floors",
        "what, where, how far, between\r\ndoor contact, Back door, 12, brick, brick, 1 floor\r\n",
        '\ufeff"door contact","Back door","12 m","2 brick, 1 floor"\n\n',
    ],
)
def test_one_device_in_every_way_of_writing(line: str) -> None:
    assert listed(line).devices == listed(LINES).devices[:1]


# The international foot is 0.3048 m exactly (international yard and pound agreement of 1959), and
# has 12 inches. The metres below are those, to the millimetre.
@pytest.mark.parametrize(
    ("written", "metres"),
    [("40 ft", 12.192), ("40'", 12.192), ("40 feet", 12.192), ("1 ft 6 in", 0.457), ("9", 9.0)],
)
def test_feet_where_they_are_written_and_metres_otherwise(written: str, metres: float) -> None:
    (device,) = listed(f"motion; Hall; {written}").devices

    assert device.between is not None
    assert device.between.distance_m == pytest.approx(metres, abs=0.0005)


@pytest.mark.parametrize(
    ("items", "found"),
    [
        ("nothing", {}),
        ("-", {}),
        ("0 walls, 0 floors", {}),
        ("brick_solid_225", {"brick_solid_225": 1}),
        ("Solid brick 225 mm", {"brick_solid_225": 1}),
        ("2 x brick 225, 1 solid brick 225", {"brick_solid_225": 3}),
        ("225 mm brick", {"brick_solid_225": 1}),
        ("2 steel doors", {"steel_door": 2}),
        ("3 walls", {"unknown_heavy_wall": 3}),
        ("light wall", {"unknown_light_wall": 1}),
        ("drywall", {"stud_partition_100": 1}),
        ("two Ziegel", {"brick_plastered_145": 2}),
        ("window, door", {"unknown_window": 1, "unknown_door": 1}),
    ],
)
def test_what_stands_between(items: str, found: dict[str, int]) -> None:
    assert walls(items) == found


def test_constructions_of_the_site_are_known_by_name() -> None:
    own = LIBRARY.constructions["brick_solid_225"].model_copy(update={"name": "Old barn wall"})
    site = EMPTY.model_copy(update={"constructions": {"barn": own}})

    (device,) = listed("motion, Hall, 5, old barn wall", site).devices
    assert device.between is not None
    assert device.between.walls == {"barn": 1}


def test_what_was_mapped_and_guessed_is_told() -> None:
    found = listed("lark_motion, Hall, 5, steel door\nPIR, Shop, 6, brick, steel door, 1 floor\n")

    assert [(m.name, m.count) for m in found.mapped] == [("steel door", 2), ("lark_motion", 1)]
    guesses = {g.what: (g.as_, g.why) for g in found.guessed}
    assert "lark_motion" in guesses["PIR"][0]
    assert "first part offered" in guesses["PIR"][1]
    assert "brick_plastered_145" in guesses["brick"][0]
    assert "nobody said" in guesses["floor"][1]
    assert guesses["zone of a device of the kind motion"][0] == "immediate"


def test_the_first_part_offered_is_the_usual_one() -> None:
    wren_first = sorted(PARTS, key=lambda p: not p.id.startswith("wren"))

    assert listed("motion, Hall, 5", parts=wren_first).devices[0].part == "wren_motion"
    assert listed("lark motion, Hall, 5", parts=wren_first).devices[0].part == "lark_motion"


@pytest.mark.parametrize("kind", [k for k in DeviceKind if k is not DeviceKind.OTHER])
def test_every_kind_of_device_goes_by_its_own_name(kind: DeviceKind) -> None:
    (device,) = listed(f"{kind}, Hall, 5").devices

    part = LIBRARY.parts[device.part]
    assert isinstance(part, DetectorPart)
    assert part.what is kind


def test_a_heading_and_the_distance_of_a_wired_device_are_left_out() -> None:
    found = listed("device, where\nwired_sounder, Gable, 12 m, brick\n")

    assert [x.what for x in found.left_out] == ["device, where", "how far 'Gable' is"]
    assert found.devices[0].between is None


def test_ids_and_zone_numbers_go_on_after_those_of_the_site() -> None:
    first = put_listed(EMPTY, listed(LINES))
    more = "motion, Back door, 5\nmotion, Back door, 5\nmotion, Panel, 5\nmotion, 裏口, 5"
    second = put_listed(first, listed(more, first))

    assert [d.id for d in second.devices[3:]] == ["back_door_2", "back_door_3", "panel_2", "device"]
    assert [z.number for z in second.zones] == [1, 2, 3, 4, 5, 6, 7]
    assert [p.id for p in second.partitions] == ["partition_1"]
    assert listed(LINES, first).partition is None
    embed(Job(site=second), LIBRARY)  # everything it names is in the library


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("contact", "given 'contact' alone; allowed: what, where, how far"),
        (", Hall, 5", "given 'Hall' alone"),
        ("teapot, Hall, 5", "'teapot' is no part and no one kind of device; allowed: a part by"),
        ("smoke heat, Hall, 5", "such as 'lark_smoke', 'lark_heat'"),
        ("motion, Hall", "nothing was given; allowed: metres or feet"),
        ("motion, Hall, 2 brick", "how far it is from the panel: given '2 brick'"),
        ("motion, Hall, 0 m", "allowed: above 0 and up to 1000 m"),
        ("motion, Hall, 1001", "up to 1000 m"),
        ("motion, Hall, 12,5 m", "given '5 m', a second distance; write fractions"),
        ("motion, Hall, 5, marzipan", "'marzipan' is no wall or floor; allowed: a construction by"),
        ("motion, Hall, 5, brik wal", "such as 'brick_cavity_wall'"),
        ("motion, Hall, 5, 51 steel door", "steel_door: given 51 of them; allowed: up to 50"),
        ("motion, Hall, 5, concrete floor, timber floor", "floors of 2 build-ups"),
        (f"motion, {'x' * 201}, 5", "a part of it has 201 characters; allowed: 200"),
        ("motion, Hall, 5" + ", brick" * 41, "41 things stand between; allowed: 40"),
    ],
)
def test_a_line_that_is_not_fine_is_said(line: str, said: str) -> None:
    sentence = problem(line)

    assert sentence.startswith("Line 1: ")
    assert said in sentence


def test_a_kind_that_no_part_is_of() -> None:
    only = [p for p in PARTS if p.what is DeviceKind.SMOKE]

    assert "none of the parts to choose from is of the kind motion; they are of: smoke" in problem(
        "motion, Hall, 5", parts=only
    )


def test_a_fault_of_many_lines_is_said_once() -> None:
    found = listed("motion, Hall\nmotion, Attic, 5\n" + "motion, Room\n" * 14)

    (sentence,) = found.problems
    assert sentence.startswith("Lines 1, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13 and 3 more: how far")
    assert "'" + "a" * 60 + "' alone" in problem("a" * 5000)


def test_a_device_without_a_distance_is_placed_on_the_plan_later() -> None:
    site = Site.model_validate({"name": "Dairy", "floors": [GROUND]})
    found = listed("motion, Hall\nmotion, Attic, 5 m", site)

    assert not found.problems
    assert [d.between is None for d in found.devices] == [True, False]
    assert [d.at for d in put_listed(site, found).devices] == [None, None]
    (sentence,) = listed("motion, Hall, , brick", site).problems
    assert "how far it is from the panel: nothing was given" in sentence


def test_nothing_is_half_taken() -> None:
    found = listed(LINES + "teapot, Kitchen, 5 m\n")

    assert [d.id for d in found.devices] == ["back_door", "landing", "gable"]
    with pytest.raises(PlanError, match="Line 4: 'teapot'"):
        put_listed(EMPTY, found)


def test_a_list_of_a_site_that_has_changed_since() -> None:
    with pytest.raises(PlanError, match="already that of devices"):
        put_listed(put_listed(EMPTY, listed(LINES)), listed(LINES))


def test_no_zone_number_is_left() -> None:
    site = put_listed(EMPTY, listed("motion, Hall, 5"))
    last = site.zones[0].model_copy(update={"number": 9999})

    (sentence,) = listed("motion, Shop, 5", site.model_copy(update={"zones": [last]})).problems
    assert "no zone number is left" in sentence


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no device"),
        ("what, where\n", "holds no device"),
        ("motion, Hall, 5\n" * (MAX_LINES + 1), f"{MAX_LINES} are read at once"),
        ("x" * (MAX_TEXT + 1), f"{MAX_TEXT} are read at most"),
    ],
)
def test_no_list_or_too_much_of_it(text: str, said: str) -> None:
    with pytest.raises(PlanError, match=said):
        listed(text)


def test_the_list_in_the_docs_is_fine() -> None:
    page = Path(__file__).parents[2].joinpath("docs", "lists.md").read_text("utf-8")
    example = page.partition("## Devices")[2].split("```")[1]

    found = listed(example)
    assert found.problems == ()
    assert len(found.devices) == 4


FIELDS = st.sampled_from(
    ["motion", "door contact", "Hall", "5 m", "40' 6\"", "2 brick", "1 floor", "0", "²", '"', "and"]
) | st.text(max_size=8)
LISTS = st.lists(
    st.tuples(st.sampled_from("\t;,"), st.lists(FIELDS, max_size=6)).map(lambda x: x[0].join(x[1])),
    max_size=6,
).map("\n".join)


@given(LISTS | st.text())
def test_random_text_raises_only_our_errors(text: str) -> None:
    try:
        found = listed(text)
    except PathproofError:
        return
    assert found.devices or found.problems
    if not found.problems:
        put_listed(EMPTY, found)
