"""What still blocks the visit: each thing alone, and nothing that is settled on site."""

from typing import Any

import pytest

from pathproof.assess import assess
from pathproof.assess.blocking import Block, blocks
from pathproof.job import Job, Site, embed
from pathproof.job.profile import Profile
from pathproof.simulate import AS_OF, demo_job

from ._jobs import NOW, make_job

CODES = {"signal_codes": {"mains_fail": "301", "path_fail": "350", "set": "401", "unset": "401"}}
ZONED = {
    "partitions": [{"id": "p1", "name": "Shop", "number": 1}],
    "zones": [
        {
            "id": "z1",
            "number": 7,
            "name": "Door",
            "kind": "entry_exit",
            "partition": "p1",
            "event": "131",
        }
    ],
}
MAIN = {
    "id": "main",
    "part": "lte",
    "sim": {"kind": "fixed", "networks": ["001-01"], "iccid": "8999970001200734514"},
    "imei": "001017000042013",
    "account": "2417",
    "centre": "Watch room",
    "state": "active",
    "spot": "hall",
}
READ = {
    "id": "r1",
    "kind": "reading",
    "about": ["hall"],
    "at": "2026-11-20T10:00:00+00:00",
    "by": "A. Tester",
    "values": {
        "levels": [{"quantity": "rsrp_dbm", "value": -85.0}],
        "network": "001-01",
        "technology": "lte",
    },
}


def ready(**site: Any) -> Job:
    """A wired shop with nothing in the way of the visit, but for what is changed."""
    given = {
        **ZONED,
        **CODES,
        "devices": [{"id": "door", "name": "Door", "part": "wired", "zone": "z1"}],
        "networks": [{"mcc_mnc": "001-01", "label": "Near", "technologies": ["lte"]}],
        "spots": [{"id": "hall", "name": "Hall"}],
        "communicators": [MAIN],
        "reporting": {"interval_s": 300.0, "misses": 3, "timeout_s": 20.0},
        "supply": {"part": "supply_12v_3a", "kind": "mains_recharged"},
        "battery": {"part": "lead_12v_7ah"},
    }
    return make_job([READ], **{**given, **site})


def found(job: Job) -> dict[str, Block]:
    return {b.id: b for b in blocks(job, assess(job, NOW))}


def test_nothing_blocks_a_job_that_is_ready() -> None:
    assert found(ready()) == {}


@pytest.mark.parametrize(
    ("site", "block", "said"),
    [
        ({"panel": None}, "none:panel", "No panel is chosen"),
        ({"devices": []}, "none:site", "no devices"),
        (
            {"devices": [{"id": "door", "name": "Door", "part": "wired"}]},
            "zones",
            "Without a zone: Door (door)",
        ),
        ({"signal_codes": {}}, "codes", "mains fail, path fail, set, unset"),
        (
            {"zones": [{**ZONED["zones"][0], "event": None}]},
            "codes",
            "No code is given for alarms of zone 7.",
        ),
        ({"communicators": []}, "communicator", "No main communicator is chosen"),
        ({"supply": None}, "supply", "no supply is given"),
        ({"battery": None}, "standby", "no battery is given"),
        ({"reporting": None}, "reporting:main", "how the path is watched"),
        ({"communicators": [{**MAIN, "spot": None}]}, "mobile:main", "Mobile network"),
        (
            {"communicators": [{**MAIN, "state": "registered", "imei": None}]},
            "identifiers:main",
            "not in the job yet: IMEI.",
        ),
        (
            {"communicators": [{**MAIN, "account": None, "centre": ""}]},
            "identifiers:main",
            "account number, name of the centre",
        ),
        ({"communicators": [{**MAIN, "state": "ordered"}]}, "account:main", "not registered yet"),
        ({"communicators": [{**MAIN, "state": "registered"}]}, "account:main", "not active yet"),
        ({"communicators": [{**MAIN, "state": "ended"}]}, "account:main", "have ended"),
    ],
)
def test_each_thing_that_is_missing_is_said_with_what_to_do(
    site: dict[str, Any], block: str, said: str
) -> None:
    job = ready(**site)
    there = found(job)
    assert said in there[block].text
    assert there[block].do.endswith(".")


def test_missing_numbers_are_to_be_had_where_they_stand() -> None:
    nothing = {"imei": None, "account": None, "sim": None, "state": "ordered"}
    block = found(ready(communicators=[{**MAIN, **nothing}]))["identifiers:main"]
    assert block.do == (
        "Read IMEI and card number (ICCID) off module and card. Ask the centre for account "
        "number. Then write it into the job."
    )


def test_a_spot_that_was_never_read_blocks_and_one_read_long_ago_does_not() -> None:
    job = ready()
    unread = job.model_copy(update={"record": []})
    assert "mobile:main" in found(unread)
    old = make_job(
        [{**READ, "at": "2020-11-20T10:00:00+00:00"}],
        **job.site.model_dump(mode="json", exclude={"name"}),
    )
    assert "mobile:main" not in found(old)
    assert "too old" in assess(old, NOW).link("mobile:main").why


def test_words_are_those_of_the_findings() -> None:
    job = ready(supply=None, panel=None)
    answer = assess(job, NOW)
    said = {(f.text, f.do) for f in answer.findings}
    there = found(job)
    assert {(there[i].text, there[i].do) for i in ("supply", "none:panel")} <= said


def test_limits_from_memory_block_until_confirmed() -> None:
    job = ready(profile="en_50131_grade_2")
    profile: Profile = job.profile
    assert any(not limit.usable for limit in profile.limits.values())
    assert "not confirmed" in found(job)["limits"].text


def test_a_platform_that_ends_too_soon_blocks_until_the_account_is_live() -> None:
    ends = {
        "part": "lte",
        "ends_on": "2028-07-01",
        "source": {"ref": "Letter of the dealer", "evidence": "read"},
    }
    for state, blocked in (("active", True), ("live", False)):
        data = ready(communicators=[{**MAIN, "state": state}]).model_dump(mode="json")
        data["embedded"]["retirements"] = [ends]
        there = found(embed(Job.model_validate(data)))
        assert ("ends:main" in there) is blocked


def test_a_known_end_from_memory_is_to_be_asked_and_blocks_nothing() -> None:
    data = ready().model_dump(mode="json")
    data["embedded"]["retirements"] = [
        {
            "part": "lte",
            "ends_on": "2028-07-01",
            "source": {"ref": "Heard of it", "evidence": "memory"},
        }
    ]
    assert "ends:main" not in found(embed(Job.model_validate(data)))


def test_a_choice_not_taken_is_said_with_its_number() -> None:
    site = demo_job().site.model_copy(update={"communicators": []})
    job = demo_job().model_copy(update={"site": site})
    answer = assess(job, AS_OF)
    assert answer.choice is not None
    block = next(b for b in blocks(job, answer) if b.id == "communicator")
    assert f"none of the {len(answer.choice.ranked)} offers" in block.text
    assert "choose JOB --take 1" in block.do


def test_an_unread_radio_link_or_a_lacking_one_is_settled_on_site() -> None:
    job = demo_job()
    answer = assess(job, AS_OF)
    assert any(f.about == "cold_store_door" for f in answer.findings)
    assert {b.id for b in blocks(job, answer)} == {"zones"}  # two sounders are in no zone


def test_an_empty_job_says_what_comes_first() -> None:
    job = embed(Job(site=Site(name="Empty")))
    assert [b.id for b in blocks(job, assess(job, NOW))] == [
        "none:site",
        "none:panel",
        "communicator",
    ]
