"""A job embeds exactly what it refers to, and what it embeds wins over the library."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from pathproof.job import (
    Construction,
    Job,
    Library,
    Profile,
    Site,
    Source,
    dump_job,
    embed,
    parse_job,
    shipped,
)
from pathproof.job.profile import Limit
from pathproof.job.site import Between, Device
from pathproof.terms import Evidence, JobError, LimitName

Refusal = Callable[[Callable[[dict[str, Any]], object]], str]
SOURCE = Source(ref="r", evidence=Evidence.PRACTICE)


@pytest.fixture
def library(sample: Job) -> Library:
    """A library with all that the sample embeds."""
    embedded = sample.embedded
    assert embedded.profile is not None
    return Library(
        parts=embedded.catalogue,
        constructions=embedded.constructions,
        profiles={"practice_plus": embedded.profile},
    )


def test_hand_written_file_gets_everything_from_the_library(
    sample: Job, sample_data: dict[str, Any], library: Library
) -> None:
    del sample_data["embedded"]
    job = parse_job(json.dumps(sample_data), library)
    assert job.embedded == sample.embedded
    assert not job.changed_outside


def test_unused_entries_are_dropped(sample: Job) -> None:
    site = sample.site.model_copy(update={"cables": [], "battery": None})
    job = embed(sample.model_copy(update={"site": site}), Library())
    gone = sample.embedded.catalogue.keys() - job.embedded.catalogue.keys()
    assert gone == {"kw_cable", "kw_thick_cable", "kw_battery"}


def test_constructions_of_the_site_are_not_embedded(sample: Job) -> None:
    assert "brick_250" not in sample.embedded.constructions
    assert sample.construction("brick_250").layers[1].thickness_m == 0.25


def test_an_instrument_named_on_record_is_embedded(sample: Job, library: Library) -> None:
    assert "survey_modem" in embed(sample, library).embedded.catalogue
    without = embed(sample.model_copy(update={"record": sample.record[1:]}), library)
    assert "survey_modem" not in without.embedded.catalogue


def test_what_a_job_embeds_wins_over_the_library(sample: Job, library: Library) -> None:
    newer = {
        i: part.model_copy(update={"name": "newer figures"}) for i, part in library.parts.items()
    }
    job = embed(sample, Library(parts=newer))
    assert job.part("kw_panel").name == "Panel 48"


def test_floors_that_nobody_knows_are_of_the_librarys_unknown_kind() -> None:
    between = Between(distance_m=5.0, floors=1)
    part = next(p for p in shipped().parts.values() if p.kind == "detector")
    site = Site(name="x", devices=[Device(id="d", name="d", part=part.id, between=between)])
    assert set(embed(Job(site=site)).embedded.constructions) == {"unknown_floor"}


def test_missing_part_names_the_nearest_of_its_kind(refusal: Refusal) -> None:
    message = refusal(lambda data: data["site"]["devices"][0].update(part="kw_contakt"))
    assert message.splitlines() == [
        "a.json cannot be used:",
        "  site.devices[0].part: there is no detector in the catalogue called 'kw_contakt'; "
        "nearest: kw_contact, kw_smoke, kw_motion",
    ]


@pytest.mark.parametrize(
    ("put", "path", "kind"),
    [
        (lambda s: s["panel"].update(part="nix"), "panel.part", "panel"),
        (lambda s: s["devices"][3].update(part="nix"), "devices[3].part", "detector"),
        (lambda s: s["repeaters"][0].update(part="nix"), "repeaters[0].part", "repeater"),
        (
            lambda s: s["communicators"][1].update(part="nix"),
            "communicators[1].part",
            "communicator",
        ),
        (
            lambda s: s["communicators"][0].update(antenna="nix"),
            "communicators[0].antenna",
            "antenna",
        ),
        (
            lambda s: s["communicators"][0]["feeder"].update(part="nix"),
            "communicators[0].feeder.part",
            "feeder",
        ),
        (lambda s: s["supply"].update(part="nix"), "supply.part", "supply"),
        (lambda s: s["battery"].update(part="nix"), "battery.part", "battery"),
        (lambda s: s["cables"][1].update(part="nix"), "cables[1].part", "cable"),
    ],
)
def test_every_reference_to_a_part(
    refusal: Refusal, put: Callable[[Any], object], path: str, kind: str
) -> None:
    message = refusal(lambda data: put(data["site"]))
    assert f"  site.{path}: there is no {kind} in the catalogue called 'nix'" in message


def test_part_of_the_wrong_kind(refusal: Refusal) -> None:
    message = refusal(lambda data: data["site"]["devices"][1].update(part="kw_antenna"))
    assert (
        "  site.devices[1].part: given 'kw_antenna', a part of kind antenna; allowed: parts of "
        "kind detector"
    ) in message.splitlines()


@pytest.mark.parametrize(
    ("put", "path"),
    [
        (lambda s: s["walls"][2].update(construction="brik_250"), "walls[2].construction"),
        (
            lambda s: s["walls"][0]["openings"][1].update(construction="brik_250"),
            "walls[0].openings[1].construction",
        ),
        (
            lambda s: s["floors"][1]["slabs"][0].update(construction="brik_250"),
            "floors[1].slabs[0].construction",
        ),
        (
            lambda s: s["devices"][4]["between"].update(walls={"brik_250": 1}),
            "devices[4].between.walls",
        ),
        (
            lambda s: s["devices"][4]["between"].update(floor_construction="brik_250"),
            "devices[4].between.floor_construction",
        ),
        (
            lambda s: s["devices"][4]["between_repeaters"]["attic"].update(walls={"brik_250": 2}),
            "devices[4].between_repeaters.attic.walls",
        ),
        (
            lambda s: s["repeaters"][1]["between"].update(walls={"brik_250": 2}),
            "repeaters[1].between.walls",
        ),
    ],
)
def test_every_reference_to_a_construction(
    refusal: Refusal, put: Callable[[Any], object], path: str
) -> None:
    message = refusal(lambda data: put(data["site"]))
    assert (
        f"  site.{path}: there is no construction called 'brik_250'; nearest: brick_250" in message
    )


def test_missing_profile(refusal: Refusal) -> None:
    message = refusal(lambda data: data["site"].update(profile="practice_minus"))
    assert (
        "  site.profile: there is no profile called 'practice_minus'; nearest: practice_plus"
        in message.splitlines()
    )


def test_an_entry_stands_under_its_own_id(refusal: Refusal) -> None:
    message = refusal(lambda data: data["embedded"]["catalogue"]["kw_coax"].update(id="coax"))
    line = (
        "embedded.catalogue.kw_coax.id: given 'coax'; allowed: 'kw_coax', the name it stands under"
    )
    assert f"  {line}" in message.splitlines()


def test_bases_of_an_embedded_profile_are_filled_in() -> None:
    def limit(value: float) -> Limit:
        return Limit(value=value, unit="h", text="t", source=SOURCE)

    base = Profile(
        id="base",
        title="b",
        text="",
        limits={LimitName.STANDBY_H: limit(12.0), LimitName.RECHARGE_H: limit(72.0)},
    )
    own = Profile(
        id="own", title="o", text="", base="base", limits={LimitName.STANDBY_H: limit(24.0)}
    )
    job = Job.model_validate(
        {"site": {"name": "x", "profile": "own"}, "embedded": {"profile": own.model_dump()}}
    )
    profile = embed(job, Library(profiles={"base": base})).profile
    assert profile.base is None
    assert {name: x.value for name, x in profile.limits.items()} == {
        LimitName.STANDBY_H: 24.0,
        LimitName.RECHARGE_H: 72.0,
    }


def test_another_profile_comes_from_the_library(sample: Job) -> None:
    site = sample.site.model_copy(update={"profile": "house_targets"})
    job = embed(sample.model_copy(update={"site": site}))
    assert job.profile.id == "house_targets"


def test_a_job_that_was_never_embedded_says_so() -> None:
    with pytest.raises(JobError, match="read it with a library"):
        _ = Job(site=Site(name="x")).profile


def test_opened_years_later_without_the_library_it_was_made_with(sample: Job) -> None:
    assert parse_job(dump_job(sample), Library()) == sample


def test_embedding_twice_changes_nothing(sample: Job) -> None:
    assert embed(sample, Library()) == sample


def test_order_of_a_library_does_not_matter() -> None:
    constructions = {
        i: Construction(name=i, fixed_loss_db=1.0, source=SOURCE) for i in ("b", "a", "c")
    }
    between = Between(distance_m=1.0, walls={"c": 1, "a": 1})
    part = next(p for p in shipped().parts.values() if p.kind == "detector")
    device = Device(id="d", name="d", part=part.id, between=between)
    job = Job(site=Site(name="x", devices=[device]))
    libraries = [
        Library(
            parts=shipped().parts,
            profiles=shipped().profiles,
            constructions=dict(sorted(constructions.items(), reverse=reverse)),
        )
        for reverse in (False, True)
    ]
    assert dump_job(embed(job, libraries[0])) == dump_job(embed(job, libraries[1]))
