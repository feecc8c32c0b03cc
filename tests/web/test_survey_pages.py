"""The survey's pages: plan, list, spots, and the pictures of a storey."""

import io
from urllib.parse import quote
from uuid import uuid4

import pytest
from django.urls import reverse
from PIL import Image

from pathproof.job import Job
from pathproof.web.jobs import store

from .specifying import send

PAGES = ["survey:page", "survey:devices", "survey:spots", "survey:import"]


def _storey(stored) -> str:
    return store.load(stored.pk).site.floors[0].id


def _got(client, name, *args, **query):
    """An answer, asked for again while it is worked out."""
    for _ in range(60):
        answer = client.get(reverse(name, args=args), query)
        if answer.status_code != 202:
            return answer
    raise AssertionError("it was never worked out")


@pytest.mark.parametrize("page", PAGES)
def test_pages_open_and_are_small(page, stored, technician, as_):
    got = _got(as_(technician), page, stored.pk)
    assert got.status_code == 200
    assert len(got.content) < 300_000


@pytest.mark.parametrize("page", PAGES)
def test_an_empty_job_says_what_comes_next(page, plain_job, technician, as_):
    empty = store.add_job(plain_job, by=technician, what="made")
    assert as_(technician).get(reverse(page, args=[empty.pk])).status_code == 200


def test_a_storey_lists_what_hangs_on_it(stored, technician, as_):
    site, floor = store.load(stored.pk).site, _storey(stored)
    text = _got(as_(technician), "survey:storey", stored.pk, floor).text
    for device in site.devices:
        assert f'data-thing="device/{device.id}"' in text
        assert device.name in text


def test_a_storey_that_is_not_there_is_not_found(stored, technician, as_):
    url = reverse("survey:storey", args=[stored.pk, "attic-of-nobody"])
    assert as_(technician).get(url).status_code == 404


def test_the_plan_is_svg_that_no_browser_keeps(stored, technician, as_):
    got = as_(technician).get(reverse("survey:plan", args=[stored.pk, _storey(stored), 1]))
    assert got["Content-Type"] == "image/svg+xml"
    assert got["Cache-Control"] == "no-store"  # or it opens after a sign-out, or after erasing
    assert "<path" in got.text


@pytest.mark.parametrize("what", ["worst", "odds", "coverage"])
def test_a_map_has_a_pixel_for_each_value(what, stored, technician, as_):
    client, place = as_(technician), (stored.pk, _storey(stored), 1)
    data = _got(client, "survey:map_json", *place, map=what).json()
    png = _got(client, "survey:map_png", *place, map=what)
    assert len(data["values"]) == data["rows"] * data["columns"]
    assert Image.open(io.BytesIO(png.content)).size == (data["columns"], data["rows"])
    assert len(data["steps"]) == len(data["tints"]) == 5
    assert png["Cache-Control"] == "no-store"  # or yesterday's is shown after midnight


def test_a_map_that_is_none_says_so(stored, technician, as_):
    got = _got(as_(technician), "survey:map_json", stored.pk, _storey(stored), 1, map="nonsense")
    assert got.status_code == 422
    assert "allowed" in got.json()["said"][0]


def test_without_a_panel_there_is_no_map_but_a_sentence(technician, as_):
    site = {
        "name": "Bare",
        "floors": [{"id": "g", "name": "Ground", "elevation_m": 0, "height_m": 2.8}],
    }
    bare = store.add_job(Job.model_validate({"site": site}), by=technician, what="made")
    client = as_(technician)
    assert client.get(reverse("survey:page", args=[bare.pk])).status_code == 200
    assert client.get(reverse("survey:plan", args=[bare.pk, "g", 1])).status_code == 200
    got = _got(client, "survey:map_json", bare.pk, "g", 1, map="worst")
    assert got.status_code == 422


def test_a_spot_is_added_once(stored, technician, as_):
    client, url = as_(technician), reverse("survey:spots", args=[stored.pk])
    form = {"name": "Loft hatch", "place": "above_ceiling", "cable_m": "6", "based_on": 1,
            "key": "6f1f8a7e-3a0a-4c55-9d52-9f2f3d1f4c10"}  # fmt: skip
    for _ in range(2):
        assert client.post(url, form).status_code == 302
    spots = [s for s in store.load(stored.pk).site.spots if s.name == "Loft hatch"]
    assert [(s.id, s.cable_m) for s in spots] == [("loft_hatch", 6.0)]


def test_a_wrong_spot_keeps_what_was_typed(stored, technician, as_):
    url = reverse("survey:spots", args=[stored.pk])
    got = as_(technician).post(url, {"name": "Loft", "cable_m": "-3", "based_on": 1})
    assert got.status_code == 422
    assert 'value="-3"' in got.text
    assert "Allowed: 0 to 1000 m" in got.text
    assert store.load(stored.pk).revision == 1


def test_a_spots_page_leads_to_its_readings(stored, technician, as_):
    client = as_(technician)
    spot = store.load(stored.pk).site.spots[0].id
    address = f"{reverse('signals:evidence', args=[stored.pk, 'reading'])}?about={spot}"
    assert address in _got(client, "survey:spots", stored.pk).text
    assert client.get(address).status_code == 200


NETWORK = {"mcc_mnc": "001-99", "label": "Net Z", "technologies": "lte"}


@pytest.mark.parametrize(
    ("page", "kind", "form"),
    [
        ("storey", "devices", {"name": "Loft", "part": "lark_motion"}),
        ("spots", "networks", NETWORK),
    ],
)
def test_what_is_added_from_the_survey_leads_back_to_it(page, kind, form, stored, technician, as_):
    client = as_(technician)
    args = [stored.pk, _storey(stored)] if page == "storey" else [stored.pk]
    here = reverse(f"survey:{page}", args=args)
    address = f"{reverse('specify:add', args=[stored.pk, kind])}?back={quote(here)}"
    assert address in _got(client, f"survey:{page}", *args).text
    assert f'name="back" value="{here}"' in client.get(address).text
    got = send(client, address, stored, back=here, **form)
    assert got.status_code == 302, got.context["form"].errors
    assert got.url == here
    assert store.load(stored.pk).revision == 2


def test_an_address_elsewhere_does_not_lead_back(stored, technician, as_):
    address = reverse("specify:add", args=[stored.pk, "networks"])
    for back in ("https://example.org/", f"/jobs/{uuid4()}/survey/", "//example.org"):
        form = {**NETWORK, "mcc_mnc": f"001-9{store.load(stored.pk).revision}", "back": back}
        got = send(as_(technician), address, stored, **form)
        assert got.url.startswith(f"/jobs/{stored.pk}/specify/")
