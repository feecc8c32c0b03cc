"""A plan is sent, looked at and accepted; a picture is laid under a storey."""

import io
import os
import time
from pathlib import Path
from uuid import uuid4

import ezdxf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from pathproof.web.jobs import store
from pathproof.web.jobs.models import Picture
from pathproof.web.survey import importing


@pytest.fixture
def empty(plain_job, technician):
    return store.add_job(plain_job, by=technician, what="made")


def _room(tmp_path, header: int) -> SimpleUploadedFile:
    """A room of 6 by 4 m, drawn in millimetres with double lines; the header's unit is as given."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = header
    for grown in (0, 200):
        corners = [(-grown, -grown), (6000 + grown, -grown), (6000 + grown, 4000 + grown),
                   (-grown, 4000 + grown)]  # fmt: skip
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            doc.modelspace().add_line(a, b, {"layer": "WALL"})
    path = tmp_path / "room.dxf"
    doc.saveas(path)
    return SimpleUploadedFile("room.dxf", path.read_bytes())


@pytest.fixture
def dxf(tmp_path) -> SimpleUploadedFile:
    return _room(tmp_path, header=4)  # millimetres


def _png(size=(400, 300)) -> SimpleUploadedFile:
    file = io.BytesIO()
    Image.new("RGB", size, "white").save(file, "PNG")
    return SimpleUploadedFile("sheet.png", file.getvalue())


def _sent(client, job, *files) -> str:
    got = client.post(reverse("survey:import", args=[job.pk]), {"plan": list(files)})
    assert got.status_code == 302, got.text
    return got["Location"]


def _got(client, url, **query):
    for _ in range(120):
        answer = client.get(url, query)
        if answer.status_code != 202:
            return answer
    raise AssertionError("it was never read")


def test_a_drawing_is_looked_at_then_accepted(empty, dxf, technician, as_):
    client = as_(technician)
    url = _sent(client, empty, dxf)
    page = _got(client, url)
    assert page.status_code == 200
    assert "1 storey, 4 walls" in page.text
    assert store.load(empty.pk).site.walls == []
    got = client.post(url, {"based_on": 1, "key": str(uuid4())})
    assert got["Location"] == reverse("survey:page", args=[empty.pk])
    assert len(store.load(empty.pk).site.walls) == 4
    assert client.get(url)["Location"] == reverse("survey:import", args=[empty.pk])


def test_what_a_drawing_leaves_open_is_asked_and_said(empty, tmp_path, technician, as_):
    client = as_(technician)
    url = _sent(client, empty, _room(tmp_path, header=6))  # says metres
    asked = _got(client, url)
    assert asked.status_code == 422
    assert 'role="alert"' in asked.text
    assert 'name="unit"' in asked.text
    said = {"unit": "mm", "storey_height_m": "3", "storey_0": "Hall"}
    assert _got(client, url, **said).status_code == 200
    query = "&".join(f"{k}={v}" for k, v in said.items())
    client.post(f"{url}?{query}", {"based_on": 1, "key": str(uuid4())})
    site = store.load(empty.pk).site
    assert (site.floors[0].name, site.floors[0].height_m) == ("Hall", 3.0)
    # a centre line spans the room and half of both walls
    assert max(w.length_m for w in site.walls) == pytest.approx(6.2, abs=0.01)


@pytest.mark.parametrize("name", ["plan.ifc", "plan.dxf", "plan.png"])
def test_what_is_no_plan_is_refused_with_a_sentence(name, empty, technician, as_):
    client = as_(technician)
    url = _sent(client, empty, SimpleUploadedFile(name, b"GIF89a<script>alert(1)</script>"))
    page = _got(client, url)
    assert page.status_code == 422
    assert 'role="alert"' in page.text
    assert "<script>alert" not in page.text


@pytest.mark.parametrize("files", [[], ["plan.exe"], ["a.ifc", "b.ifc"], ["a.dxf", "b.png"]])
def test_files_that_do_not_go_together_are_refused(files, empty, technician, as_):
    sent = [SimpleUploadedFile(name, b"x") for name in files]
    got = as_(technician).post(reverse("survey:import", args=[empty.pk]), {"plan": sent})
    assert got.status_code == 422
    assert "llowed: " in got.text or "No file was sent" in got.text


def test_a_picture_is_laid_under_a_new_storey(empty, technician, as_):
    client = as_(technician)
    url = _sent(client, empty, _png())
    assert _got(client, url).status_code == 200
    assert client.get(f"{url}picture.png")["Content-Type"] == "image/png"
    said = {"x1": 0, "y1": 150, "x2": 400, "y2": 150, "distance_m": 20, "new_floor": "Ground",
            "elevation_m": 0, "height_m": 2.8, "based_on": 1, "key": str(uuid4())}  # fmt: skip
    got = client.post(url, said)
    assert got.status_code == 302
    [floor] = store.load(empty.pk).site.floors
    assert floor.underlay.m_per_px == pytest.approx(20 / 400)
    assert Picture.objects.filter(job=empty.pk, sha256=floor.underlay.sha256).exists()
    ink = client.get(reverse("survey:picture", args=[empty.pk, floor.id, 2]))
    assert ink["Content-Type"] == "image/png"
    assert client.get(got["Location"]).status_code == 200


def test_a_picture_without_a_scale_keeps_what_was_typed(empty, technician, as_):
    client = as_(technician)
    url = _sent(client, empty, _png())
    got = client.post(url, {"x1": 7, "y1": 7, "x2": 7, "y2": 7, "distance_m": 5,
                            "new_floor": "Ground", "elevation_m": 0, "height_m": 2.8,
                            "based_on": 1, "key": str(uuid4())})  # fmt: skip
    assert got.status_code == 422
    assert "Both points are the same" in got.text
    assert 'value="Ground"' in got.text
    assert store.load(empty.pk).revision == 1


def test_what_was_sent_for_another_job_is_not_there(empty, stored, technician, as_):
    client = as_(technician)
    token = _sent(client, empty, _png()).rstrip("/").rsplit("/", 1)[1]
    assert client.get(reverse("survey:sheet", args=[stored.pk, token])).status_code == 404


@pytest.mark.parametrize("token", ["a" * 300, "0" * 31, "about.json"])
def test_what_no_plan_was_ever_kept_under_is_not_there(token, empty, technician, as_):
    there = f"/jobs/{empty.pk}/survey/import/{token}/"
    assert as_(technician).get(there).status_code in (302, 404)


def test_names_of_files_stay_inside_their_folder(empty, technician, as_):
    file = _png()
    file._name = "../../../escape.png"  # as a hostile client would send it
    url = importing.start_import(empty.pk, [file])
    upload = importing.upload_of(empty.pk, url.rstrip("/").rsplit("/", 1)[1])
    [path] = upload.files
    assert path.is_file()
    assert path.parent.name == upload.token


def test_what_nobody_accepted_goes_after_a_day(empty, technician):
    url = importing.start_import(empty.pk, [_png()])
    token = url.rstrip("/").rsplit("/", 1)[1]
    folder = Path(importing.upload_of(empty.pk, token).files[0]).parent
    old = time.time() - 90_000
    os.utime(folder, (old, old))
    importing.start_import(empty.pk, [_png()])
    assert importing.upload_of(empty.pk, token) is None
