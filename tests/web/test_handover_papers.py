"""Papers: made once for a revision, day and name, kept as made, told when the job has changed."""

import hashlib
from datetime import datetime
from types import SimpleNamespace

import fitz
import pytest
from django.urls import reverse

from pathproof.web.handover import making
from pathproof.web.handover.kinds import TITLES, Kind, file_name
from pathproof.web.jobs import answers, store
from pathproof.web.jobs.models import Paper

from .conftest import DEMO
from .specifying import text_of
from .test_store import FIRST, renaming


@pytest.fixture
def browser(as_, technician):
    return as_(technician)


def page_url(stored):
    return reverse("handover:page", args=[stored.pk])


def made(browser, stored, kind, tries=120):
    """The newest paper, after pages that said how far it was."""
    got = browser.post(reverse("handover:make", args=[stored.pk]), {"kind": kind})
    assert got.status_code == 302
    for _ in range(tries):
        done = browser.get(got["Location"])
        if done.status_code != 202:
            break
    assert done.status_code == 302
    assert done["Location"].startswith(page_url(stored))
    return Paper.objects.get(pk=done["Location"].rpartition("-")[2])


def pdf_text(pdf):
    with fitz.open(stream=bytes(pdf), filetype="pdf") as document:
        return " ".join(" ".join(p.get_text() for p in document).split())


@pytest.mark.parametrize("kind", Kind)
def test_every_paper_is_made_and_comes_down_as_kept(browser, stored, technician, kind):
    paper = made(browser, stored, kind)
    got = browser.get(reverse("handover:download", args=[stored.pk, paper.pk]))
    assert got.content.startswith(b"%PDF")
    assert hashlib.sha256(got.content).hexdigest() == paper.sha256
    assert got["Content-Type"] == "application/pdf"
    assert got["Content-Disposition"].startswith("attachment")
    assert (paper.revision, paper.made_by) == (stored.revision, technician.name)
    assert paper.word == str(answers.answer(stored.pk, wait=True).assessment.word)
    words = text_of(browser.get(page_url(stored)))
    assert f"{TITLES[kind]} of revision {stored.revision} as PDF" in words


def test_the_same_revision_day_and_name_give_the_same_paper(browser, stored):
    first = made(browser, stored, Kind.PARTS)
    answers.forget_all()
    assert made(browser, stored, Kind.PARTS) == first
    assert Paper.objects.count() == 1


def test_another_name_or_revision_gives_another_paper(browser, stored, as_, office, technician):
    first = made(browser, stored, Kind.PARTS)
    other = made(as_(office), stored, Kind.PARTS)
    assert (first.made_by, other.made_by) == (technician.name, office.name)
    store.save(stored.pk, renaming(FIRST, "New"), based_on=1, by=technician, what="x")
    assert made(browser, stored, Kind.PARTS).revision == 2
    words = text_of(browser.get(page_url(stored)))
    assert "the job has changed since, 1 revision" in words


def test_a_paper_of_another_day_says_so(browser, stored):
    paper = made(browser, stored, Kind.PARTS)
    Paper.objects.filter(pk=paper.pk).update(made_at=datetime.fromisoformat("2026-01-01T12:00Z"))
    assert "words change by the calendar" in text_of(browser.get(page_url(stored)))
    assert made(browser, stored, Kind.PARTS) != paper


def test_the_customer_s_paper_has_no_names_of_devices(browser, stored):
    text = pdf_text(made(browser, stored, Kind.CUSTOMER).pdf)
    assert DEMO.site.name in text
    for device in DEMO.site.devices:
        assert device.name not in text


def test_nothing_is_made_without_the_form(browser, stored, as_, office):
    url = reverse("handover:making", args=[stored.pk, Kind.PARTS])
    assert browser.get(url)["Location"] == page_url(stored)
    ask = browser.post(reverse("handover:make", args=[stored.pk]), {"kind": Kind.PARTS})
    as_(office).get(ask["Location"])
    assert not Paper.objects.exists()


def test_a_paper_nobody_knows_is_not_found(browser, stored, technician, plain_job):
    post = reverse("handover:make", args=[stored.pk])
    assert browser.post(post, {"kind": "secret"}).status_code == 404
    other = store.add_job(plain_job, by=technician, what="made")
    paper = made(browser, stored, Kind.PARTS)
    elsewhere = reverse("handover:download", args=[other.pk, paper.pk])
    assert browser.get(elsewhere).status_code == 404


@pytest.mark.parametrize("kind", Kind)
def test_papers_of_an_empty_job_are_made_too(browser, plain_job, technician, kind):
    stored = store.add_job(plain_job, by=technician, what="made")
    assert "Make the first" in text_of(browser.get(page_url(stored)))
    assert bytes(made(browser, stored, kind).pdf).startswith(b"%PDF")


def test_a_long_piece_of_work_says_how_far_it_is(browser, stored, monkeypatch):
    said = []
    monkeypatch.setattr("pathproof.web.works.Progress.say", lambda self, *told: said.append(told))
    made(browser, stored, Kind.DESIGN)
    storeys = len(DEMO.site.floors)
    expected = [(f"map of storey {n}", n, storeys + 1) for n in range(1, storeys + 1)]
    assert said == [*expected, ("setting the paper", storeys + 1, storeys + 1)]


@pytest.mark.parametrize("name", ['x"; evil=1', "../../etc", "\r\nSet-Cookie: a=b", "", "Дом"])
def test_file_names_are_safe_whatever_the_job_is_called(name):
    made_of = file_name(Kind.DESIGN, name, 3)
    assert made_of.endswith("-design-assessment-r3.pdf")
    assert all(c.isascii() and (c.isalnum() or c in "-._") for c in made_of)
    assert not made_of.startswith(".")


def test_pictures_under_storeys_are_the_job_s_own(stored, technician, plain_job):
    png = b"the bytes of a picture"
    other = store.add_job(plain_job, by=technician, what="made")
    sha256 = store.keep_picture(stored.pk, png)
    floor = DEMO.site.floors[0].model_copy(update={"underlay": SimpleNamespace(sha256=sha256)})
    job = DEMO.model_copy(
        update={"site": DEMO.site.model_copy(update={"floors": [floor, *DEMO.site.floors[1:]]})}
    )
    assert making._underlays(stored.pk, job) == {floor.id: png}
    assert making._underlays(other.pk, job) == {}


def test_the_page_says_what_papers_do_not_show(browser, stored):
    assert "that a detector sees an intruder" in text_of(browser.get(page_url(stored)))


def test_a_paper_of_a_job_that_was_erased_is_asked_for_in_vain(browser, stored):
    store.erase(stored.pk)
    got = browser.post(reverse("handover:make", args=[stored.pk]), {"kind": Kind.DESIGN})
    assert got.status_code == 404
