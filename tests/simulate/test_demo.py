"""The demo is what its builder builds, and tells the story that docs/demo.md tells.

When the builder, the shipped library or the format changes on purpose, write the file anew:

    python -c "from pathproof.job import dump_job; from pathproof.simulate import build_demo; \
        print(dump_job(build_demo()), end='')" > src/pathproof/simulate/data/demo_job.json
"""

import math

import pytest
from shapely import Point, Polygon
from shapely.geometry import LineString
from shapely.ops import polygonize, unary_union
from stdnum import luhn

from pathproof.assess import Assessment, assess
from pathproof.job import DetectorPart, Job, content_hash, dump_job, links
from pathproof.job.fingerprint import Fingerprints
from pathproof.simulate import AS_OF, build_demo, demo_job, demo_json
from pathproof.terms import LinkKind, Mounting, Word


@pytest.fixture(scope="module")
def job() -> Job:
    return demo_job()


@pytest.fixture(scope="module")
def assessment(job: Job) -> Assessment:
    return assess(job, as_of=AS_OF)


def test_file_is_what_the_builder_builds() -> None:
    assert dump_job(build_demo()) == demo_json()


def test_hash_is_that_of_the_content(job: Job) -> None:
    assert job.hash == content_hash(job)


def test_size_is_that_of_a_small_business(job: Job) -> None:
    assert len(job.site.floors) == 3
    assert 18 <= len(job.site.devices) <= 22
    assert len(job.site.zones) == 12
    assert len(job.site.partitions) == 2
    assert len(job.site.spots) == 4
    # ITU-T E.212 keeps country code 001 for tests, 999 for private networks
    assert {n.mcc_mnc[:3] for n in job.site.networks} == {"001", "999"}


def test_every_network_was_read_at_every_spot(job: Job) -> None:
    read = {(e.about[0], e.values.network) for e in job.record if e.kind == "reading"}
    wanted = {(s.id, n.mcc_mnc) for s in job.site.spots for n in job.site.networks}
    assert wanted <= read


def test_one_device_is_lacking_on_all_its_ways(assessment: Assessment) -> None:
    lacking = {s.about for s in assessment.signals if s.word is Word.LACKING}
    assert lacking == {"cold_store_door"}
    assert assessment.summary.devices_lacking == 1
    ways = [x for x in assessment.links if x.start == "cold_store_door"]
    assert len(ways) == 2
    assert all(x.word is Word.LACKING for x in ways)


def test_without_the_steel_the_repeater_would_hear_the_cold_store(assessment: Assessment) -> None:
    way = assessment.link(links.radio("cold_store_door", "yard_repeater"))
    steel_db = sum(
        line.value
        for line in way.working
        if line.label.startswith("Steel sandwich panel") and isinstance(line.value, float)
    )
    assert way.margin is not None
    assert way.margin.value < 0 < way.margin.value + steel_db


def test_repeater_carries_a_device_that_the_panel_does_not_hear(assessment: Assessment) -> None:
    direct = assessment.link(links.radio("shutter_shock", "panel"))
    over_repeater = assessment.link(links.radio("shutter_shock", "yard_repeater"))
    assert direct.word is Word.LACKING
    assert over_repeater.word is Word.PROVEN


def test_words_are_mixed(assessment: Assessment) -> None:
    radio = [x.word for x in assessment.links if x.kind is LinkKind.RADIO]
    assert radio.count(Word.PROVEN) >= 5
    assert radio.count(Word.PREDICTED) > radio.count(Word.PROVEN)
    mobile = [x for x in assessment.links if x.kind is LinkKind.MOBILE]
    assert [x.word for x in mobile] == [Word.PROVEN]


def test_kinds_of_hanging_that_a_technician_meets(job: Job) -> None:
    site = job.site
    assert site.panel is not None
    assert site.panel.near_electronics
    assert any(d.mounting is Mounting.ON_METAL for d in site.devices)
    assert any(d.carried for d in site.devices)
    parts = [job.part(d.part) for d in site.devices]
    assert any(isinstance(p, DetectorPart) and p.radio is None for p in parts)


def test_evidence_speaks_for_the_site_as_it_is(job: Job) -> None:
    prints = Fingerprints(job)
    for entry in job.record:
        communicator = entry.values.communicator if entry.kind == "event" else None
        for name, fingerprint in entry.fits.items():
            assert prints.of(name, communicator) == fingerprint, f"{entry.id}: {name}"


def test_record_holds_a_correction_a_confirmation_and_a_note(job: Job) -> None:
    assert [e.id for e in job.record if e.replaces] == ["walk-06"]
    kinds = [e.kind for e in job.record]
    assert kinds.count("confirm") == 1
    assert kinds.count("note") == 1
    assert len({e.id for e in job.record}) == len(job.record)
    assert all(e.at < AS_OF for e in job.record)


def test_numbers_on_card_and_module_carry_their_check_digit(job: Job) -> None:
    (communicator,) = job.site.communicators
    assert communicator.sim is not None
    assert luhn.is_valid(communicator.sim.iccid or "")
    assert luhn.is_valid(communicator.imei or "")


@pytest.mark.parametrize("floor", ["cellar", "ground", "upper"])
def test_walls_close_and_things_hang_inside(job: Job, floor: str) -> None:
    lines = [LineString([w.start, w.end]) for w in job.site.walls if w.floor == floor]
    rooms = list(polygonize(unary_union(lines)))
    assert len(rooms) >= 3
    outlines = unary_union(rooms)
    for device in job.site.devices:
        if device.floor == floor and device.id != "yard_sounder":
            assert outlines.contains(Point(device.at or (0.0, 0.0))), device.id
    for wall in job.site.walls:
        for value in (*wall.start, *wall.end):
            assert math.isclose(value, round(value, 1)), wall.id


def test_stair_wells_lie_one_above_the_other_and_in_the_hall(job: Job) -> None:
    wells = [Polygon(hole) for f in job.site.floors for s in f.slabs for hole in s.holes]
    assert len(wells) == 2
    assert wells[0].equals(wells[1])
    assert Polygon([(0, 5), (0, 10), (3.5, 10), (3.5, 5)]).contains(wells[0])
