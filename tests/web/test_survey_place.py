"""Things are placed and moved on the plan: by form, and by a page that drags them."""

from uuid import uuid4

from django.urls import reverse

from pathproof.web.jobs import answers, store

JSON = {"headers": {"accept": "application/json"}}


def _fields(stored, *, x="1.5", y="2.5", based_on=1, **more):
    floor = store.load(stored.pk).site.floors[0].id
    place = {"floor": floor, "x": x, "y": y, "height_m": "2.1", "based_on": based_on}
    return {**place, "key": str(uuid4()), **more}


def _device(stored, *, with_evidence: bool):
    job = store.load(stored.pk)
    proven = {about for entry in job.record for about in entry.about}
    return next(d for d in job.site.devices if (d.id in proven) == with_evidence and d.at)


def _url(stored, name="place", kind="device", thing=""):
    return reverse(f"survey:{name}", args=[stored.pk, kind, thing])


def _at(stored, device_id):
    return next(d for d in store.load(stored.pk).site.devices if d.id == device_id).at


def test_the_form_shows_where_a_thing_is(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    answers.answer(stored.pk, wait=True)
    text = as_(technician).get(_url(stored, thing=device.id)).text
    assert f'value="{device.at[0]}"' in text


def test_a_spot_moves_by_form(stored, technician, as_):
    spot = store.load(stored.pk).site.spots[0]
    client, url = as_(technician), _url(stored, kind="spot", thing=spot.id)
    got = client.post(url, _fields(stored, confirmed="1"))
    assert got.status_code == 302
    assert store.load(stored.pk).site.spots[0].at == (1.5, 2.5)


def test_a_move_that_voids_evidence_is_asked_about_first(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    client, url = as_(technician), _url(stored, thing=device.id)
    asked = client.post(url, _fields(stored), **JSON)
    assert asked.status_code == 409
    assert "no longer speak" in asked.json()["confirm"]
    assert _at(stored, device.id) == device.at
    page = client.post(url, _fields(stored))
    assert page.status_code == 200
    assert "Evidence goes void" in page.text
    assert 'name="confirmed" value="1"' in page.text
    done = client.post(url, _fields(stored, confirmed="1"), **JSON).json()
    assert (done["revision"], done["alone"]) == (2, True)
    assert device.name in done["said"]
    assert "dB" in done["said"]
    assert _at(stored, device.id) == (1.5, 2.5)


def test_a_move_and_back_is_as_it_was(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    client, url = as_(technician), _url(stored, thing=device.id)
    client.post(url, _fields(stored, confirmed="1"), **JSON)
    x, y = device.at
    there = {"floor": device.floor, "height_m": device.height_m}
    back = _fields(stored, x=x, y=y, based_on=2, confirmed="1", **there)
    assert client.post(url, back, **JSON).status_code == 200
    assert store.load(stored.pk).site == store.load(stored.pk, 1).site


def test_sent_twice_it_is_saved_once(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    client, fields = as_(technician), _fields(stored, confirmed="1")
    for _ in range(2):
        got = client.post(_url(stored, thing=device.id), fields, **JSON)
        assert (got.status_code, got.json()["revision"]) == (200, 2)


def test_wrong_figures_are_said_and_nothing_is_saved(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    client, url = as_(technician), _url(stored, thing=device.id)
    got = client.post(url, _fields(stored, x="9999"), **JSON)
    assert got.status_code == 422
    assert "-512 to 512 m" in got.json()["said"]
    page = client.post(url, _fields(stored, x="9999"))
    assert page.status_code == 422
    assert 'value="9999"' in page.text
    assert store.load(stored.pk).revision == 1


def test_two_moves_of_one_thing_are_both_kept(stored, technician, office, as_):
    device = _device(stored, with_evidence=True)
    url = _url(stored, thing=device.id)
    as_(technician).post(url, _fields(stored, confirmed="1"), **JSON)
    late = as_(office).post(url, _fields(stored, x="3.5", confirmed="1"), **JSON)
    assert late.json()["go"].startswith(f"/jobs/{stored.pk}/")
    assert _at(stored, device.id) == (1.5, 2.5)


def test_what_others_saved_meanwhile_is_told(stored, technician, office, as_):
    job = store.load(stored.pk)
    one, other = job.site.devices[0], job.site.devices[1]
    as_(technician).post(_url(stored, thing=one.id), _fields(stored, confirmed="1"), **JSON)
    late = as_(office).post(_url(stored, thing=other.id), _fields(stored, confirmed="1"), **JSON)
    assert late.json()["alone"] is False


def test_things_and_kinds_that_are_not_there_are_not_found(stored, technician, as_):
    client = as_(technician)
    for kind, thing in (("device", "nobody"), ("teapot", "x")):
        assert client.get(_url(stored, kind=kind, thing=thing)).status_code == 404


def test_a_margin_is_said_without_a_save(stored, technician, as_):
    device = _device(stored, with_evidence=True)
    got = as_(technician).get(_url(stored, "heard", thing=device.id), _fields(stored))
    assert got.status_code == 200
    assert device.name in got.json()["said"]
    panel = as_(technician).get(_url(stored, "heard", "panel", "panel"), _fields(stored))
    assert "Heard worst" in panel.json()["said"]
    assert store.load(stored.pk).revision == 1


def test_a_save_beside_that_of_others_is_said_when_the_page_is_opened_anew(
    stored, technician, office, as_
):
    job = store.load(stored.pk)
    site = job.site.model_copy(update={"reference": "R-7"})
    store.save(stored.pk, lambda seen: seen.model_copy(update={"site": site}), based_on=1,
               by=office, what="reference")  # fmt: skip
    spot, client = job.site.spots[0], as_(technician)
    url = _url(stored, kind="spot", thing=spot.id)
    done = client.post(url, _fields(stored, confirmed="1"), **JSON).json()
    assert (done["revision"], done["alone"]) == (3, False)
    answers.answer(stored.pk, wait=True)
    assert done["said"] in client.get(reverse("survey:spots", args=[stored.pk])).text


def test_a_tap_that_takes_a_thing_off_its_storey_is_asked_about_first(stored, technician, as_):
    job = store.load(stored.pk)
    proven = {about for entry in job.record for about in entry.about}
    floors = [f.id for f in job.site.floors]
    device = next(
        d for d in job.site.devices if d.id not in proven and d.floor not in (None, floors[0])
    )
    storey = next(f.name for f in job.site.floors if f.id == device.floor)
    client, url = as_(technician), _url(stored, thing=device.id)
    asked = client.post(url, _fields(stored), **JSON)
    assert asked.status_code == 409
    assert asked.json()["confirm"] == f"{device.name} hangs on {storey} now. Move it?"
    assert _at(stored, device.id) == device.at
    assert client.post(url, _fields(stored, confirmed="1"), **JSON).status_code == 200
    assert _at(stored, device.id) == (1.5, 2.5)
