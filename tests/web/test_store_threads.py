"""Many at once: nobody's save fails or is lost, and a form sent by many is saved once."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import TypeVar
from uuid import UUID, uuid4

import pytest
from django.db import connections

from pathproof.job import content_hash
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest, Revision, Sent, StoredEntry, StoredJob
from pathproof.web.jobs.store import Contested, Saved, Typed

from .conftest import DEMO
from .test_store import name_of, noting, renaming

pytestmark = pytest.mark.django_db(transaction=True)

THREADS, SAVES = 8, 20
DEVICES = [d.id for d in DEMO.site.devices]
T = TypeVar("T")


def at_once(work: Callable[[int], T]) -> list[T]:
    """What the work gives in each of the threads, all begun together."""
    start = Barrier(THREADS)

    def run(number: int) -> T:
        try:
            start.wait(30)
            return work(number)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(THREADS) as threads:
        return list(threads.map(run, range(THREADS)))


def sound(job_id: UUID) -> None:
    """Numbers without a gap, and a hash that holds."""
    store.forget_all()
    job = store.load(job_id)
    numbers = (
        Revision.objects.filter(job=job_id).order_by("number").values_list("number", flat=True)
    )
    assert list(numbers) == list(range(1, job.revision + 1))
    places = StoredEntry.objects.filter(job=job_id).values_list("place", flat=True)
    assert list(places) == list(range(len(job.record)))
    assert job.hash == content_hash(job)


def test_evidence_and_edits_of_many_are_all_saved(stored, technician):
    """Each on the revision it saw, in turn a note and a new name of a device of its own."""

    def work(thread: int) -> None:
        for number in range(SAVES):
            text = f"{thread}-{number}"
            change = noting(text) if number % 2 else renaming(DEVICES[thread], text)
            seen = store.load(stored.pk).revision
            saved = store.save(stored.pk, change, based_on=seen, by=technician, what=text)
            assert isinstance(saved, Saved)

    at_once(work)
    sound(stored.pk)
    job = store.load(stored.pk)
    assert job.revision == 1 + THREADS * SAVES
    texts = [e.values.text for e in job.record[len(DEMO.record) :]]
    odd = range(1, SAVES, 2)
    assert sorted(texts) == sorted(f"{t}-{n}" for t in range(THREADS) for n in odd)
    for thread in range(THREADS):
        assert name_of(job, DEVICES[thread]) == f"{thread}-{SAVES - 2}"
        own = [int(t.split("-")[1]) for t in texts if t.startswith(f"{thread}-")]
        assert own == sorted(own)


def test_of_changes_of_one_device_by_many_one_is_made_and_all_are_kept(stored, technician):
    def work(thread: int) -> Saved | Contested:
        change = renaming(DEVICES[0], f"by {thread}")
        return store.save(stored.pk, change, based_on=1, by=technician, what="x")

    outcomes = at_once(work)
    sound(stored.pk)
    assert sum(isinstance(o, Saved) for o in outcomes) == 1
    names = [c.pieces[f"devices/{DEVICES[0]}"]["name"] for c in Contest.objects.all()]
    names.append(name_of(store.load(stored.pk), DEVICES[0]))
    assert sorted(names) == [f"by {n}" for n in range(THREADS)]


def test_a_form_sent_by_many_at_once_is_saved_once(stored, technician):
    typed = Typed(key=uuid4(), digest="a" * 64)

    def work(_: int) -> Saved | Contested:
        return store.save(
            stored.pk, noting("once"), based_on=1, by=technician, what="x", typed=typed
        )

    outcomes = at_once(work)
    assert {(type(o), o.revision) for o in outcomes} == {(Saved, 2)}
    assert sum(not o.again for o in outcomes) == 1
    assert [e.values.text for e in store.load(stored.pk).record[len(DEMO.record) :]] == ["once"]


def test_a_clash_sent_by_many_at_once_is_kept_once(stored, technician, office):
    store.save(stored.pk, renaming(DEVICES[0], "Theirs"), based_on=1, by=office, what="x")
    typed, mine = Typed(key=uuid4(), digest="a" * 64), renaming(DEVICES[0], "Mine")
    outcomes = at_once(
        lambda _: store.save(stored.pk, mine, based_on=1, by=technician, what="x", typed=typed)
    )
    assert outcomes == [Contested(contest=Contest.objects.get().pk)] * THREADS


def test_a_job_made_by_a_form_sent_by_many_at_once_is_made_once(technician):
    typed = Typed(key=uuid4(), digest="a" * 64)
    made = at_once(lambda _: store.add_job(DEMO, by=technician, what="x", typed=typed).pk)
    assert set(made) == {StoredJob.objects.get().pk}
    assert Sent.objects.count() == 1


def test_a_contest_settled_by_many_at_once_is_settled_once(stored, technician, office):
    for name, person in (("Theirs", office), ("Mine", technician)):
        kept = store.save(stored.pk, renaming(DEVICES[0], name), based_on=1, by=person, what="x")

    def work(_: int) -> bool:
        try:
            store.settle(kept.contest, mine=True, by=technician)
        except Contest.DoesNotExist:
            return False
        return True

    assert sum(at_once(work)) == 1
    sound(stored.pk)
    assert store.load(stored.pk).revision == 3


def test_what_is_saved_while_a_job_is_erased_is_gone_with_it(stored, technician):
    def work(thread: int) -> bool:
        try:
            if thread == 0:
                store.erase(stored.pk)
            else:
                store.save(stored.pk, noting("x"), based_on=1, by=technician, what="x")
        except StoredJob.DoesNotExist:
            return False
        return True

    at_once(work)
    assert not StoredJob.objects.exists()
    assert not StoredEntry.objects.exists()
