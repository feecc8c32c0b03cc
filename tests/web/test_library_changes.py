"""What the user's library learns reaches pages and lists without a restart, and no saved file."""

from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse

from pathproof.job import parse_job
from pathproof.job.home import HOME_VARIABLE, library_stamp
from pathproof.web import daily
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import Standing, StoredJob

from .test_store import noting

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
ENDED = """
[[retirement]]
network = "001-01"
technology = "lte"
ends_on = "2026-11-01"
done = true
seen = "2026-11-24"
source = { ref = "Invented for the tests", evidence = "practice" }
"""


@pytest.fixture
def learn(tmp_path, monkeypatch):
    """Tells the user's library that a network of the demo has ended."""
    monkeypatch.setenv(HOME_VARIABLE, str(tmp_path))

    def told() -> None:
        (tmp_path / "retirements_own.toml").write_text(ENDED)

    return told


def rows_about(job) -> list[str]:
    return [str(r.ends_on) for r in job.embedded.retirements if r.network == "001-01"]


def test_a_page_that_is_open_learns_of_it(stored, learn):
    before = answers.answer(stored.pk, wait=True).assessment
    learn()
    after = answers.answer(stored.pk, wait=True)
    assert "2026-11-01" in rows_about(after.job)
    assert after.assessment != before
    assert Standing.objects.get(job=stored).library == library_stamp()


def test_the_list_learns_of_it_on_the_same_day(stored, learn):
    StoredJob.objects.update(saved_at=NOW - timedelta(minutes=5))
    assert daily.reassess(lambda: NOW) == 1
    assert daily.due(NOW) == []
    learn()
    assert daily.due(NOW) == [stored.pk]
    assert daily.reassess(lambda: NOW + timedelta(seconds=20)) == 1
    assert daily.due(NOW + timedelta(seconds=20)) == []


def test_an_export_is_to_the_letter_what_was_saved(stored, learn, technician, as_):
    url = reverse("listing:export", args=[stored.pk])
    before = as_(technician).get(url).text
    learn()
    after = as_(technician).get(url).text
    assert after == before
    assert not parse_job(after).changed_outside


def test_a_job_with_what_was_learnt_has_the_hash_of_what_it_says(stored, learn):
    before = store.load(stored.pk)
    learn()
    after = store.load(stored.pk)
    assert after.hash != before.hash
    assert not after.changed_outside


@pytest.mark.usefixtures("patient")
def test_an_old_revision_does_not_know_what_was_learnt_later(stored, learn, technician, as_):
    first = stored.revision
    learn()
    store.save(stored.pk, noting("x"), based_on=first, by=technician, what="note")
    assert "2026-11-01" not in rows_about(store.load_as_saved(stored.pk, first))
    assert "2026-11-01" in rows_about(store.load_as_saved(stored.pk))
    url = reverse("history:changes", args=[stored.pk, first, first + 1])
    assert as_(technician).get(url).context["embedded"] is True
