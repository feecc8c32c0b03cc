"""Saves, saves on stale revisions, forms sent twice, and what can never change."""

from datetime import datetime
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction

from pathproof.job import Job, content_hash, dump_job, parse_job
from pathproof.job.adding import Draft, add_entries
from pathproof.terms import JobError, RecordKind
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest, Revision, StoredEntry, StoredJob
from pathproof.web.jobs.store import Contested, Saved, Typed

from .conftest import DEMO

FIRST, SECOND = (d.id for d in DEMO.site.devices[:2])


def renaming(device: str, name: str) -> store.Change:
    def change(job: Job) -> Job:
        devices = [
            d.model_copy(update={"name": name}) if d.id == device else d for d in job.site.devices
        ]
        return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})

    return change


def noting(text: str, replaces: str | None = None) -> store.Change:
    draft = Draft(
        kind=RecordKind.NOTE,
        values={"text": text},
        at=datetime.fromisoformat("2026-05-04T10:00:00+00:00"),
        by="Somebody",
        replaces=replaces,
    )
    return lambda job: add_entries(job, [draft])[0]


def name_of(job: Job, device: str) -> str:
    return next(d.name for d in job.site.devices if d.id == device)


def test_a_job_comes_out_as_it_went_in(stored):
    assert dump_job(store.load(stored.pk)) == dump_job(DEMO)


def test_a_file_comes_out_as_it_went_in(technician):
    text = dump_job(DEMO.model_copy(update={"revision": 7, "hash": None}))
    job = parse_job(text)
    saved = dump_job(job.model_copy(update={"hash": content_hash(job)}))
    stored = store.add_job(parse_job(saved), by=technician, what="imported")
    assert dump_job(store.load(stored.pk)) == saved


def test_a_save_is_a_revision_and_the_old_one_stays_readable(stored, technician):
    before = stored.revision
    saved = store.save(
        stored.pk, renaming(FIRST, "New name"), based_on=before, by=technician, what="renamed"
    )
    assert saved == Saved(revision=before + 1)
    assert name_of(store.load(stored.pk), FIRST) == "New name"
    assert name_of(store.load(stored.pk, before), FIRST) == name_of(DEMO, FIRST)
    row = Revision.objects.filter(job=stored).first()
    assert (row.number, row.by, row.what) == (before + 1, technician.name, "renamed")


def test_the_hash_of_a_revision_is_that_of_its_file(stored, technician):
    store.save(stored.pk, noting("x"), based_on=stored.revision, by=technician, what="note")
    job = store.load(stored.pk)
    assert job.hash == content_hash(job)
    assert not job.changed_outside


def test_nothing_changed_is_no_revision(stored, technician):
    saved = store.save(stored.pk, lambda j: j, based_on=stored.revision, by=technician, what="x")
    assert saved == Saved(revision=stored.revision)


def test_an_unsound_change_saves_nothing(stored, technician):
    def change(job: Job) -> Job:
        devices = [d.model_copy(update={"zone": "nowhere"}) for d in job.site.devices]
        return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})

    with pytest.raises(JobError, match="no zone 'nowhere'"):
        store.save(stored.pk, change, based_on=stored.revision, by=technician, what="x")
    assert StoredJob.objects.get(pk=stored.pk).revision == stored.revision


def test_changes_of_two_devices_on_one_revision_are_both_made(stored, technician, office):
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "One"), based_on=base, by=technician, what="x")
    saved = store.save(stored.pk, renaming(SECOND, "Two"), based_on=base, by=office, what="y")
    assert isinstance(saved, Saved)
    job = store.load(stored.pk)
    assert (name_of(job, FIRST), name_of(job, SECOND)) == ("One", "Two")


def test_changes_of_one_device_are_both_kept(stored, technician, office):
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "Theirs"), based_on=base, by=technician, what="x")
    kept = store.save(stored.pk, renaming(FIRST, "Mine"), based_on=base, by=office, what="y")
    assert isinstance(kept, Contested)
    assert name_of(store.load(stored.pk), FIRST) == "Theirs"
    contest = Contest.objects.get(pk=kept.contest)
    assert contest.pieces[f"devices/{FIRST}"]["name"] == "Mine"


def test_a_change_with_a_long_name_fits_its_row_when_kept_beside(stored, technician, office):
    """PostgreSQL refuses what is longer than its column; SQLite does not look."""
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "Theirs"), based_on=base, by=technician, what="x")
    what = f"walk test of {', '.join(d.name for d in DEMO.site.devices)}"
    kept = store.save(stored.pk, renaming(FIRST, "Mine"), based_on=base, by=office, what=what)
    contest = Contest.objects.get(pk=kept.contest)
    assert len(what) > len(contest.what) > 0
    contest.full_clean(exclude=["settled_at", "settled_by", "settled_how", "why"])


@pytest.mark.parametrize("revision", [2**31 - 1, 2**63, 1_000_000_001])
def test_a_job_that_would_run_out_of_revisions_does_not_come_in(plain_job, technician, revision):
    endless = plain_job.model_copy(update={"revision": revision})
    with pytest.raises(JobError, match="Take its revision out"):
        store.add_job(endless, by=technician, what="imported")


@pytest.mark.parametrize(("mine", "name"), [(True, "Mine"), (False, "Theirs")])
def test_somebody_chooses_between_the_two(stored, technician, office, mine, name):
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "Theirs"), based_on=base, by=technician, what="x")
    kept = store.save(stored.pk, renaming(FIRST, "Mine"), based_on=base, by=office, what="y")
    store.settle(kept.contest, mine=mine, by=office)
    assert name_of(store.load(stored.pk), FIRST) == name
    with pytest.raises(Contest.DoesNotExist):
        store.settle(kept.contest, mine=mine, by=office)


def test_entries_of_two_people_on_one_revision_are_both_added(stored, technician, office):
    base = stored.revision
    store.save(stored.pk, noting("one"), based_on=base, by=technician, what="x")
    store.save(stored.pk, noting("two"), based_on=base, by=office, what="y")
    added = store.load(stored.pk).record[len(DEMO.record) :]
    assert [e.values.text for e in added] == ["one", "two"]
    assert len({e.id for e in added}) == 2


def test_an_entry_keeps_the_fingerprints_of_what_was_seen(stored, technician, office):
    """A walk test made before somebody swapped the device speaks for what hung there then."""
    base = stored.revision
    draft = Draft(
        kind=RecordKind.WALK,
        values={"due": 5, "received": 5, "in_hand_db": 6.0},
        about=[FIRST],
        at=datetime.fromisoformat("2026-05-04T10:00:00+00:00"),
        by="Somebody",
    )
    expected = add_entries(DEMO, [draft])[1][0].fits
    moved = DEMO.site.devices[0].model_copy(update={"height_m": 0.5})

    def move(job: Job) -> Job:
        devices = [moved, *job.site.devices[1:]]
        return job.model_copy(update={"site": job.site.model_copy(update={"devices": devices})})

    store.save(stored.pk, move, based_on=base, by=office, what="moved")
    store.save(
        stored.pk,
        lambda job: add_entries(job, [draft])[0],
        based_on=base,
        by=technician,
        what="walk",
    )
    assert store.load(stored.pk).record[-1].fits == expected


def test_the_same_form_sent_twice_is_saved_once(stored, technician):
    typed = Typed(key=uuid4(), digest="a" * 64)
    for again in (False, True):
        saved = store.save(
            stored.pk,
            noting("one"),
            based_on=stored.revision,
            by=technician,
            what="note",
            typed=typed,
        )
        assert saved == Saved(revision=stored.revision + 1, again=again)
    assert StoredEntry.objects.filter(job=stored).count() == len(DEMO.record) + 1


def test_a_form_changed_and_sent_again_is_saved_again(stored, technician):
    key = uuid4()
    for digest in "ab":
        store.save(
            stored.pk,
            noting(digest),
            based_on=stored.revision,
            by=technician,
            what="note",
            typed=Typed(key=key, digest=digest * 64),
        )
    assert StoredEntry.objects.filter(job=stored).count() == len(DEMO.record) + 2


def test_a_change_of_an_old_entry_is_refused(stored, technician):
    def change(job: Job) -> Job:
        return job.model_copy(update={"record": job.record[1:]})

    with pytest.raises(JobError, match="only ever added"):
        store.save(stored.pk, change, based_on=stored.revision, by=technician, what="x")


@pytest.mark.parametrize("rows", ["contents", "revisions", "entries"])
def test_the_database_refuses_to_change_what_is_kept(stored, rows):
    field = {"contents": "site", "revisions": "what", "entries": "body"}[rows]
    with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
        getattr(stored, rows).update(**{field: "changed"})


def test_erasing_takes_everything(stored, technician):
    store.save(
        stored.pk,
        noting("x"),
        based_on=stored.revision,
        by=technician,
        what="n",
        typed=Typed(key=uuid4(), digest="a" * 64),
    )
    store.erase(stored.pk)
    with pytest.raises(StoredJob.DoesNotExist):
        store.load(stored.pk)
    assert not StoredEntry.objects.exists()
    assert not Revision.objects.exists()
