"""Evidence is void when what it speaks for changed, and only then."""

import json
import os
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pathproof.job import Job, Library, dump_job, links, parse_job, read_job, write_job
from pathproof.job.fingerprint import Fingerprints, between_of, radio_ways
from pathproof.terms import JobError, SignalKind

# y
# 9 b         r
# 7 ---top-       far (x = 20)
# 5 panel  | mid  a        wired, other
#          4
SITE: dict[str, Any] = {
    "name": "House",
    "profile": "practice_plus",
    "floors": [{"id": "g", "name": "Ground", "elevation_m": 0.0, "height_m": 3.0}],
    "walls": [
        {"id": "mid", "floor": "g", "start": [4, 3], "end": [4, 8], "construction": "brick"},
        {"id": "top", "floor": "g", "start": [-2, 7], "end": [3, 7], "construction": "stud"},
        {"id": "far", "floor": "g", "start": [20, 0], "end": [20, 9], "construction": "brick"},
    ],
    "partitions": [
        {"id": "p1", "name": "All", "number": 1},
        {"id": "p2", "name": "Cellar", "number": 2},
    ],
    "zones": [
        {"id": "z1", "number": 1, "name": "A", "kind": "immediate", "partition": "p1"},
        {"id": "z2", "number": 2, "name": "B", "kind": "immediate", "partition": "p2"},
        {"id": "z3", "number": 3, "name": "W", "kind": "immediate", "partition": "p1"},
    ],
    "devices": [
        {"id": "a", "name": "A", "part": "kw_contact", "zone": "z1", "floor": "g", "at": [9, 5]},
        {"id": "b", "name": "B", "part": "kw_smoke", "zone": "z2", "floor": "g", "at": [0, 9]},
        {"id": "w", "name": "W", "part": "wired_glass", "zone": "z3", "floor": "g", "at": [8, 1]},
        {"id": "o", "name": "Other family", "part": "other_radio", "floor": "g", "at": [8, 2]},
    ],
    "panel": {"part": "kw_panel", "floor": "g", "at": [0, 5], "height_m": 1.5},
    "repeaters": [
        {"id": "r", "name": "R", "part": "kw_repeater", "floor": "g", "at": [7, 9]},
    ],
    "spots": [
        {"id": "s1", "name": "Shelf", "floor": "g", "at": [0, 5]},
        {"id": "s2", "name": "Sill"},
    ],
    "networks": [
        {"mcc_mnc": "001-01", "label": "Heron", "technologies": ["lte"]},
        {"mcc_mnc": "001-02", "label": "Otter", "technologies": ["lte"]},
    ],
    "communicators": [
        {
            "id": "m1",
            "part": "kw_module",
            "sim": {"kind": "fixed", "networks": ["001-01"]},
            "account": "1234",
            "spot": "s1",
            "antenna": "kw_antenna",
        },
        {"id": "m2", "part": "kw_module", "role": "second", "spot": "s2", "account": "1235"},
    ],
    "supply": {"part": "kw_supply", "kind": "mains_recharged"},
    "battery": {"part": "kw_battery", "fitted_on": "2026-01-15"},
    "cables": [
        {"id": "c1", "part": "kw_cable", "to": "w", "length_m": 20.0},
        {"id": "c2", "part": "kw_cable", "to": "m1", "length_m": 2.0},
    ],
    "reporting": {"interval_s": 90.0, "misses": 3, "timeout_s": 20.0},
}

SIGNALS = [f"signal:{about}:{kind}" for about in ("a", "b", "w", "o") for kind in SignalKind]
PANEL_SIGNALS = [f"signal:panel:{kind}" for kind in SignalKind]
RADIO = [
    "radio:a>panel",
    "radio:a>r",
    "radio:b>panel",
    "radio:b>r",
    "radio:o>panel",
    "radio:r>panel",
]
REST = ["mobile:m1", "mobile:m2", "reporting:m1", "reporting:m2", "supply", "standby"]
EVERYTHING = {*SIGNALS, *PANEL_SIGNALS, *RADIO, *REST, "spot:s1", "spot:s2"}


def of(*abouts: str) -> set[str]:
    return {name for name in (*SIGNALS, *PANEL_SIGNALS) if name.split(":")[1] in abouts}


@pytest.fixture
def library(sample: Job) -> Library:
    parts = dict(sample.embedded.catalogue)
    contact = parts["kw_contact"]
    radio = contact.radio.model_copy(update={"family": "other"})  # type: ignore[union-attr]
    parts["other_radio"] = contact.model_copy(update={"id": "other_radio", "radio": radio})
    for part in ("kw_panel", "wired_glass"):
        parts[f"{part}_2"] = parts[part].model_copy(update={"id": f"{part}_2"})
    layers = {"brick": "brick_250", "stud": "stud_100", "lath": "stud_100"}
    assert sample.embedded.profile is not None
    return Library(
        parts=parts,
        constructions={i: sample.construction(c) for i, c in layers.items()},
        profiles={"practice_plus": sample.embedded.profile},
    )


Changed = Callable[[Callable[[dict[str, Any]], object]], set[str]]


@pytest.fixture
def data() -> dict[str, Any]:
    text = json.dumps({"format": "pathproof-job", "format_version": 1, "site": SITE})
    loaded: dict[str, Any] = json.loads(text)
    return loaded


@pytest.fixture
def changed(library: Library, data: dict[str, Any]) -> Changed:
    """The links, spots and signals whose fingerprint a change of the file changes."""

    def compare(change: Callable[[dict[str, Any]], object]) -> set[str]:
        before = Fingerprints(parse_job(json.dumps(data), library))
        change(data)
        after = Fingerprints(parse_job(json.dumps(data), library))
        return {name for name in EVERYTHING if before.of(name) != after.of(name)}

    return compare


def test_every_thing_has_a_fingerprint_of_its_own(library: Library, data: dict[str, Any]) -> None:
    prints = Fingerprints(parse_job(json.dumps(data), library))
    found = [prints.of(name) for name in EVERYTHING]
    assert all(len(x) == 16 and int(x, 16) >= 0 for x in found)
    assert len(set(found)) == len(EVERYTHING)


@pytest.mark.parametrize(
    "change",
    [
        {"at": [9.0, 4.0]},
        {"at": [9.002, 5.0]},
        {"height_m": 1.9},
        {"mounting": "on_metal"},
        {"carried": True},
        {"part": "kw_motion"},
    ],
)
def test_a_device_moved_or_swapped(changed: Changed, change: dict[str, Any]) -> None:
    assert changed(lambda data: data["site"]["devices"][0].update(change)) == {
        "radio:a>panel",
        "radio:a>r",
        *of("a"),
    }


def test_a_repeater_moved(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["repeaters"][0].update(at=[7, 8.5])) == {
        "radio:a>r",
        "radio:b>r",
        "radio:r>panel",
        *of("a", "b"),
    }


def test_the_panel_moved_voids_all_radio_but_nothing_wired(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["panel"].update(at=[0, 5.5])) == {
        "radio:a>panel",
        "radio:b>panel",
        "radio:o>panel",
        "radio:r>panel",
        *of("a", "b", "o"),
    }


def test_the_panel_swapped_voids_every_signal_too(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["panel"].update(part="kw_panel_2")) == {
        "radio:a>panel",
        "radio:b>panel",
        "radio:o>panel",
        "radio:r>panel",
        "supply",
        "standby",
        *of("a", "b", "w", "o", "panel"),
    }


@pytest.mark.parametrize(
    "change",
    [
        lambda site: site["walls"][2].update(start=[19, 0], end=[19.5, 9]),
        lambda site: site["walls"][2].update(construction="stud"),
        lambda site: site["walls"].pop(2),
        lambda site: site["walls"].append({**site["walls"][2], "id": "new", "start": [21, 0]}),
        lambda site: site["walls"][0].update(end=[4, 8.5]),  # crossed elsewhere
        lambda site: site["walls"].reverse(),
        lambda site: site["walls"][0].update(start=[4, 8], end=[4, 3]),
        lambda site: site["walls"][0].update(id="renamed"),
        lambda site: site["walls"][0].update(
            openings=[{"id": "o", "offset_m": 3.5, "width_m": 0.5, "head_m": 2.0}]
        ),
        lambda site: site["walls"][1].update(construction="lath"),  # another name, same build-up
        lambda site: site["walls"].__setitem__(
            slice(0, 1),
            [
                {**site["walls"][0], "id": "mid1", "end": [4, 5]},  # at the crossing itself
                {**site["walls"][0], "id": "mid2", "start": [4, 5]},
            ],
        ),
    ],
)
def test_walls_on_nobodys_way(changed: Changed, change: Callable[[Any], object]) -> None:
    assert changed(lambda data: change(data["site"])) == set()


def test_construction_of_a_wall_on_the_way(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["walls"][1].update(construction="brick")) == {
        "radio:b>panel",
        *of("b"),
    }


@pytest.mark.parametrize("change", [{"start": [4.5, 3], "end": [4.5, 8]}, {"base_m": 2.5}])
def test_wall_on_the_way_moved(changed: Changed, change: dict[str, Any]) -> None:
    """All that cross it; b too, whose signals may go over the repeater."""
    assert changed(lambda data: data["site"]["walls"][0].update(change)) == {
        "radio:a>panel",
        "radio:o>panel",
        "radio:r>panel",
        *of("a", "b", "o"),
    }


def test_doorway_broken_through_on_the_way(changed: Changed) -> None:
    """Between 4.5 and 5.5 m only the way from a goes through."""
    door = {"id": "door", "offset_m": 1.5, "width_m": 1.0, "head_m": 2.2}
    assert changed(lambda data: data["site"]["walls"][0].update(openings=[door])) == {
        "radio:a>panel",
        *of("a"),
    }


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data["site"].update(name="Other", reference="9", currency="CHF"),
        lambda data: data["site"]["devices"][0].update(name="Door"),
        lambda data: data["site"]["zones"][0].update(name="Door", kind="follower"),
        lambda data: data["site"]["partitions"][0].update(name="Door"),
        lambda data: data["site"]["floors"][0].update(name="Floor", height_m=3.5),
        lambda data: data["site"]["spots"][0].update(name="Rack"),
        lambda data: data["site"]["networks"][0].update(label="Wren"),
        lambda data: data["site"]["communicators"][0].update(state="live", role="second"),
        lambda data: data["site"]["reporting"].update(category="SP4"),
        lambda data: data["site"].update(plan_origin_m=[1.0, 2.0]),
        lambda data: data["site"]["panel"].update(candidates=[]),
        lambda data: data["site"]["devices"].reverse(),
        lambda data: data["site"]["cables"].reverse(),
        lambda data: data["site"]["communicators"].reverse(),
        lambda data: data["site"]["devices"].append(
            {"id": "n", "name": "New", "part": "kw_contact", "floor": "g", "at": [1, 1]}
        ),
        lambda data: data["site"]["spots"].append({"id": "s3", "name": "Loft"}),
        lambda data: data.update(
            record=[
                {
                    "id": "n",
                    "kind": "note",
                    "at": "2026-01-01T00:00:00Z",
                    "by": "A",
                    "about": ["a"],
                    "values": {"text": "x"},
                }
            ]
        ),
    ],
)
def test_what_voids_nothing(changed: Changed, change: Callable[[Any], object]) -> None:
    assert changed(change) == set()


def test_figures_of_the_catalogue_void_nothing(library: Library, data: dict[str, Any]) -> None:
    """Evidence was measured; it outlives a corrected sensitivity."""
    job = parse_job(json.dumps(data), library)
    catalogue = {
        i: part.model_copy(update={"name": "corrected", "price": 1.0, "standby_current_a": 0.5})
        for i, part in job.embedded.catalogue.items()
    }
    embedded = job.embedded.model_copy(update={"catalogue": catalogue})
    corrected = Fingerprints(job.model_copy(update={"embedded": embedded}))
    prints = Fingerprints(job)
    assert {n: corrected.of(n) for n in EVERYTHING} == {n: prints.of(n) for n in EVERYTHING}


@pytest.mark.parametrize(
    "change",
    [
        {"sim": {"kind": "roaming", "networks": ["001-01", "001-02"]}},
        {"sim": {"kind": "fixed", "networks": ["001-02"]}},
        {"sim": {"kind": "fixed", "networks": ["001-01"], "iccid": "8900000000000000006"}},
        {"antenna": None},
        {"feeder": {"part": "kw_coax", "length_m": 3.0}},
        {"spot": "s2"},
        {"imei": "260531793113837"},
    ],
)
def test_card_antenna_and_spot_of_one_communicator(
    changed: Changed, change: dict[str, Any]
) -> None:
    """Its own mobile link, and the signals that may go over it."""
    assert changed(lambda data: data["site"]["communicators"][0].update(change)) == {
        "mobile:m1",
        *of("a", "b", "w", "o", "panel"),
    }


IMEI, OTHER_IMEI = "260531793113837", "001017000042013"
ICCID, OTHER_ICCID = "8900000000000000006", "8999970001200734514"


@pytest.mark.parametrize(
    ("then", "now", "holds"),
    [
        ((None, None), (IMEI, None), True),
        ((None, None), (None, ICCID), True),
        ((None, None), (IMEI, ICCID), True),
        ((IMEI, None), (IMEI, ICCID), True),
        ((None, ICCID), (IMEI, ICCID), True),
        ((IMEI, ICCID), (IMEI, None), False),  # what was known then is not so any more
        ((IMEI, None), (OTHER_IMEI, None), False),
        ((IMEI, ICCID), (IMEI, OTHER_ICCID), False),
        ((IMEI, None), (OTHER_IMEI, ICCID), False),
    ],
)
def test_identities_typed_in_later_void_nothing(
    library: Library,
    data: dict[str, Any],
    then: tuple[str | None, str | None],
    now: tuple[str | None, str | None],
    holds: bool,
) -> None:
    def prints(imei: str | None, iccid: str | None) -> Fingerprints:
        main = data["site"]["communicators"][0]
        main["imei"] = imei
        main["sim"] = {"kind": "fixed", "networks": ["001-01"], "iccid": iccid}
        return Fingerprints(parse_job(json.dumps(data), library))

    before, after = prints(*then), prints(*now)
    for name in ("mobile:m1", "signal:a:alarm", "signal:panel:set"):
        assert after.holds(name, before.of(name)) is holds
    assert after.holds("mobile:m2", before.of("mobile:m2"))


def test_signals_over_the_other_communicator_stay(library: Library, data: dict[str, Any]) -> None:
    before = Fingerprints(parse_job(json.dumps(data), library))
    data["site"]["communicators"][0]["antenna"] = None
    after = Fingerprints(parse_job(json.dumps(data), library))
    assert before.of("signal:a:alarm", "m1") != after.of("signal:a:alarm", "m1")
    assert before.of("signal:a:alarm", "m2") == after.of("signal:a:alarm", "m2")


def test_a_spot_moved(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["spots"][0].update(at=[0.5, 5])) == {
        "spot:s1",
        "mobile:m1",
        *of("a", "b", "w", "o", "panel"),
    }


def test_account_and_centre(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["communicators"][1].update(account="9999")) == {
        "reporting:m2",
        *of("a", "b", "w", "o", "panel"),
    }


def test_watching_of_the_path(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["reporting"].update(interval_s=120.0)) == {
        "reporting:m1",
        "reporting:m2",
        *of("a", "b", "w", "o", "panel"),
    }


@pytest.mark.parametrize("change", [{"fitted_on": "2026-06-01"}, {"count": 2}])
def test_battery(changed: Changed, change: dict[str, Any]) -> None:
    assert changed(lambda data: data["site"]["battery"].update(change)) == {"standby"}


def test_cable(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["cables"][0].update(length_m=25.0)) == {"supply"}


def test_one_more_load(changed: Changed) -> None:
    device = {"id": "w2", "name": "W2", "part": "wired_glass"}
    assert changed(lambda data: data["site"]["devices"].append(device)) == {"supply", "standby"}


@pytest.mark.parametrize("thing", ["r", "a"])
def test_a_wireless_thing_on_a_cable_is_a_load(
    changed: Changed, data: dict[str, Any], thing: str
) -> None:
    site = data["site"]
    run = {"id": "c3", "part": "kw_cable", "to": thing, "length_m": 8.0}
    assert changed(lambda _: site["cables"].append(run)) == {"supply", "standby"}

    def onto_another(_: dict[str, Any]) -> None:
        site["cables"].remove(run)
        site["cables"][0].update(on_the_way=[{"to": thing, "at_m": 5.0}])

    assert changed(onto_another) == {"supply"}
    assert changed(lambda _: site["cables"][0].update(on_the_way=[])) == {"supply", "standby"}


@pytest.mark.parametrize("change", [{"number": 7}, {"event": "E131"}, {"partition": "p1"}])
def test_zone(changed: Changed, change: dict[str, Any]) -> None:
    assert changed(lambda data: data["site"]["zones"][1].update(change)) == of("b")


def test_number_of_a_partition(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["partitions"][0].update(number=8)) == of("a", "w")


def test_a_wired_detector_swapped(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["devices"][2].update(part="wired_glass_2")) == {
        "supply",
        "standby",
        *of("w"),
    }


def test_storey_raised(library: Library, data: dict[str, Any]) -> None:
    """The way between storeys is another one then, though nobody moved anything on its storey."""
    slab = {"id": "su", "construction": "brick", "elevation_m": 3.0}
    upper = {"id": "u", "name": "U", "elevation_m": 3.2, "height_m": 3.0, "slabs": [slab]}
    data["site"]["floors"].append(upper)
    data["site"]["devices"][1]["floor"] = "u"
    before = Fingerprints(parse_job(json.dumps(data), library))
    data["site"]["floors"][1]["elevation_m"] = 3.6
    after = Fingerprints(parse_job(json.dumps(data), library))
    differing = {name for name in EVERYTHING if before.of(name) != after.of(name)}
    assert differing == {"radio:b>panel", "radio:b>r", *of("b")}


def test_saved_and_read_again(tmp_path: Path, library: Library, data: dict[str, Any]) -> None:
    job = parse_job(json.dumps(data), library)
    path = tmp_path / "a.json"
    write_job(path, write_job(path, job, library), library)
    again = Fingerprints(read_job(path, Library()))
    prints = Fingerprints(job)
    assert {n: again.of(n) for n in EVERYTHING} == {n: prints.of(n) for n in EVERYTHING}


def test_same_in_another_process(library: Library, data: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    job = parse_job(json.dumps(data), library)
    path.write_text(dump_job(job), encoding="utf-8")
    source = (
        "import sys; from pathlib import Path\n"
        "from pathproof.job import Library, read_job\n"
        "from pathproof.job.fingerprint import Fingerprints\n"
        "prints = Fingerprints(read_job(Path(sys.argv[1]), Library()))\n"
        "print(*[prints.of(name) for name in sys.argv[2:]])\n"
    )
    names = sorted(EVERYTHING)
    expected = " ".join(Fingerprints(job).of(name) for name in names) + "\n"
    root = str(Path(sys.modules["pathproof"].__path__[0]).parent)
    for seed in ("0", "1", "4242"):
        run = subprocess.run(
            [sys.executable, "-c", source, str(path), *names],
            env={**os.environ, "PYTHONPATH": root, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        assert run.stdout == expected


def test_walls_that_meet_on_the_way_have_no_order(library: Library, data: dict[str, Any]) -> None:
    """Two walls of different build-up in one place, in any order of the file."""
    crossing = [
        {"id": f"x{i}", "floor": "g", "start": [4, 3], "end": [4, 8], "construction": c}
        for i, c in enumerate(["stud", "brick", "brick", "stud"])
    ]
    found = set()
    for seed in range(6):
        random.Random(seed).shuffle(crossing)
        data["site"]["walls"] = crossing
        found.add(Fingerprints(parse_job(json.dumps(data), library)).of("radio:a>panel"))
    assert len(found) == 1


def test_the_last_digits_of_a_place_do_not_matter(library: Library, data: dict[str, Any]) -> None:
    """On plans in millimetres, half millimetres and sixteenths of an inch."""
    for step_m in (0.001, 0.0005, 0.0254 / 16):
        for i in range(0, 60, 7):
            x = 4.0 + i * step_m
            found = set()
            for nudge in (-1e-12, 0.0, 1e-12):
                data["site"]["walls"][0].update(start=[x + nudge, 3], end=[x + nudge, 8])
                job = parse_job(json.dumps(data), library)
                found.add(Fingerprints(job).of("radio:a>panel"))
            assert len(found) == 1


def test_minus_zero_is_zero(changed: Changed) -> None:
    assert changed(lambda data: data["site"]["panel"].update(at=[-0.0, 5])) == set()
    assert changed(lambda data: data["site"]["panel"].update(at=[-0.0001, 5])) == set()


NO_PLAN: dict[str, Any] = {
    "id": "n",
    "name": "N",
    "part": "kw_contact",
    "between": {"distance_m": 12.0, "walls": {"brick": 1, "stud": 2}, "floors": 1,
                "floor_construction": "brick"},
    "between_repeaters": {"r": {"distance_m": 5.0}},
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "voided"),
    [
        (lambda d: d["between"].update(distance_m=13.0), {"radio:n>panel"}),
        (lambda d: d["between"]["walls"].update(stud=1), {"radio:n>panel"}),
        (lambda d: d["between"].update(floors=2), {"radio:n>panel"}),
        (lambda d: d["between"].update(floor_construction="stud"), {"radio:n>panel"}),
        (lambda d: d["between_repeaters"]["r"].update(distance_m=6.0), {"radio:n>r"}),
        (lambda d: d.update(part="kw_smoke"), {"radio:n>panel", "radio:n>r"}),
        (lambda d: d["between"].update(walls={"stud": 2, "brick": 1}), set()),
        (lambda d: d["between"].update(walls={"lath": 2, "brick": 1}), set()),
    ],
)
def test_without_a_plan(
    library: Library, data: dict[str, Any], change: Callable[[Any], object], voided: set[str]
) -> None:
    device = json.loads(json.dumps(NO_PLAN))
    data["site"]["devices"].append(device)
    names = {*EVERYTHING, "radio:n>panel", "radio:n>r", "signal:n:alarm"}
    before = Fingerprints(parse_job(json.dumps(data), library))
    change(device)
    after = Fingerprints(parse_job(json.dumps(data), library))
    differing = {name for name in names if before.of(name) != after.of(name)}
    assert differing == (voided | {"signal:n:alarm"} if voided else set())


def test_floors_that_are_not_there_have_no_construction(
    library: Library, data: dict[str, Any]
) -> None:
    device = json.loads(json.dumps(NO_PLAN))
    device["between"].update(floors=0)
    data["site"]["devices"].append(device)
    before = Fingerprints(parse_job(json.dumps(data), library)).of("radio:n>panel")
    del device["between"]["floor_construction"]
    assert Fingerprints(parse_job(json.dumps(data), library)).of("radio:n>panel") == before


@pytest.mark.parametrize(
    "name",
    [
        "radio:nix>panel",
        "radio:a>nix",
        "radio:a",
        "mobile:nix",
        "reporting:nix",
        "spot:nix",
        "signal:nix:alarm",
        "signal:a:nix",
        "signal:a",
        "nix",
        "",
        "standby ",
    ],
)
def test_names_of_nothing(library: Library, data: dict[str, Any], name: str) -> None:
    prints = Fingerprints(parse_job(json.dumps(data), library))
    with pytest.raises(JobError, match="The site has no"):
        prints.of(name)
    assert not prints.holds(name, "0" * 16)


def test_site_without_a_panel(library: Library, data: dict[str, Any]) -> None:
    del data["site"]["panel"]
    job = parse_job(json.dumps(data), library)
    prints = Fingerprints(job)
    with pytest.raises(JobError):
        prints.of("radio:a>panel")
    assert radio_ways(job, "a") == []
    assert prints.of("signal:a:alarm")
    assert prints.of("supply")


def test_ways_of_a_signal(library: Library, data: dict[str, Any]) -> None:
    job = parse_job(json.dumps(data), library)
    assert radio_ways(job, "a") == [("a", "panel"), ("a", "r"), ("r", "panel")]
    assert radio_ways(job, "o") == [("o", "panel")]
    assert radio_ways(job, "r") == [("r", "panel")]
    assert radio_ways(job, "w") == radio_ways(job, "panel") == radio_ways(job, "nix") == []
    assert job.site.panel is not None
    assert between_of(job.site.panel, "panel") is None


class TestHolds:
    """A way that was added does not void what was seen of a signal; a way that is gone does."""

    NAME = links.signal("a", SignalKind.ALARM)

    def prints(self, data: dict[str, Any], library: Library) -> Fingerprints:
        return Fingerprints(parse_job(json.dumps(data), library))

    def test_what_was_taken_of_the_site_as_it_is(
        self, data: dict[str, Any], library: Library
    ) -> None:
        prints = self.prints(data, library)
        for name in EVERYTHING:
            assert prints.holds(name, prints.of(name))
            assert not prints.holds(name, "0" * 16)

    def test_repeater_added(self, data: dict[str, Any], library: Library) -> None:
        repeaters = data["site"].pop("repeaters")
        before = self.prints(data, library).of(self.NAME)
        data["site"]["repeaters"] = repeaters
        assert self.prints(data, library).of(self.NAME) != before
        assert self.prints(data, library).holds(self.NAME, before)
        repeaters.append({**repeaters[0], "id": "r2", "at": [3, 3]})
        assert self.prints(data, library).holds(self.NAME, before)

    def test_second_repeater_added_and_first_one_moved(
        self, data: dict[str, Any], library: Library
    ) -> None:
        before = self.prints(data, library).of(self.NAME)
        repeaters = data["site"]["repeaters"]
        repeaters.insert(0, {**repeaters[0], "id": "q", "at": [3, 3]})
        assert self.prints(data, library).holds(self.NAME, before)
        repeaters[1]["at"] = [7, 8]
        assert not self.prints(data, library).holds(self.NAME, before)

    def test_repeater_taken_away(self, data: dict[str, Any], library: Library) -> None:
        before = self.prints(data, library).of(self.NAME)
        del data["site"]["repeaters"]
        assert not self.prints(data, library).holds(self.NAME, before)

    def test_communicator_added_or_taken_away(self, data: dict[str, Any], library: Library) -> None:
        both = self.prints(data, library).of(self.NAME)
        second = data["site"]["communicators"].pop()
        one = self.prints(data, library).of(self.NAME)
        assert one == self.prints(data, library).of(self.NAME, "m1")
        assert not self.prints(data, library).holds(self.NAME, both)
        data["site"]["communicators"].insert(0, second)
        assert self.prints(data, library).holds(self.NAME, one)
        second["spot"] = "s1"
        assert self.prints(data, library).holds(self.NAME, one)
        assert not self.prints(data, library).holds(self.NAME, both)

    def test_device_moved_while_a_repeater_was_added(
        self, data: dict[str, Any], library: Library
    ) -> None:
        repeaters = data["site"].pop("repeaters")
        before = self.prints(data, library).of(self.NAME)
        data["site"]["repeaters"] = repeaters
        data["site"]["devices"][0]["at"] = [9, 6]
        assert not self.prints(data, library).holds(self.NAME, before)

    def test_more_repeaters_than_can_be_tried(self, data: dict[str, Any], library: Library) -> None:
        first = data["site"].pop("repeaters")[0]
        before = self.prints(data, library).of(self.NAME)
        data["site"]["repeaters"] = [{**first, "id": f"r{i}"} for i in range(5)]
        assert not self.prints(data, library).holds(self.NAME, before)
        data["site"]["repeaters"].pop()
        assert self.prints(data, library).holds(self.NAME, before)
