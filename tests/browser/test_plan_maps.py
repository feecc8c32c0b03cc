"""Maps on the plan, zoom, storeys, and a picture under one.

What words mean is held against the number beside them, a picture's place against plain
trigonometry and the corners of the drawing.
"""

import io
import json
import math
import re

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import expect

from pathproof.job import Job
from pathproof.simulate import build_demo
from pathproof.simulate.buildings import BuildingKind, generated_job

from .plans import FLOOR, PLACE, house, number, place_said

# -- maps ------------------------------------------------------------------------------------------

BOUNDS_DB = {
    "short by over 10 dB": (-math.inf, -10),
    "short by up to 10 dB": (-10, 0),
    "0 to 10 dB": (0, 10),
    "10 to 20 dB": (10, 20),
    "over 20 dB": (20, math.inf),
}
"""What the words of a margin's steps mean. [dB]"""


def test_every_map_has_five_steps_in_words_and_a_number_under_the_finger(plan, served):
    job = build_demo()
    device, network = job.site.devices[0], job.site.networks[0]
    plan.open(served.demo, FLOOR)
    for what in ("coverage", "worst", "odds", f"device:{device.id}", f"network:{network.mcc_mnc}"):
        plan.page.locator("#map-of").select_option(what)
        plan.wait_for_map()
        expect(plan.said).to_have_text("Tap the plan for the value there.", timeout=60_000)
        words = [w for w in plan.page.locator("#legend li").all_inner_texts()
                 if w != "requirement just met"]  # fmt: skip
        assert len(words) == len(set(words)) == 5, what
        plan.tap(2.0, 6.5)
        expect(plan.said).to_contain_text(PLACE)
        said = plan.said.inner_text()
        assert place_said(said) == pytest.approx((2.0, 6.5), abs=0.15)
        step = re.search(r"\((.+?)\)", said)[1]
        assert step in words, said
        if step in BOUNDS_DB:
            low, high = BOUNDS_DB[step]
            assert low <= number(re.search(r"([+\u2212]\d+\.\d) dB \(", said)[1]) <= high, said
    plan.page.locator("#map-of").select_option("")
    expect(plan.page.locator("#legend")).to_be_hidden()
    expect(plan.page.locator("#plan img.cells")).to_have_count(0)


def test_the_requirement_is_a_line_where_the_map_crosses_it(plan, added):
    plan.open(added(generated_job(BuildingKind.CLINIC, devices=16)), "level_0", "coverage")
    expect(plan.page.locator("#legend")).to_contain_text("requirement just met")
    expect(plan.page.locator("#plan path")).to_have_count(2)  # ink, and paper around it
    address = plan.page.locator("#plan").get_attribute("data-map")
    found = json.loads(plan.page.request.get(f"{address}?map=coverage").text())
    rows = [found["values"][n : n + found["columns"]]
            for n in range(0, len(found["values"]), found["columns"])]  # fmt: skip
    assert sum(len(line) for line in found["lines"]) > 20
    for x, y in (point for line in found["lines"] for point in line):
        column = int((x - found["origin"][0]) / found["cell"])
        row = int((y - found["origin"][1]) / found["cell"])
        around = [rows[r][c] for r in range(max(row - 1, 0), min(row + 2, found["rows"]))
                  for c in range(max(column - 1, 0), min(column + 2, found["columns"]))
                  if rows[r][c] is not None]  # fmt: skip
        assert min(around) <= 0 <= max(around), (x, y)


def test_no_line_where_all_of_the_map_meets_the_requirement(plan, added):
    plan.open(added(house()), FLOOR, "coverage")
    expect(plan.page.locator("#legend li")).to_have_count(5)
    expect(plan.page.locator("#plan path")).to_have_count(0)


# -- zoom, storeys, pictures -----------------------------------------------------------------------


def test_it_zooms_by_buttons_keyboard_and_pinch(plan, added):
    plan.open(added(house()), FLOOR)
    start = plan.width()
    plan.page.locator("#plan .leaflet-control-zoom-in").click()
    plan.settle()
    closer = plan.width()
    assert closer == pytest.approx(2 * start, rel=0.01)
    plan.page.locator("#plan").focus()
    plan.page.keyboard.press("-")
    plan.settle()
    assert plan.width() == pytest.approx(start, rel=0.01)
    plan.page.keyboard.press("+")
    plan.settle()
    assert plan.width() == pytest.approx(closer, rel=0.01)
    if plan.touch:
        plan.pinch(2.0)
        assert plan.width() == pytest.approx(2 * closer, rel=0.25)
    button = plan.page.locator("#plan .leaflet-control-zoom-in").bounding_box()
    assert min(button["width"], button["height"]) >= 44


def test_each_storey_shows_what_hangs_on_it(plan, added):
    job = house()
    job_id = added(job)
    plan.open(job_id)
    for floor in job.site.floors:
        plan.page.get_by_role("link", name=floor.name, exact=True).click()
        expect(plan.page.locator("h2")).to_have_text(floor.name)
        here = [d for d in job.site.devices if d.floor == floor.id]
        panel = int(job.site.panel.floor == floor.id)
        expect(plan.page.locator("#plan .mark")).to_have_count(len(here) + panel)
        for device in here:
            expect(plan.page.locator("#things")).to_contain_text(device.name)


def test_a_picture_lies_under_the_storey_as_it_was_turned(plan, added):
    """A block drawn on a picture is where its two points, their distance and angle put it."""
    picture = Image.new("L", (400, 300), 255)
    ImageDraw.Draw(picture).rectangle((300, 60, 340, 100), fill=0)
    png = io.BytesIO()
    picture.save(png, "PNG")
    job_id = added(Job.model_validate({"site": {"name": "Paper only"}}))
    page = plan.page
    page.goto(f"/jobs/{job_id}/survey/import/")
    page.locator("#id_plan").set_input_files(
        {"name": "sheet.png", "mimeType": "image/png", "buffer": png.getvalue()}
    )
    page.get_by_role("button", name="Send it and look").click()
    two_points = {"x1": 50, "y1": 250, "x2": 350, "y2": 250, "distance_m": 15}
    storey = {"new_floor": "Ground", "elevation_m": 0, "height_m": 2.8}
    given = {**two_points, **storey, "at_x": 2, "at_y": 3, "direction_deg": 30}
    expect(page.locator("#sheet")).to_be_visible(timeout=60_000)
    for name, value in given.items():
        page.locator(f"[name={name}]").fill(str(value))
    page.get_by_role("button", name="Lay it under the storey").click()
    expect(page.locator("#plan img.leaflet-image-layer")).to_have_count(2)
    page.locator("#plan").evaluate("plan => plan.scrollIntoView()")
    plan.settle()
    for image in page.locator("#plan img.leaflet-image-layer").all():
        image.evaluate("image => image.decode()")
    screen = Image.open(io.BytesIO(page.screenshot())).convert("L")
    scale_m, turn = 15 / 300, math.radians(30)

    def grey_at(x_px: float, y_px: float) -> int:
        right, up = (x_px - 50) * scale_m, (250 - y_px) * scale_m
        place = (2 + right * math.cos(turn) - up * math.sin(turn),
                 3 + right * math.sin(turn) + up * math.cos(turn))  # fmt: skip
        left, top = plan.on_screen(*place)
        return screen.getpixel((round(left), round(top)))

    inside = [(320, 80), (306, 66), (334, 94)]
    outside = [(320, 45), (320, 115), (285, 80), (355, 80), (100, 80)]
    assert max(grey_at(*at) for at in inside) < min(grey_at(*at) for at in outside) - 20
