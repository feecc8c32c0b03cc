"""Maps that follow edits: against doing all anew, and against the radio links themselves."""

import math
import os
import random
import signal
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from pathproof.assess import _loss_field
from pathproof.assess.compose import assess
from pathproof.assess.context import Context
from pathproof.assess.floor_map import MapOf
from pathproof.assess.judge import in_use, judge
from pathproof.assess.kept_maps import KeptMaps
from pathproof.assess.signals import radio_path
from pathproof.assess.types import Leaf
from pathproof.assess.types import Path as SignalPath
from pathproof.assess.what_if import PanelThere, SiteMaps
from pathproof.calc.radio.shadows import STEP_DB
from pathproof.job import (
    Between,
    Construction,
    Device,
    Floor,
    Job,
    LayerSpec,
    Opening,
    Panel,
    Repeater,
    Site,
    Slab,
    Source,
    Wall,
    embed,
)
from pathproof.job.record import ConfirmEntry
from pathproof.simulate.demo import build_demo
from pathproof.terms import Evidence, JobError, LimitName, Material, Mounting, Word

AS_OF = datetime(2026, 11, 25, 12, tzinfo=UTC)
DETECTORS, REPEATER, PANEL = ("lark_motion", "lark_contact"), "lark_repeater", "lark_panel"
WORST, ODDS = MapOf.parse("worst"), MapOf.parse("odds")
COVERAGE, DEVICE = MapOf.parse("coverage"), MapOf.parse("device:d1")
SOURCE = Source(ref="test", evidence=Evidence.PRACTICE)
CORNERS = [(0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (0.0, 9.0), (0.0, 0.0)]
DECK = Slab(id="deck", construction="deck", elevation_m=3.0, outline=[*CORNERS[:3], (2.0, 9.0)])
CEILING = Slab(id="ceiling", construction="deck", elevation_m=2.8)
THIN_DECK = Slab(id="thin", construction="thin", elevation_m=3.0)
Edit = Callable[[Site, random.Random, int], Site]


def brick(thickness_m: float, *, guessed: bool = False) -> Construction:
    layers = [LayerSpec(material=Material.BRICK, thickness_m=thickness_m)]
    return Construction(name="Brick", layers=layers, guessed=guessed, source=SOURCE)


def fixed(loss_db: float, *, is_floor: bool = False) -> Construction:
    return Construction(name="?", fixed_loss_db=loss_db, is_floor=is_floor, source=SOURCE)


CONSTRUCTIONS = {
    "brick": brick(0.24),
    "thin": brick(0.115),
    "guess": brick(0.3, guessed=True),
    "unknown": fixed(7.0),
    "deck": fixed(18.3, is_floor=True),
}


def two_storeys() -> Job:
    """Outer walls on two storeys, a floor of unknown build-up with an area, some kit."""
    floors = [
        Floor(id="g", name="Ground", elevation_m=0.0, height_m=3.0),
        Floor(id="u", name="Upper", elevation_m=3.0, height_m=3.0, slabs=[DECK]),
    ]
    walls = [
        Wall(id=f"{f.id}{i}", floor=f.id, start=a, end=b, construction="brick")
        for f in floors
        for i, (a, b) in enumerate(pairwise(CORNERS))
    ]
    site = Site(
        name="House",
        floors=floors,
        walls=walls,
        constructions=CONSTRUCTIONS,
        devices=[
            Device(id=f"d{i}", name=f"d{i}", part=DETECTORS[i % 2], floor=f, at=at)
            for i, (f, at) in enumerate([("g", (1.0, 1.0)), ("u", (11.0, 8.0)), ("g", (9.0, 2.0))])
        ],
        panel=Panel(part=PANEL, floor="g", at=(6.0, 4.0), height_m=1.5),
        repeaters=[Repeater(id="r0", name="r0", part=REPEATER, floor="u", at=(5.0, 5.0))],
    )
    return embed(Job(site=site))


def with_site(job: Job, **changed: object) -> Job:
    return embed(job.model_copy(update={"site": job.site.model_copy(update=changed)}))


def same(one: np.ndarray, other: np.ndarray) -> bool:
    return one.shape == other.shape and np.array_equal(one, other, equal_nan=True)


def replaced(items: list, index: int, *by: object) -> list:
    return [*items[:index], *by, *items[index + 1 :]]


# -- random edits ----------------------------------------------------------------------------------


def place(rng: random.Random) -> tuple[float, float]:
    if rng.random() < 0.5:  # on a lattice, so that rays run along walls and through corners
        return float(rng.randrange(13)), float(rng.randrange(10))
    return rng.uniform(0.1, 11.9), rng.uniform(0.1, 8.9)


def a_wall(rng: random.Random, number: int) -> Wall:
    start = end = place(rng)
    while math.dist(start, end) < 0.5:
        end = place(rng)
    length_m = math.dist(start, end)
    openings = [
        Opening(
            id=f"o{number}",
            offset_m=length_m * 0.2,
            width_m=length_m * 0.5,
            head_m=2.0,
            construction=rng.choice([None, "thin", "unknown"]),
        )
    ]
    return Wall(
        id=f"w{number}",
        floor=rng.choice("gu"),
        start=start,
        end=end,
        construction=rng.choice(["brick", "thin", "guess", "unknown"]),
        openings=openings if rng.random() < 0.5 else [],
    )


def inner(site: Site) -> list[int]:
    return [i for i, w in enumerate(site.walls) if w.id.startswith("w")]


def put_up_wall(site: Site, rng: random.Random, number: int) -> Site:
    walls = list(site.walls)
    walls.insert(rng.randrange(len(walls) + 1), a_wall(rng, number))
    return site.model_copy(update={"walls": walls})


def change_wall(site: Site, rng: random.Random, number: int) -> Site:
    """Moved, built otherwise, or with other openings, under the same id; or taken down."""
    if not inner(site):
        return put_up_wall(site, rng, number)
    index = rng.choice(inner(site))
    other = a_wall(rng, number).model_copy(update={"id": site.walls[index].id})
    stay = [other] if rng.random() < 0.6 else []
    return site.model_copy(update={"walls": replaced(site.walls, index, *stay)})


def with_inner_walls(job: Job, count: int) -> Job:
    site, rng = job.site, random.Random(count)
    for number in range(100, 100 + count):
        site = put_up_wall(site, rng, number)
    return embed(job.model_copy(update={"site": site}))


def put_up_device(site: Site, rng: random.Random, number: int) -> Site:
    device = Device(
        id=f"d{number}",
        name="d",
        part=rng.choice(DETECTORS),
        floor=rng.choice("gu"),
        at=place(rng),
        mounting=rng.choice([None, Mounting.ON_METAL]),
        carried=rng.random() < 0.2,
    )
    if len(site.devices) > 5:
        return site.model_copy(update={"devices": replaced(site.devices, 2, device)})
    return site.model_copy(update={"devices": [*site.devices, device]})


def move_device(site: Site, rng: random.Random, number: int) -> Site:
    index = rng.randrange(len(site.devices))
    moved = site.devices[index].model_copy(update={"at": place(rng), "floor": rng.choice("gu")})
    return site.model_copy(update={"devices": replaced(site.devices, index, moved)})


def remove_device(site: Site, rng: random.Random, number: int) -> Site:
    if len(site.devices) < 4:
        return site
    return site.model_copy(update={"devices": replaced(site.devices, rng.randrange(2, 4))})


def other_repeaters(site: Site, rng: random.Random, number: int) -> Site:
    one = Repeater(id=f"r{number}", name="r", part=REPEATER, floor=rng.choice("gu"), at=place(rng))
    moved = [r.model_copy(update={"at": place(rng)}) for r in site.repeaters]
    return site.model_copy(update={"repeaters": rng.choice([[], [one], moved, [*moved[:1], one]])})


def move_panel(site: Site, rng: random.Random, number: int) -> Site:
    panel = site.panel
    assert panel is not None
    return site.model_copy(update={"panel": panel.model_copy(update={"at": place(rng)})})


EDITS_BY_SHARE: list[Edit] = [
    *[put_up_wall] * 3,
    *[change_wall] * 6,
    *[put_up_device] * 2,
    *[move_device] * 3,
    remove_device,
    other_repeaters,
    move_panel,
]


def answers(maps: SiteMaps) -> list[np.ndarray]:
    found = [
        maps.floor_map(what, floor, 1.5).values
        for floor in "gu"
        for what in (WORST, ODDS, COVERAGE, DEVICE)
    ]
    there = maps.panel_at("g", (6.1, 4.2))
    return [*found, np.array([(d.margin_db, d.odds_ratio) for d in there.devices])]


def all_same(some: list[np.ndarray], others: list[np.ndarray]) -> bool:
    return all(map(same, some, others))


@pytest.mark.parametrize(
    ("count", "every", "edits"),
    [(1000, 17, EDITS_BY_SHARE), (500, 25, [put_up_wall, change_wall, change_wall])],
)
def test_a_thousand_edits_end_where_doing_all_anew_does(count: int, every: int, edits: list[Edit]):
    # By chance all kinds of edits, looked at often; and walls alone, in long runs, which never
    # give a reason to do anything anew. Losses are summed exactly, in steps of 0.0005 dB; odds of
    # devices are multiplied in any order. So not a bit of a margin differs.
    rng, job = random.Random(2026), two_storeys()
    maps = SiteMaps(job, AS_OF)
    answers(maps)
    for number in range(3, count + 3):
        site = rng.choice(edits)(job.site, rng, number)
        job = embed(job.model_copy(update={"site": site}))
        maps.update(job)
        if number % every == 0 or number == count + 2:
            for kept, anew in zip(answers(maps), answers(SiteMaps(job, AS_OF)), strict=True):
                assert kept == pytest.approx(anew, abs=1e-6, nan_ok=True)
    margins = [maps.floor_map(what, f).values for f in "gu" for what in (WORST, COVERAGE)]
    maps.redo()
    again = [maps.floor_map(what, f).values for f in "gu" for what in (WORST, COVERAGE)]
    assert all_same(margins, again)


def test_only_what_changed_is_worked_out(monkeypatch: pytest.MonkeyPatch):
    job = two_storeys()
    maps = SiteMaps(job, AS_OF)
    maps.floor_map(WORST, "g")
    seen = []  # how many things, through how many walls
    real = _loss_field.add_shadows

    def counted(into, obstacles, *args, **named):
        seen.append((len(into), obstacles.walls.shape[1]))
        real(into, obstacles, *args, **named)

    def seen_after(**changed: object) -> set[tuple[int, int]]:
        seen.clear()
        maps.update(with_site(job, **changed))
        maps.floor_map(WORST, "g")
        return set(seen)

    monkeypatch.setattr(_loss_field, "add_shadows", counted)
    panel, devices = job.site.panel.model_copy(update={"at": (1.0, 1.0)}), job.site.devices
    assert seen_after(panel=panel) == set()
    wall = a_wall(random.Random(1), 9)
    assert {walls for _, walls in seen_after(walls=[*job.site.walls, wall])} == {1}
    assert {walls for _, walls in seen_after()} == {1}
    moved = devices[0].model_copy(update={"at": (2.0, 2.0)})
    assert seen_after(devices=[moved, *devices[1:]]) == {(1, 8)}


# -- against the radio links -----------------------------------------------------------------------


def by_assess(job: Job, there: PanelThere) -> dict[str, tuple[float, float | None]]:
    """Margin and odds of each device over its ways, from the judgement of an assessment."""
    links = {x.id: x for x in assess(job, AS_OF, leave_out_later=True).links}
    ctx = Context(job, AS_OF, None, leave_out_later=True)
    found = {}
    for device in there.devices:
        path = radio_path(ctx, device.device, links)
        judgement = judge(path, links)
        found[device.device] = (links[judgement.weakest].margin.value, judgement.odds)
        # What a signal strip shows in use has the same word; and is the same where all are lacking.
        used, ways = in_use(path, links), getattr(path, "parts", (path,))
        said = next(way for way in ways if repeater_of(way) == device.via)
        shown = next(way for way in ways if leaves(way) == used)
        assert judge(said, links).word is judge(shown, links).word
        if judgement.word is Word.LACKING:
            assert said == shown
    return found


def leaves(path: SignalPath) -> list[str]:
    return [path.link] if isinstance(path, Leaf) else [i for p in path.parts for i in leaves(p)]


def repeater_of(way: SignalPath) -> str | None:
    first, *more = leaves(way)
    return first.partition(">")[2] if more else None


def without_evidence(job: Job) -> Job:
    confirmed = [e for e in job.record if e.kind == "confirm"]
    return job.model_copy(update={"record": confirmed})


@pytest.mark.parametrize(("floor", "at"), [("ground", (3.3, 4.1)), ("upper", (1.2, 8.7))])
def test_the_panel_there_is_heard_as_assess_says(floor: str, at: tuple[float, float]):
    # Table of 65 angles here, angles in tenths of a degree there: a hundredth of a decibel.
    job = without_evidence(build_demo())
    there = SiteMaps(job, AS_OF).panel_at(floor, at, 1.4)
    panel = job.site.panel
    assert panel is not None
    place = {"floor": floor, "at": at, "height_m": 1.4}
    moved = with_site(job, panel=panel.model_copy(update=place))
    expected = by_assess(moved, there)
    assert len(there.devices) == 20
    for device in there.devices:
        margin_db, odds = expected[device.device]
        assert device.margin_db == pytest.approx(margin_db, abs=0.01)
        assert device.odds_ratio == pytest.approx(odds, abs=0.001)


def test_unknown_build_ups_floors_and_repeaters_as_assess_says():
    rng, site = random.Random(5), with_inner_walls(two_storeys(), 30).site
    for number in range(40, 44):
        site = put_up_device(site, rng, number)
    job = embed(Job(site=site))
    for floor, at in [("g", (6.0, 4.0)), ("u", (3.3, 7.7)), ("u", (10.2, 1.1))]:
        there = SiteMaps(job, AS_OF).panel_at(floor, at)
        panel = site.panel.model_copy(update={"floor": floor, "at": at})
        expected = by_assess(with_site(job, panel=panel), there)
        for device in there.devices:
            margin_db, odds = expected[device.device]
            assert device.margin_db == pytest.approx(margin_db, abs=0.1)
            assert device.odds_ratio == pytest.approx(odds, abs=0.01)


@pytest.mark.parametrize("slabs", [[DECK], [], [DECK, CEILING], [THIN_DECK]])
def test_a_cell_of_a_map_is_the_panel_in_its_middle(slabs: list[Slab]):
    job = with_inner_walls(two_storeys(), 10)
    floors = [job.site.floors[0], job.site.floors[1].model_copy(update={"slabs": slabs})]
    maps = SiteMaps(with_site(job, floors=floors), AS_OF)
    worst, odds = (maps.floor_map(what, "u", 1.0) for what in (WORST, ODDS))
    one = maps.floor_map(DEVICE, "u")
    for row, column in [(0, 0), (4, 7), (8, 11)]:
        there = maps.panel_at("u", (column + 0.5, row + 0.5))
        assert worst.values[row, column] == pytest.approx(there.worst.margin_db, abs=0.001)
        assert odds.values[row, column] == pytest.approx(there.odds_all_ratio, abs=1e-5)
        margin_db = next(d.margin_db for d in there.devices if d.device == "d1")
        assert one.values[row, column] == pytest.approx(margin_db, abs=0.001)


def test_two_floors_of_unknown_build_up_take_less_than_twice_one():
    # COST 231 multi-wall: k^((k+2)/(k+1) - 0.46) times the loss of one, 1.832 for k = 2. One of
    # the floors has an outline and the other has not.
    area = [(-9.0, -9.0), (9.0, -9.0), (9.0, 9.0)]
    decks = [
        Slab(id="a", construction="deck", elevation_m=3.0, outline=area),
        Slab(id="b", construction="deck", elevation_m=6.0),
    ]

    def nowhere(i: int) -> Slab:
        return Slab(id=f"n{i}", construction="brick", elevation_m=-90.0)

    def margin_db(*slabs: Slab) -> float:
        floors = [
            Floor(
                id=f"f{i}",
                name=f"{i}",
                elevation_m=3.0 * i,
                height_m=3.0,
                slabs=[nowhere(i), *some],
            )
            for i, some in enumerate([[], slabs, []])
        ]
        device = Device(id="d", name="d", part="lark_motion", floor="f0", at=(5, 0), height_m=1.0)
        panel = Panel(part=PANEL, height_m=1.0)
        site = Site(
            name="Tower", floors=floors, constructions=CONSTRUCTIONS, devices=[device], panel=panel
        )
        there = SiteMaps(embed(Job(site=site)), AS_OF).panel_at("f2", (5.0, 0.0))
        return there.devices[0].margin_db

    assert margin_db(decks[0]) - margin_db(*decks) == pytest.approx(0.832 * 18.3, abs=0.01)
    assert margin_db(decks[1]) == pytest.approx(margin_db(decks[0]), abs=0.001)


# -- what is mapped and what not -------------------------------------------------------------------


def test_cells_outside_are_nan_and_units_are_said():
    maps = SiteMaps(build_demo(), AS_OF)
    worst, odds = (maps.floor_map(what, "ground") for what in (WORST, ODDS))
    assert (worst.unit, worst.required) == ("dB", 0.0)
    assert (odds.unit, odds.required) == ("ratio", None)
    assert np.isnan(worst.values).any()
    assert np.array_equal(np.isnan(worst.values), np.isnan(odds.values))


def test_devices_that_cannot_be_mapped_are_named():
    job = two_storeys()
    lost = Device(id="x", name="Lost", part="lark_motion")
    maps = SiteMaps(with_site(job, devices=[*job.site.devices, lost]), AS_OF)
    assert "1 device is left out (no place on the plan): Lost." in maps.floor_map(WORST, "g").notes
    with pytest.raises(JobError, match="'x' cannot be mapped"):
        maps.floor_map(MapOf.parse("device:x"), "g")


@pytest.mark.parametrize(
    ("changed", "what", "floor", "says"),
    [
        ({"panel": None}, WORST, "g", "no panel"),
        ({"devices": []}, WORST, "g", "nothing to map. The site has no devices"),
        ({"devices": []}, COVERAGE, "g", "no wireless device"),
        ({"panel": None, "repeaters": []}, COVERAGE, "g", "place the panel"),
        ({}, MapOf.parse("device:zz"), "g", "no device 'zz'; this site has: d0, d1, d2"),
        ({}, WORST, "attic", "no storey 'attic'; this site has: g, u"),
        ({}, MapOf.parse("network:001-01"), "g", "allowed: worst, odds"),
    ],
)
def test_what_cannot_be_mapped_says_what_to_do(
    changed: dict[str, object], what: MapOf, floor: str, says: str
):
    with pytest.raises(JobError, match=says):
        SiteMaps(with_site(two_storeys(), **changed), AS_OF).floor_map(what, floor)


def test_a_repeater_of_any_name_is_heard_alike():
    job = two_storeys()
    named = [job.site.repeaters[0].model_copy(update={"id": "probe"})]
    for what in (WORST, COVERAGE):
        one, other = (
            SiteMaps(x, AS_OF).floor_map(what, "u", 1.0).values
            for x in (job, with_site(job, repeaters=named))
        )
        assert same(one, other)


def test_margin_and_odds_are_those_of_the_way_it_names():
    job, found = with_inner_walls(two_storeys(), 30), set()
    for floor, at in [("g", (1.5, 7.2)), ("u", (9.7, 1.4)), ("g", (10.8, 3.3)), ("u", (2.2, 5.6))]:
        there = SiteMaps(job, AS_OF).panel_at(floor, at)
        panel = job.site.panel.model_copy(update={"floor": floor, "at": at})
        expected = by_assess(with_site(job, panel=panel), there)
        for device in there.devices:
            assert device.margin_db == pytest.approx(expected[device.device][0], abs=0.1)
            assert device.odds_ratio == pytest.approx(expected[device.device][1], abs=0.01)
        found |= {d.via for d in there.devices}
    assert found == {None, "r0"}


def test_all_ways_needed_covers_where_every_receiver_hears():
    job = two_storeys()
    every = job.profile.model_copy(update={"all_paths": True})
    covered = SiteMaps(job, AS_OF, every).floor_map(COVERAGE, "u", 1.0)
    for row, column in [(0, 0), (4, 7), (8, 11)]:
        at = (column + 0.5, row + 0.5)
        usual = Device(id="x", name="x", part="lark_motion", floor="u", at=at, height_m=1.2)
        site = with_site(job, devices=[*job.site.devices, usual])
        links = {x.id: x for x in assess(site, AS_OF, every, leave_out_later=True).links}
        ways = [["radio:x>panel"], ["radio:x>r0", "radio:r0>panel"]]
        worst_db = min(links[hop].margin.value for way in ways for hop in way)
        assert covered.values[row, column] == pytest.approx(worst_db, abs=0.1)


def test_all_ways_needed_and_one_receiver_nowhere_is_refused_by_name():
    job = two_storeys()
    every = job.profile.model_copy(update={"all_paths": True})
    lost = Repeater(id="r9", name="Loft repeater", part=REPEATER)
    maps = SiteMaps(with_site(job, repeaters=[*job.site.repeaters, lost]), AS_OF, every)
    with pytest.raises(JobError, match=r"Not all that has to .*no place on the plan\): Loft rep"):
        maps.floor_map(COVERAGE, "u")


@pytest.mark.parametrize("what", [WORST, COVERAGE, DEVICE])
def test_a_repeater_without_a_place_is_named(what: MapOf):
    job = two_storeys()
    lost = Repeater(id="r9", name="Loft repeater", part=REPEATER)
    beside = {"r9": Between(distance_m=3.0)}
    devices = [job.site.devices[0].model_copy(update={"between_repeaters": beside})]
    other = with_site(
        job,
        repeaters=[*job.site.repeaters, lost],
        devices=[*devices, *job.site.devices[1:]],
    )
    notes = SiteMaps(other, AS_OF).floor_map(what, "g").notes
    said = [n for n in notes if n.endswith("left out (no place on the plan): Loft repeater.")]
    assert len(said) == 1


@pytest.mark.parametrize("what", [WORST, COVERAGE, DEVICE])
def test_a_limit_nobody_confirmed_is_not_blamed_on_the_kit(what: MapOf):
    job = two_storeys()
    name = LimitName.RADIO_SPREAD_PLAN_DB
    limit = job.profile.limits[name]
    source = limit.source.model_copy(update={"evidence": Evidence.MEMORY})
    limits = {**job.profile.limits, name: limit.model_copy(update={"source": source})}
    profile = job.profile.model_copy(update={"limits": limits})
    says = "not confirmed: radio_spread_plan_db; see pathproof profile confirm"
    with pytest.raises(JobError, match=says) as error:
        SiteMaps(job, AS_OF, profile).floor_map(what, "g")
    assert "figure is missing)" not in str(error.value)


def test_all_ways_needed_takes_the_worst_way():
    job = two_storeys()
    every = job.profile.model_copy(update={"all_paths": True})
    some, all_ways = (SiteMaps(job, AS_OF, p).panel_at("g", (6.0, 4.0)) for p in (None, every))
    for one, other in zip(some.devices, all_ways.devices, strict=True):
        assert other.margin_db <= one.margin_db
        assert other.odds_ratio < one.odds_ratio


# -- rasters and memory ----------------------------------------------------------------------------


def test_the_raster_stays_until_an_edit_leaves_it_or_another_is_asked_for():
    job = two_storeys()
    maps = SiteMaps(job, AS_OF)
    first = maps.floor_map(WORST, "g", 1.0)
    wall = job.site.walls[1].model_copy(update={"start": (8.0, 0.0), "end": (8.0, 9.0)})
    moved = with_site(job, walls=replaced(job.site.walls, 1, wall))
    maps.update(moved)
    assert maps.floor_map(WORST, "g").values.shape == first.values.shape
    maps.new_raster("g")
    assert maps.floor_map(WORST, "g", 1.0).values.shape[1] <= first.values.shape[1]
    out = wall.model_copy(update={"start": (15.0, 0.0), "end": (15.0, 9.0)})
    maps.update(with_site(job, walls=replaced(job.site.walls, 1, out)))
    fresh = SiteMaps(with_site(job, walls=replaced(job.site.walls, 1, out)), AS_OF)
    assert same(maps.floor_map(WORST, "g").values, fresh.floor_map(WORST, "g", 1.0).values)


@pytest.mark.parametrize("what", [WORST, COVERAGE])
def test_a_wall_of_the_rim_takes_the_storey_s_edge_along_and_costs_no_losses(
    what: MapOf, monkeypatch: pytest.MonkeyPatch
):
    job = two_storeys()
    maps = SiteMaps(job, AS_OF)
    maps.floor_map(what, "g", 1.0)
    # From a rectangle to an L and back: all that the raster lies over spans the same.
    gone = with_site(job, walls=[w for w in job.site.walls if w.id not in ("g1", "g2")])
    notch = [(12.0, 0.0), (12.0, 4.0), (6.0, 4.0), (6.0, 9.0), (0.0, 9.0)]
    rim = [
        Wall(id=f"n{i}", floor="g", start=a, end=b, construction="brick")
        for i, (a, b) in enumerate(pairwise(notch))
    ]
    for edited in (with_site(gone, walls=[*gone.site.walls, *rim]), gone, job):
        maps.update(edited)
        fresh = SiteMaps(edited, AS_OF).floor_map(what, "g", 1.0)
        with monkeypatch.context() as patch:
            patch.setattr(_loss_field, "add_shadows", None)
            kept = maps.floor_map(what, "g")
        assert same(kept.values, fresh.values)


def test_a_new_raster_is_laid_where_no_cell_of_the_old_one_is_within_what_is_left():
    job = two_storeys()
    corners = [(5.5, 5.5), (6.5, 5.5), (6.5, 6.5), (5.5, 6.5), (5.5, 5.5)]  # between cells' middles
    pocket = [
        Wall(id=f"p{i}", floor="g", start=a, end=b, construction="brick")
        for i, (a, b) in enumerate(pairwise(corners))
    ]
    job = with_site(job, walls=[*job.site.walls, *pocket])
    maps = SiteMaps(job, AS_OF)
    answers(maps)
    opened = with_site(job, walls=[w for w in job.site.walls if w.id != "g0"])
    maps.update(opened)
    assert all_same(answers(maps), answers(SiteMaps(opened, AS_OF)))
    assert maps.floor_map(WORST, "g").values.shape == (1, 1)


@pytest.mark.parametrize("most_bytes", [0, 3000])
def test_with_little_memory_the_maps_are_the_same(most_bytes: int):
    # Four things on 12 x 9 cells of 4 bytes are 1728 bytes: none is kept, or one storey of two.
    job = two_storeys()
    maps, little = SiteMaps(job, AS_OF), SiteMaps(job, AS_OF, most_bytes=most_bytes)
    for floor in "gugg":
        for what in (WORST, ODDS, DEVICE):
            expected = maps.floor_map(what, floor, 1.0).values
            assert little.floor_map(what, floor, 1.0).values == pytest.approx(
                expected, abs=1e-9, nan_ok=True
            )


# -- single edits ----------------------------------------------------------------------------------


def first(things: list, **changed: object) -> list:
    return [things[0].model_copy(update=changed), *things[1:]]


def upper(job: Job, **changed: object) -> list[Floor]:
    return [job.site.floors[0], job.site.floors[1].model_copy(update=changed)]


def with_part(job: Job, part: str, **figures: object) -> Job:
    changed = job.part(part)
    if hasattr(changed, "radio"):
        radio = changed.radio.model_copy(update=figures)
        changed = changed.model_copy(update={"radio": radio})
    else:
        radios = [r.model_copy(update=figures) for r in changed.radios]
        changed = changed.model_copy(update={"radios": radios})
    catalogue = {**job.embedded.catalogue, part: changed}
    embedded = job.embedded.model_copy(update={"catalogue": catalogue})
    return job.model_copy(update={"embedded": embedded})


def with_limit(job: Job, name: LimitName, **changed: object) -> Job:
    limits = {**job.profile.limits, name: job.profile.limits[name].model_copy(update=changed)}
    profile = job.profile.model_copy(update={"limits": limits})
    embedded = job.embedded.model_copy(update={"profile": profile})
    return job.model_copy(update={"embedded": embedded})


def rebuilt(job: Job, name: str, construction: Construction) -> Job:
    return with_site(job, constructions={**job.site.constructions, name: construction})


EDITED: dict[str, Callable[[Job], Job]] = {
    "panel height": lambda j: with_site(j, panel=first([j.site.panel], height_m=2.5)[0]),
    "panel mounting": lambda j: with_site(
        j, panel=first([j.site.panel], mounting=Mounting.ON_METAL)[0]
    ),
    "panel near_electronics": lambda j: with_site(
        j, panel=first([j.site.panel], near_electronics=True)[0]
    ),
    "panel part": lambda j: with_site(
        j,
        panel=first([j.site.panel], part="lark_wren_panel")[0],
        devices=first(j.site.devices, part="wren_contact"),
    ),
    "device carried": lambda j: with_site(j, devices=first(j.site.devices, carried=True)),
    "device mounting": lambda j: with_site(
        j, devices=first(j.site.devices, mounting=Mounting.ON_METAL)
    ),
    "device height": lambda j: with_site(j, devices=first(j.site.devices, height_m=0.3)),
    "device storey": lambda j: with_site(j, devices=first(j.site.devices, floor="u")),
    "device part": lambda j: with_site(j, devices=first(j.site.devices, part="lark_smoke")),
    "device gone from the plan": lambda j: with_site(
        j, devices=[*j.site.devices[:2], j.site.devices[2].model_copy(update={"at": None})]
    ),
    "repeater mounting": lambda j: with_site(
        j, repeaters=first(j.site.repeaters, mounting=Mounting.ON_METAL)
    ),
    "repeater gone": lambda j: with_site(j, repeaters=[]),
    "part's power": lambda j: with_part(j, "lark_motion", eirp_dbm=-9.0),
    "part's frequency": lambda j: with_part(j, "lark_motion", frequency_hz=434e6),
    "panel's sensitivity": lambda j: with_part(j, PANEL, sensitivity_dbm=-90.0),
    "limit of the profile": lambda j: with_limit(j, LimitName.RADIO_ODDS_RATIO, value=0.99),
    "all ways of the profile": lambda j: j.model_copy(
        update={
            "embedded": j.embedded.model_copy(
                update={"profile": j.profile.model_copy(update={"all_paths": True})}
            )
        }
    ),
    "wall thickness": lambda j: rebuilt(j, "brick", brick(0.5)),
    "wall guessed": lambda j: rebuilt(j, "brick", brick(0.24, guessed=True)),
    "wall no longer guessed": lambda j: rebuilt(j, "guess", brick(0.3)),
    "loss of an unknown wall": lambda j: rebuilt(j, "unknown", fixed(11.0)),
    "loss of a floor": lambda j: rebuilt(j, "deck", fixed(9.0, is_floor=True)),
    "floor by layers": lambda j: rebuilt(j, "deck", brick(0.2)),
    "storey elevation": lambda j: with_site(j, floors=upper(j, elevation_m=3.4)),
    "storey height": lambda j: with_site(j, floors=upper(j, height_m=1.0)),
    "slab": lambda j: with_site(j, floors=upper(j, slabs=[THIN_DECK])),
    "one more slab": lambda j: with_site(j, floors=upper(j, slabs=[DECK, CEILING])),
    "wall base": lambda j: with_site(j, walls=inner_walls(j, base_m=1.6)),
    "wall top": lambda j: with_site(j, walls=inner_walls(j, top_m=1.0)),
    "wall storey": lambda j: with_site(j, walls=inner_walls(j, floor="u")),
    "opening construction": lambda j: with_site(j, walls=[*j.site.walls[:-1], door("unknown")]),
    "opening sill": lambda j: with_site(j, walls=[*j.site.walls[:-1], door("thin", sill_m=1.8)]),
    "all inner walls": lambda j: with_site(j, walls=two_storeys().site.walls),
}


def inner_walls(job: Job, **changed: object) -> list[Wall]:
    walls = job.site.walls
    return [w.model_copy(update=changed) if w.id.startswith("w") else w for w in walls]


def door(construction: str, **changed: object) -> Wall:
    """A wall with a wide door between two of the devices."""
    opening = Opening(
        id="door", offset_m=0.2, width_m=6.0, head_m=2.4, construction=construction, **changed
    )
    return Wall(
        id="doored",
        floor="g",
        start=(4.0, 0.4),
        end=(4.0, 8.6),
        construction="brick",
        openings=[opening],
    )


@pytest.mark.parametrize("edit", EDITED.values(), ids=EDITED)
def test_after_one_edit_kept_equals_fresh(edit: Callable[[Job], Job]):
    job = with_inner_walls(two_storeys(), 12)
    job = with_site(job, walls=[*job.site.walls, door("thin")])
    maps = SiteMaps(job, AS_OF)
    before = answers(maps)
    other = edit(job)
    maps.update(other)
    after = answers(maps)
    assert all_same(after, answers(SiteMaps(other, AS_OF)))
    assert len(after[-1]) != len(before[-1]) or not all_same(before, after)


def test_a_confirmation_lets_a_limit_count_and_its_end_does_not():
    source = Source(ref="a standard", evidence=Evidence.MEMORY)
    job = with_limit(two_storeys(), LimitName.RADIO_SPREAD_PLAN_DB, source=source)
    limit = job.profile.limits[LimitName.RADIO_SPREAD_PLAN_DB]
    confirm = ConfirmEntry.model_validate(
        {
            "id": "c1",
            "kind": "confirm",
            "at": "2026-11-20T10:00:00+00:00",
            "by": "A. Tester",
            "values": {
                "profile": job.profile.id,
                "limit": LimitName.RADIO_SPREAD_PLAN_DB,
                "value": limit.value,
                "document": "a standard",
                "edition": "1",
            },
        }
    )
    confirmed = job.model_copy(update={"record": [confirm]})
    maps = SiteMaps(job, AS_OF)
    for _ in range(2):
        with pytest.raises(JobError, match="not confirmed"):
            maps.floor_map(WORST, "g")
        maps.update(confirmed)
        assert all_same(answers(maps), answers(SiteMaps(confirmed, AS_OF)))
        maps.update(job)


@pytest.mark.parametrize("changed", [{}, {"floors": "redo"}])
def test_an_edit_that_cannot_be_used_changes_nothing(changed: dict[str, object]):
    job = two_storeys()
    maps = SiteMaps(job, AS_OF)
    before = answers(maps)
    flat = job.site.walls[0].model_copy(update={"end": job.site.walls[0].start})
    if changed:  # on the way that does all anew
        changed = {"floors": upper(job, height_m=2.9)}
    with pytest.raises(ValueError, match="same point"):
        maps.update(with_site(job, walls=replaced(job.site.walls, 0, flat), **changed))
    assert all_same(answers(maps), before)


def test_an_edit_that_breaks_off_half_way_changes_nothing(monkeypatch: pytest.MonkeyPatch):
    job = with_inner_walls(two_storeys(), 12)
    maps = SiteMaps(job, AS_OF)
    before = answers(maps)
    stay = [w for w in job.site.walls if w.id not in [f"w{i}" for i in range(100, 106)]]
    edited = with_site(job, walls=stay)
    real, calls = _loss_field.add_shadows, []

    def once(*args: object, **named: object) -> None:
        calls.append(args)
        if len(calls) > 1:
            raise MemoryError
        real(*args, **named)

    with monkeypatch.context() as patch:
        patch.setattr(_loss_field, "add_shadows", once)
        with pytest.raises(MemoryError):
            maps.update(edited)
    assert len(calls) > 1
    assert all_same(answers(maps), before)
    maps.update(edited)
    assert all_same(answers(maps), answers(SiteMaps(edited, AS_OF)))


def test_no_more_memory_is_kept_than_allowed_whatever_is_asked_and_edited():
    # Cells of 1 m: 108 of 4 bytes, so 432 bytes a thing and array.
    job, most_bytes = two_storeys(), 5000
    maps = SiteMaps(job, AS_OF, most_bytes=most_bytes)
    unknown = a_wall(random.Random(3), 9).model_copy(update={"construction": "unknown"})
    edited = with_site(job, walls=[*job.site.walls, unknown])
    sizes = []
    for now in (job, edited, job):
        maps.update(now)
        sizes.append(maps.kept_bytes)
        for floor in "gug":
            for what in (WORST, COVERAGE, DEVICE):
                kept = maps.floor_map(what, floor, 1.0).values
                sizes.append(maps.kept_bytes)
                assert same(kept, SiteMaps(now, AS_OF).floor_map(what, floor, 1.0).values)
    assert 0 < max(sizes) <= most_bytes


# -- kept for several threads ----------------------------------------------------------------------


def test_two_threads_that_ask_for_one_site_work_it_out_once(monkeypatch: pytest.MonkeyPatch):
    kept, job, calls, found = KeptMaps(), two_storeys(), [], []
    real = _loss_field.add_shadows

    def counted(into, *args, **named):
        calls.append(into.shape)
        real(into, *args, **named)

    monkeypatch.setattr(_loss_field, "add_shadows", counted)
    with KeptMaps().of("alone", job, AS_OF) as maps:
        maps.floor_map(WORST, "g", 0.5)
    once = len(calls)
    together = threading.Barrier(2)

    def ask() -> None:
        together.wait()
        with kept.of("site", job, AS_OF) as maps:
            found.append(maps.floor_map(WORST, "g", 0.5).values)

    threads = [threading.Thread(target=ask) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(calls) == 2 * once
    assert np.array_equal(*found, equal_nan=True)


def test_one_site_in_use_does_not_hold_up_another():
    kept, job, done = KeptMaps(), two_storeys(), threading.Event()

    def other() -> None:
        with kept.of("other", job, AS_OF):
            done.set()

    with kept.of("site", job, AS_OF):
        thread = threading.Thread(target=other)
        thread.start()
        assert done.wait(timeout=10.0)
    thread.join()


def test_of_more_than_two_sites_the_one_not_used_for_longest_is_dropped():
    kept, job = KeptMaps(), two_storeys()

    def maps_of(key: str) -> SiteMaps:
        with kept.of(key, job, AS_OF) as maps:
            return maps

    first, second = maps_of("a"), maps_of("b")
    assert maps_of("a") is first
    maps_of("c")
    assert maps_of("a") is first
    assert maps_of("b") is not second


def test_kept_maps_follow_the_job_and_the_profile_they_are_asked_with():
    kept, job = KeptMaps(), two_storeys()
    wider = job.profile.model_copy(update={"all_paths": True})
    other = with_site(job, walls=job.site.walls[:-1])
    with kept.of("a", job, AS_OF) as maps:
        before = maps.panel_at("u", (2.0, 2.0))
    for edited, profile in [(job, wider), (other, None), (job, None)]:
        with kept.of("a", edited, AS_OF, profile) as maps:
            there = maps.panel_at("u", (2.0, 2.0))
        assert there == SiteMaps(edited, AS_OF, profile).panel_at("u", (2.0, 2.0))
    assert there == before


def test_a_thread_may_ask_again_within_its_own_block():
    kept, job, found = KeptMaps(), two_storeys(), []

    def ask() -> None:
        with kept.of("a", job, AS_OF) as maps, kept.of("a", job, AS_OF) as again:
            found.append(maps is again)

    thread = threading.Thread(target=ask, daemon=True)
    thread.start()
    thread.join(timeout=10.0)
    assert found == [True]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_a_forked_process_works_maps_out_too():
    job = two_storeys()
    expected = SiteMaps(job, AS_OF).floor_map(WORST, "g", 1.0).values
    child = os.fork()
    if child == 0:  # the parent's threads are not here
        signal.alarm(20)
        found = SiteMaps(job, AS_OF).floor_map(WORST, "g", 1.0).values
        os._exit(0 if same(found, expected) else 1)
    assert os.waitpid(child, 0)[1] == 0


def test_the_page_says_the_step_of_all_losses():
    page = Path(__file__).parents[2] / "docs" / "assessment.md"
    said = f"whole steps of 2^{math.log2(STEP_DB):.0f} dB"
    assert said in " ".join(page.read_text(encoding="utf-8").split())
