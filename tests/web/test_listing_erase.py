"""Erasing a job for good: the office only, by its name."""

from uuid import uuid4

from django.urls import reverse

from pathproof.web.jobs.models import Content, StoredEntry, StoredJob


def url(stored) -> str:
    return reverse("listing:erase", args=[stored.pk])


def test_a_technician_may_not(stored, technician, as_):
    assert as_(technician).get(url(stored)).status_code == 403
    assert as_(technician).post(url(stored), {"name": stored.name}).status_code == 403
    assert StoredJob.objects.exists()


def test_the_page_says_what_goes_and_what_does_not(stored, office, as_):
    text = as_(office).get(url(stored)).text
    assert f"{stored.entries.count()} entries of the record" in text
    assert "backups made before" in text
    assert StoredJob.objects.exists()


def test_another_name_erases_nothing(stored, office, as_):
    got = as_(office).post(url(stored), {"name": "Another site"})
    assert got.status_code == 422
    assert "Another site" in got.text
    assert StoredJob.objects.exists()


def test_the_name_erases_all_of_it(stored, office, as_):
    assert as_(office).post(url(stored), {"name": f" {stored.name} "}).status_code == 302
    assert not StoredJob.objects.exists()
    assert not Content.objects.exists()
    assert not StoredEntry.objects.exists()
    assert as_(office).post(url(stored), {"name": stored.name}).status_code == 404


def test_no_such_job(office, as_):
    assert as_(office).get(reverse("listing:erase", args=[uuid4()])).status_code == 404
