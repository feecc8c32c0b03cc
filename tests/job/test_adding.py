"""New entries: their ids and fingerprints, and all of them or none."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from pathproof.job import Job
from pathproof.job.adding import Draft, add_entries
from pathproof.job.fingerprint import Fingerprints
from pathproof.terms import JobError, RecordKind

WALK = Draft(
    kind=RecordKind.WALK,
    values={"due": 5, "received": 5},
    at=datetime(2026, 5, 1, tzinfo=UTC),
    by="A. Tester",
    about=["door"],
)


def test_ids_follow_on_and_fingerprints_are_those_of_the_site(sample: Job) -> None:
    grown, entries = add_entries(sample, [WALK, WALK])
    assert [e.id for e in entries] == ["r0016", "r0017"]  # after r15 of the sample
    assert grown.record == [*sample.record, *entries]
    link = "radio:door>panel"
    assert entries[0].fits == {link: Fingerprints(sample).of(link)}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"about": ["nix"]}, "about 'nix'; it has to be about a device or a repeater"),
        ({"about": []}, "Say what the walk is about"),
        ({"about": ["door", "shed"]}, "door, shed; its figures can be of one only"),
        ({"values": {"due": 5, "received": 6}}, "walk cannot go on record:\n  values: received 6"),
        ({"values": {"due": "x"}}, '  values.due: given "x"; allowed: a whole number'),
        ({"replaces": "r14"}, "'r14' is of kind note and this entry of kind walk"),
        ({"replaces": "nix"}, "there is no entry 'nix'"),
    ],
)
def test_one_that_makes_no_sense_keeps_all_out(
    sample: Job, change: dict[str, object], said: str
) -> None:
    with pytest.raises(JobError) as caught:
        add_entries(sample, [WALK, replace(WALK, **change)])  # type: ignore[arg-type]
    assert said in str(caught.value)


def test_two_drafts_cannot_correct_the_same_entry(sample: Job) -> None:
    first = next(e.id for e in sample.record if e.kind == "walk" and e.about == ["shed"])
    both = [replace(WALK, replaces=first)] * 2
    with pytest.raises(JobError, match="is already replaced by 'r0016'"):
        add_entries(sample, both)
