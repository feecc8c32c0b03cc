"""The folder of a job: its title block, and what is missing beside each stage."""

from datetime import UTC, datetime

from django.urls import reverse

from pathproof.job import Job
from pathproof.web.folder import stages
from pathproof.web.jobs import store
from pathproof.web.jobs.answers import answer


def missing(job: Job, by) -> dict[str, str]:
    stored = store.add_job(job, by=by, what="made")
    return {s.name: s.missing for s in stages(answer(stored.pk, wait=True), "prove")}


def test_a_job_with_nothing_in_it_lacks_everything(plain_job, technician):
    said = missing(plain_job, technician)
    assert said["Survey"] == "no devices yet"
    assert said["Specify"] == "no panel, communicator, supply, battery"
    assert said["Prove"] == "no signals yet"


def test_the_demo_has_its_parts_and_all_its_signals_to_prove(stored):
    opened = answer(stored.pk, wait=True)
    said = {s.name: s.missing for s in stages(opened, "prove")}
    assert said["Specify"] == ""
    every = len(opened.assessment.signals)
    assert said["Prove"] == f"{every} of {every} unproven"


def test_one_stage_is_told_as_the_one_of_the_page(stored):
    here = [s.name for s in stages(answer(stored.pk, wait=True), "prove") if s.here]
    assert here == ["Prove"]


def test_the_title_block_leads_to_the_revisions(stored, technician, as_):
    answer(stored.pk, wait=True)
    text = as_(technician).get(reverse("history:page", args=[stored.pk])).text
    block = text.split('class="title-block"')[1].split("</p>")[0]
    assert reverse("history:page", args=[stored.pk]) in block


def test_the_title_blocks_day_is_the_sites(plain_job, technician, as_, monkeypatch):
    """In Auckland the 26th of November begins eleven hours before it does in Greenwich."""
    plain = plain_job.site.model_copy(update={"time_zone": "Pacific/Auckland"})
    stored = store.add_job(plain_job.model_copy(update={"site": plain}), by=technician, what="made")
    at = datetime(2026, 11, 25, 18, tzinfo=UTC)
    monkeypatch.setattr("pathproof.web.jobs.answers.timezone.now", lambda: at)
    answer(stored.pk, wait=True)
    text = as_(technician).get(reverse("history:page", args=[stored.pk])).text
    assert "26 November 2026" in text.split('class="title-block"')[1].split("</p>")[0]
