"""A new job by a short form, from a job file, and the demo's."""

from uuid import uuid4

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from pathproof.job import dump_job, shipped
from pathproof.job.site import named_zone
from pathproof.job.starting import detectors_for, usual
from pathproof.web.jobs import store
from pathproof.web.jobs.models import StoredJob
from pathproof.web.listing import forms
from pathproof.web.listing.making import zone_of_this_machine

from .conftest import DEMO

NEW, IMPORT = reverse("listing:new"), reverse("listing:import")
TWELVE = "\n".join(
    ["what, where, how far, what stands between"]
    + [f"door contact, Door {i}, {i + 3} m, {i % 3} brick" for i in range(1, 9)]
    + ["motion, Hall, 6 m, nothing", "motion, Store, 12 m, 2 concrete, 1 floor"]
    + ["smoke, Landing, 20 ft, timber door", "wired_sounder, Over the door"]
)


def given(**changed: str) -> dict[str, str]:
    start = usual(shipped())
    return {
        "name": "Mill house",
        "reference": "J-1",
        "time_zone": "Europe/Vienna",
        "currency": "eur",
        "country": "at",
        "panel": start.panel or "",
        "communicator": start.communicator or "",
        "supply": start.supply or "",
        "battery": start.battery or "",
        "devices": TWELVE,
        "key": str(uuid4()),
        **changed,
    }


@pytest.mark.parametrize("name", ["localtime", "posix/Europe/Vienna", ":posixrules"])
def test_the_zone_offered_is_one_that_is_the_same_everywhere(name, monkeypatch):
    monkeypatch.setenv("TZ", name)
    offered = zone_of_this_machine()
    assert named_zone(offered).key == offered


def test_a_name_is_enough(technician, as_):
    got = as_(technician).post(
        NEW, {"name": "Mill house", "time_zone": "UTC", "currency": "EUR", "devices": ""}
    )
    stored = StoredJob.objects.get()
    assert got.url == reverse("signals:page", args=[stored.pk])
    site = store.load(stored.pk).site
    assert (site.name, site.panel, site.devices) == ("Mill house", None, [])


def test_a_job_with_a_plan_goes_on_to_the_plan(technician, as_):
    got = as_(technician).post(NEW, given(devices="", then="plan"))
    assert got.url == reverse("survey:import", args=[StoredJob.objects.get().pk])


def test_twelve_detectors_in_one_paste(technician, as_):
    browser = as_(technician)
    got = browser.post(NEW, given())
    site = store.load(StoredJob.objects.get().pk).site
    assert len(site.devices) == 12
    assert (site.country, site.currency, site.time_zone) == ("AT", "EUR", "Europe/Vienna")
    assert None not in (site.panel, site.supply, site.battery)
    said = [str(m) for m in get_messages(got.wsgi_request)]
    assert said[0].startswith("12 devices are in the job")
    assert any(line.startswith("motion taken as") for line in said)
    page = browser.get(got.url).text
    assert page.count('<p class="said" role="status">') == 1  # the guesses are one folded list
    assert '<details class="said"><summary>What was guessed: ' in page


def test_a_name_of_a_country_is_refused_and_not_cut(technician, as_):
    browser = as_(technician)
    assert 'maxlength="2"' not in browser.get(NEW).text
    got = browser.post(NEW, given(country="Austria"))
    assert "'Austria' is no such code" in got.context["form"].errors["country"][0]


def test_all_that_is_wrong_is_said_at_once(technician, as_):
    wrong = given(time_zone="Vienna", country="Austria", devices="unicorn, Attic, 5 m")
    errors = as_(technician).post(NEW, wrong).context["form"].errors
    assert set(errors) == {"time_zone", "country", "devices"}
    assert "such as Europe/Vienna" in errors["time_zone"][0]
    assert "time_zone" not in errors["time_zone"][0]


def test_the_browser_fills_the_zone_of_a_new_form_alone(technician, as_):
    browser = as_(technician)
    assert "data-browser-zone" in browser.get(NEW).text
    assert "data-browser-zone" not in browser.post(NEW, given(country="Austria")).text


def test_parts_proposed_belong_together():
    library = shipped()
    start = usual(library)
    assert library.parts[start.battery].nominal_v == library.parts[start.panel].nominal_v
    heard = {radio.family for radio in library.parts[start.panel].radios}
    offered = detectors_for(library, start.panel)
    assert {d.radio.family for d in offered if d.radio} <= heard
    assert any(d.radio is None for d in offered)


def test_a_wrong_line_is_named_and_nothing_is_lost(technician, as_):
    text = "motion, Hall, 6 m\nunicorn, Attic, 5 m\nmotion, Store, far away"
    got = as_(technician).post(NEW, given(devices=text))
    assert got.status_code == 422
    assert not StoredJob.objects.exists()
    errors = got.context["form"].errors["devices"]
    assert [e.split(":")[0] for e in errors if e.startswith("Line")] == ["Line 2", "Line 3"]
    assert "unicorn, Attic, 5 m" in got.text
    assert "Mill house" in got.text


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("time_zone", "Mars/Olympus", "IANA"),
        ("country", "A1", "allowed: 2 letters, such as AT"),
        ("currency", "€", "allowed: 3 letters, such as EUR"),
        ("panel", "nowhere", "nowhere"),
        ("name", " ", "required"),
    ],
)
def test_wrong_input_is_said_at_its_field(field, value, said, technician, as_):
    got = as_(technician).post(NEW, given(**{field: value}))
    assert got.status_code == 422
    assert said in " ".join(got.context["form"].errors[field])
    assert not StoredJob.objects.exists()


def test_the_same_form_sent_twice_makes_one_job(technician, as_):
    browser, sent = as_(technician), given()
    assert browser.post(NEW, sent).url == browser.post(NEW, sent).url
    assert StoredJob.objects.count() == 1


def test_a_job_file_comes_out_as_it_went_in(technician, as_):
    browser = as_(technician)
    file = SimpleUploadedFile("job.json", dump_job(DEMO).encode())
    got = browser.post(IMPORT, {"file": file, "key": str(uuid4())})
    stored = StoredJob.objects.get()
    assert got.url == reverse("signals:page", args=[stored.pk])
    out = browser.get(reverse("listing:export", args=[stored.pk]))
    assert out.content.decode() == dump_job(DEMO)
    assert out["Content-Type"] == "application/json"
    assert "attachment" in out["Content-Disposition"]


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"[1, 2]", b'{"format": "other"}'])
def test_what_is_no_job_file_is_refused_with_a_sentence(content, technician, as_):
    got = as_(technician).post(IMPORT, {"file": SimpleUploadedFile("x.json", content)})
    assert got.status_code == 422
    assert got.context["form"].errors["file"]
    assert not StoredJob.objects.exists()


def test_no_file_is_said(technician, as_):
    got = as_(technician).post(IMPORT, {})
    assert got.status_code == 422
    assert got.context["form"].errors["file"]


def test_a_file_that_is_too_big_is_not_read(technician, as_, monkeypatch):
    monkeypatch.setattr(forms, "MAX_BYTES", 10)
    file = SimpleUploadedFile("job.json", dump_job(DEMO).encode())
    got = as_(technician).post(IMPORT, {"file": file})
    assert "the most a job file has" in " ".join(got.context["form"].errors["file"])


def test_the_demo_says_that_it_is_invented(technician, as_):
    got = as_(technician).post(reverse("listing:demo"), {"key": str(uuid4())})
    stored = StoredJob.objects.get()
    assert got.url == reverse("signals:page", args=[stored.pk])
    assert "all invented" in stored.name
    assert as_(technician).get(reverse("listing:demo")).status_code == 405


def test_a_revision_can_be_exported_and_one_that_is_none_not(stored, technician, as_):
    browser = as_(technician)
    url = reverse("listing:export_revision", args=[stored.pk, stored.revision])
    assert browser.get(url).content.decode() == dump_job(store.load(stored.pk))
    none = reverse("listing:export_revision", args=[stored.pk, 99])
    assert browser.get(none).status_code == 404
    assert browser.get(reverse("listing:export", args=[uuid4()])).status_code == 404


def test_the_token_says_for_whom_it_is(technician, as_):
    got = as_(technician).get(reverse("listing:token"), headers={"X-Pathproof-Keep": "1"}).json()
    assert got["person"] == str(technician.pk)
    assert got["token"]
    signed_out = as_(None).get(reverse("listing:token"), headers={"X-Pathproof-Keep": "1"})
    assert signed_out.status_code == 401
