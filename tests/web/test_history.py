"""Revisions, what changed between them, and changes that met each other."""

import pytest
from django.urls import reverse

from pathproof.job import Job
from pathproof.web.jobs import store
from pathproof.web.jobs.models import Contest

from .test_store import FIRST, name_of, noting, renaming


def url(name: str, *args: object) -> str:
    return reverse(f"history:{name}", args=args)


@pytest.fixture
def contest(stored, technician, office) -> Contest:
    """A change of the office's of a device that the technician renamed first."""
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "Theirs"), based_on=base, by=technician, what="first")
    change = renaming(FIRST, "Mine")
    kept = store.save(
        stored.pk,
        lambda job: noting("with it")(change(job)),
        based_on=base,
        by=office,
        what="renamed the door",
    )
    return Contest.objects.get(pk=kept.contest)


def test_revisions_say_who_when_and_what(stored, technician, as_):
    base = stored.revision
    store.save(stored.pk, renaming(FIRST, "New"), based_on=base, by=technician, what="<b>new</b>")
    text = as_(technician).get(url("page", stored.pk)).text
    assert "Tom Technician" in text
    assert "&lt;b&gt;new&lt;/b&gt;" in text
    assert url("changes", stored.pk, base, base + 1) in text
    assert reverse("listing:export_revision", args=[stored.pk, base]) in text


def test_a_job_of_one_revision_has_nothing_to_compare(plain_job, technician, as_):
    stored = store.add_job(plain_job, by=technician, what="made")
    text = as_(technician).get(url("page", stored.pk)).text
    assert "/changes/" not in text


def test_only_the_office_is_led_to_erasing(stored, technician, office, as_):
    erase = reverse("listing:erase", args=[stored.pk])
    assert erase in as_(office).get(url("page", stored.pk)).text
    assert erase not in as_(technician).get(url("page", stored.pk)).text


def test_changes_between_two_revisions_in_words(stored, technician, as_):
    base = stored.revision

    def change(job: Job) -> Job:
        return noting("x")(renaming(FIRST, "New name")(job))

    store.save(stored.pk, change, based_on=base, by=technician, what="x")
    got = as_(technician).get(url("changes", stored.pk, base, base + 1))
    assert "New name" in got.text
    assert "Added to the record: 1 note." in got.text
    [one] = got.context["changes"]
    assert [f.name for f in one.fields] == ["name"]


def test_no_such_revision(stored, technician, as_):
    assert as_(technician).get(url("changes", stored.pk, 1, 99)).status_code == 404


def test_both_sides_stand_beside_each_other(contest, technician, as_):
    got = as_(technician).get(url("contest", contest.job_id, contest.pk))
    [side] = got.context["sides"]
    [field] = side.fields
    assert field.name == "name"
    assert field.values[1:] == ("Mine", "Theirs")
    assert "1 note" in got.text


def test_the_folder_says_what_waits(contest, technician, as_):
    text = as_(technician).get(reverse("survey:page", args=[contest.job_id])).text
    assert "1 change waits for you to choose" in text
    assert url("contest", contest.job_id, contest.pk) in text


@pytest.mark.parametrize(("keep", "name"), [("mine", "Mine"), ("theirs", "Theirs")])
def test_one_side_is_chosen(keep, name, contest, technician, as_):
    browser = as_(technician)
    page = url("contest", contest.job_id, contest.pk)
    assert browser.post(page, {"keep": keep}).url == url("page", contest.job_id)
    assert name_of(store.load(contest.job_id), FIRST) == name
    revision = store.load(contest.job_id).revision
    again = browser.post(page, {"keep": "mine"}, follow=True)
    assert "Somebody chose between these two already" in again.text
    assert "Tom Technician chose" in again.text
    assert store.load(contest.job_id).revision == revision
    assert "waits for you" not in browser.get(url("page", contest.job_id)).text


def test_nothing_chosen_is_said(contest, technician, as_):
    got = as_(technician).post(url("contest", contest.job_id, contest.pk), {}, follow=True)
    assert "Nothing was chosen" in got.text
    contest.refresh_from_db()
    assert contest.settled_at is None


def test_a_change_that_fits_no_more_stays_with_a_sentence(contest, technician, as_):
    def take_out(job: Job) -> Job:
        site = job.site.model_copy(update={"zones": []})
        return job.model_copy(
            update={
                "site": site.model_copy(
                    update={
                        "devices": [
                            d.model_copy(update={"zone": None})
                            for d in job.site.devices
                            if d.id != FIRST
                        ]
                    }
                )
            }
        )

    now = store.load(contest.job_id)
    store.save(contest.job_id, take_out, based_on=now.revision, by=technician, what="taken out")
    page = url("contest", contest.job_id, contest.pk)
    got = as_(technician).post(page, {"keep": "mine"}, follow=True)
    assert got.redirect_chain == [(page, 302)]
    assert "there is no zone" in got.text
    contest.refresh_from_db()
    assert contest.settled_at is None


def test_a_contest_of_another_job_is_none(contest, plain_job, technician, as_):
    other = store.add_job(plain_job, by=technician, what="made")
    assert as_(technician).get(url("contest", other.pk, contest.pk)).status_code == 404
