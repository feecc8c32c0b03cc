"""What cannot be on a site: ids twice, references to nothing, shapes that no building has."""

from collections.abc import Callable
from typing import Any

import pytest
from pydantic import ValidationError
from stdnum import luhn

from pathproof.job import Communicator, Floor, Opening, Site, Slab, Spot, Wall
from pathproof.job.site import Device, Panel

Refusal = Callable[[Callable[[dict[str, Any]], object]], str]


def problems(refusal: Refusal, spoil: Callable[[dict[str, Any]], object]) -> list[str]:
    """What is wrong with the site, without its prefix."""
    lines = refusal(lambda data: spoil(data["site"])).splitlines()[1:]
    return [line.removeprefix("  site.") for line in lines]


@pytest.mark.parametrize(
    ("path", "field", "what", "has"),
    [
        ("walls[1]", "floor", "floor", "ground, upper"),
        ("zones[2]", "partition", "partition", "flat, practice"),
        ("devices[0]", "zone", "zone", "z_entrance, z_flat, z_help, z_pharmacy, z_ward"),
        ("devices[1]", "floor", "floor", "ground, upper"),
        ("repeaters[0]", "floor", "floor", "ground, upper"),
        ("spots[0]", "floor", "floor", "ground, upper"),
        ("communicators[0]", "spot", "spot", "office, window_sill"),
        (
            "cables[0]",
            "to",
            "device, repeater, communicator or panel",
            "attic, button, door, hut, module, panel, second, shed, smoke, store, ward",
        ),
    ],
)
def test_reference_to_nothing(refusal: Refusal, path: str, field: str, what: str, has: str) -> None:
    holder, _, index = path.rstrip("]").partition("[")
    assert problems(refusal, lambda site: site[holder][int(index)].update({field: "nix"})) == [
        f"{path}.{field}: there is no {what} 'nix'; this site has: {has}"
    ]


def test_panel_candidates_and_sim_refer_to_nothing(refusal: Refusal) -> None:
    def spoil(site: dict[str, Any]) -> None:
        site["panel"]["floor"] = "attic"
        site["panel"]["candidates"][0]["floor"] = "attic"
        site["communicators"][0]["sim"]["networks"][1] = "999-999"
        site["devices"][4]["between_repeaters"] = {"nix": {"distance_m": 1.0}}

    assert problems(refusal, spoil) == [
        "devices[4].between_repeaters: there is no repeater 'nix'; this site has: attic, hut",
        "panel.floor: there is no floor 'attic'; this site has: ground, upper",
        "panel.candidates[0].floor: there is no floor 'attic'; this site has: ground, upper",
        "communicators[0].sim.networks[1]: there is no network '999-999'; "
        "this site has: 001-01, 999-002",
    ]


def test_long_lists_of_what_there_is_are_cut() -> None:
    floors = [
        {"id": f"f{i:02}", "name": "f", "elevation_m": 3 * i, "height_m": 3} for i in range(20)
    ]
    with pytest.raises(ValidationError, match=r"has: f00, f01, .*, f11, \.\.\."):
        Site.model_validate(
            {"name": "x", "floors": floors, "spots": [{"id": "s", "name": "s", "floor": "g"}]}
        )


@pytest.mark.parametrize(
    ("holder", "field", "value", "first"),
    [
        ("floors", "id", "ground", "floors[0]"),
        ("walls", "id", "w_south", "walls[0]"),
        ("partitions", "id", "practice", "partitions[0]"),
        ("partitions", "number", 1, "partitions[0]"),
        ("zones", "id", "z_entrance", "zones[0]"),
        ("zones", "number", 1, "zones[0]"),
        ("networks", "mcc_mnc", "001-01", "networks[0]"),
        ("cables", "id", "run_glass", "cables[0]"),
        ("devices", "id", "door", "devices[0]"),
        ("devices", "id", "panel", "panel"),
        ("repeaters", "id", "ward", "devices[1]"),
        ("communicators", "id", "attic", "repeaters[0]"),
        ("spots", "id", "second", "communicators[1]"),
        ("spots", "id", "panel", "panel"),
    ],
)
def test_given_twice(refusal: Refusal, holder: str, field: str, value: Any, first: str) -> None:
    found = problems(refusal, lambda site: site[holder][1].update({field: value}))
    assert found[0] == (
        f"{holder}[1].{field}: {value!r} is already that of {first}; choose another"
    )


def test_a_thing_is_fed_by_one_run_only(refusal: Refusal) -> None:
    def spoil(site: dict[str, Any]) -> None:
        site["cables"][1].update(to="store", on_the_way=[{"to": "shed", "at_m": 1.0}] * 2)

    one_run = (
        "a thing is fed by one run only, at one place of it; take it off one of them (wires in "
        "parallel are one run of a part with their area together)"
    )
    assert problems(refusal, spoil) == [
        f"cables[1].on_the_way[1].to: 'shed' is already fed by cables[1].on_the_way[0]; {one_run}",
        f"cables[1].to: 'store' is already fed by cables[0]; {one_run}",
    ]


def test_openings_and_slabs_have_ids_of_their_own(refusal: Refusal) -> None:
    def spoil(site: dict[str, Any]) -> None:
        site["walls"][4]["openings"][0]["id"] = "o_door"
        site["floors"][1]["slabs"][0]["id"] = "ground_slab"

    assert problems(refusal, spoil) == [
        "floors[1].slabs[0].id: 'ground_slab' is already that of floors[0]; choose another",
        "walls[4].openings[0].id: 'o_door' is already that of walls[0]; choose another",
    ]


def test_a_wall_may_be_called_panel() -> None:
    """Only what links and record entries speak of by id alone shares a name space."""
    floor = Floor(id="panel", name="x", elevation_m=0.0, height_m=3.0)
    wall = Wall(id="panel", floor="panel", start=(0, 0), end=(1, 0), construction="c")
    assert Site(name="x", floors=[floor], walls=[wall]).walls[0].id == "panel"


@pytest.mark.parametrize(
    ("spoil", "line"),
    [
        (
            lambda site: site["devices"][2].update(height_m=2.61),
            "devices[2].height_m: 2.61 m is outside the storey 'upper', which is 2.6 m high; "
            "lower it or name the storey above",
        ),
        (
            lambda site: site["panel"].update(height_m=3.0),
            "panel.height_m: 3 m is outside the storey 'ground', which is 2.8 m high; "
            "lower it or name the storey above",
        ),
        (
            lambda site: site["panel"]["candidates"][0].update(height_m=9.0),
            "panel.candidates[0].height_m: 9 m is outside the storey 'upper', which is 2.6 m "
            "high; lower it or name the storey above",
        ),
        (
            lambda site: site["repeaters"][0].update(height_m=2.9),
            "repeaters[0].height_m: 2.9 m is outside the storey 'upper', which is 2.6 m high; "
            "lower it or name the storey above",
        ),
        (
            lambda site: site["walls"][4].update(top_m=-0.5),
            "walls[4]: base_m 0 is not below top_m -0.5; where they are not given, base_m is 0 "
            "and top_m the height of the storey",
        ),
        (
            lambda site: site["walls"][1].update(base_m=2.8),
            "walls[1]: base_m 2.8 is not below top_m 2.8; where they are not given, base_m is 0 "
            "and top_m the height of the storey",
        ),
        (
            lambda site: site["walls"][5].update(end=[6.0, 0.001]),
            "walls[5]: start (6.0, 0.0) and end (6.0, 0.001) are the same place; a wall has a "
            "length of 2 mm or more",
        ),
        (
            lambda site: site["walls"][0]["openings"][1].update(sill_m=2.1),
            "walls[0].openings[1]: sill_m 2.1 is not below head_m 2.1",
        ),
        (
            lambda site: site["walls"][0]["openings"][1].update(sill_m=2.2),
            "walls[0].openings[1]: sill_m 2.2 is not below head_m 2.1",
        ),
        (
            lambda site: site["walls"][0]["openings"][1].update(width_m=4.1),
            "walls[0].openings[1]: ends 12.100 m from the wall's start, past the wall's end at "
            "12.000 m; make offset_m or width_m smaller",
        ),
        (
            lambda site: site["floors"][0]["slabs"][0].update(holes=[[[0, 0], [1, 0], [1, 1]]]),
            "floors[0].slabs[0]: holes need an outline that they are cut out of",
        ),
        (
            lambda site: site["floors"][1]["slabs"][0].update(outline=[[0, 0], [5, 0], [0, 0]]),
            "floors[1].slabs[0].outline: has fewer than 3 different corners",
        ),
        (
            lambda site: site["floors"][1]["slabs"][0].update(holes=[[]]),
            "floors[1].slabs[0].holes[0]: has fewer than 3 different corners",
        ),
        (
            lambda site: site["devices"][0].pop("floor"),
            "devices[0]: give floor and at together, or neither",
        ),
        (
            lambda site: site["devices"][0].update(between={"distance_m": 3.0}),
            "devices[0]: give floor and at (on a plan) or between (without one), not both",
        ),
        (
            lambda site: site["spots"][1].update(at=[1.0, 1.0]),
            "spots[1]: at is a place on a plan, so give the floor too",
        ),
        (
            lambda site: site["constructions"]["unknown_wall"].pop("fixed_loss_db"),
            "constructions.unknown_wall: give either layers or fixed_loss_db, not both and not "
            "neither",
        ),
        (
            lambda site: site["constructions"]["brick_250"].update(fixed_loss_db=3.0),
            "constructions.brick_250: give either layers or fixed_loss_db, not both and not "
            "neither",
        ),
    ],
)
def test_impossible(refusal: Refusal, spoil: Callable[[dict[str, Any]], object], line: str) -> None:
    assert problems(refusal, spoil) == [line]


def test_an_opening_may_end_a_finger_past_the_wall() -> None:
    opening = Opening(id="o", offset_m=2.0, width_m=1.005, head_m=2.0)
    wall = Wall(id="w", floor="g", start=(0, 0), end=(3, 0), construction="c", openings=[opening])
    assert wall.openings[0].width_m == 1.005


def test_shortest_pieces_do_not_vanish_from_the_kernel() -> None:
    """What the models let pass has a size in the grid that paths are traced in."""
    from pathproof.job.geometry import SiteGeometry

    side = 0.002 / 2**0.5 + 1e-9
    for x in (0.0, 0.0004, 0.00049, 0.0005, 0.0009, 3.14159):
        wall = Wall(
            id="w",
            floor="g",
            start=(x, x),
            end=(x + side, x + side),
            construction="c",
            base_m=x,
            top_m=x + 0.0021,
            openings=[
                Opening(id="o", offset_m=0.0, width_m=0.0005, sill_m=x, head_m=x + 0.0021),
                Opening(id="p", offset_m=0.0025, width_m=0.0005, head_m=2.0),
            ],
        )
        slab = Slab(id="s", construction="c", elevation_m=0, outline=[(0, 0), (x + 1, 0), (0, 1)])
        floor = Floor(id="g", name="g", elevation_m=0.0, height_m=3.0, slabs=[slab])
        assert SiteGeometry(Site(name="x", floors=[floor], walls=[wall])).obstacles is not None


def test_site_with_nothing_in_it() -> None:
    assert Site(name="x").devices == []


@pytest.mark.parametrize(
    "zone",
    ["", "Europe", "europe/nowhere", "../../etc/passwd", "/etc/localtime", "a\0b", "x" * 500],
)
def test_unknown_time_zone(zone: str) -> None:
    with pytest.raises(ValidationError, match="IANA name"):
        Site(name="x", time_zone=zone)


@pytest.mark.parametrize("zone", ["UTC", "Europe/Vienna", "America/Argentina/Buenos_Aires"])
def test_known_time_zone(zone: str) -> None:
    assert Site(name="x", time_zone=zone).time_zone == zone


@pytest.mark.parametrize("number", ["٠٠١-٠١", "001-1", "01-01", "001-0101", "00101"])
def test_network_codes_are_plain_digits(number: str) -> None:
    with pytest.raises(ValidationError):
        Site.model_validate(
            {"name": "x", "networks": [{"mcc_mnc": number, "label": "n", "technologies": []}]}
        )


def communicator(value: str | None) -> Communicator:
    return Communicator(id="c", part="m", imei=value)


# 3GPP TS 23.003 annex B: check digit of body 26053179 311383 worked through by hand (doubled
# D1, D3 ... D13 = 6, 6, 2, 18, 2, 10, 12, digit sum 29; the others 24; 53 + 7 = 60).
def test_imei_of_ts_23_003_annex_b() -> None:
    assert communicator("260531793113837").imei == "260531793113837"
    assert check_digit("26053179311383") == "7"
    for digit in "012345689":
        with pytest.raises(ValidationError, match="15 digits, the last one a check digit"):
            communicator("26053179311383" + digit)


def check_digit(body: str) -> str:
    """3GPP TS 23.003 annex B.2, step by step: D14 to D1, the odd-labelled ones doubled."""
    labelled = dict(zip(range(14, 0, -1), map(int, body), strict=True))
    doubled = [2 * digit for label, digit in labelled.items() if label % 2]
    total = sum(sum(map(int, str(x))) for x in doubled)
    total += sum(digit for label, digit in labelled.items() if label % 2 == 0)
    return str(-total % 10)


# python-stdnum and the steps of the annex agree on other bodies.
@pytest.mark.parametrize("body", ["00101999000001", "35851404123456", "99000112345678"])
def test_imei_of_other_bodies(body: str) -> None:
    whole = body + check_digit(body)
    assert check_digit(body) == luhn.calc_check_digit(body)
    assert communicator(whole).imei == whole
    with pytest.raises(ValidationError, match="15 digits"):
        communicator(body + str((int(check_digit(body)) + 5) % 10))


@pytest.mark.parametrize(
    "value",
    [
        "26053179311383",  # no check digit
        "2605317931138301",  # IMEISV: software version instead of a check digit
        "26053179311383a",
        "",
        "٢٦٠٥٣١٧٩٣١١٣٨٣٧",
    ],
)
def test_not_an_imei(value: str) -> None:
    with pytest.raises(ValidationError, match="15 digits"):
        communicator(value)


def test_imei_as_printed_on_a_label() -> None:
    assert communicator("26-053179-311383-7").imei == "260531793113837"
    assert communicator("26 053179 311383 7").imei == "260531793113837"
    assert communicator(None).imei is None


def test_models_are_frozen(sample_data: dict[str, Any]) -> None:
    site = Site.model_validate(sample_data["site"])
    with pytest.raises(ValidationError, match="frozen"):
        site.name = "other"  # type: ignore[misc]


def test_the_panel_has_no_way_to_itself() -> None:
    with pytest.raises(ValidationError, match="between"):
        Panel.model_validate({"part": "p", "between": {"distance_m": 3.0}})
    assert Device(id="d", name="d", part="p").between is None
    assert Spot(id="s", name="s", floor="g").at is None
