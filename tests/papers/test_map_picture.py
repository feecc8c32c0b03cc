"""Maps as pictures: the requirement's line, the raster, what is said, and that all of it fits."""

import io
import math
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from PIL import Image

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.job import Floor, Job, Site, embed
from pathproof.papers.drawing import Label
from pathproof.papers.map_drawing import raster_png, requirement_lines_m
from pathproof.papers.map_picture import (
    BURGLARS_MAP,
    MARGIN_MM,
    MOST_LISTED,
    NOT_PROOF,
    NOT_READ,
    PANEL_NOW,
    PANEL_THERE,
    WIDTH_MM,
    map_picture,
    map_picture_png,
)
from pathproof.papers.margin_steps import tint_rgb
from pathproof.terms import JobError

from ._jobs import AS_OF, with_names

NAN = math.nan


def a_map(values: ArrayLike, kind: MapKind = MapKind.COVERAGE, **changes: Any) -> FloorMap:
    settings: dict[str, Any] = {
        "what": MapOf(kind=kind),
        "floor": "g",
        "origin_m": (0.0, 0.0),
        "cell_m": 1.0,
        "values": np.array(values, dtype=np.float64),
        "unit": "dB",
        "required": 0.0,
        "label": "What is mapped",
    }
    return FloorMap(**{**settings, **changes})


def of_ground(kind: MapKind, **changes: Any) -> FloorMap:
    """A map that fits the demo's ground floor."""
    values = np.linspace(-30.0, 40.0, 14 * 31).reshape(31, 14)
    return a_map(values, kind, floor="ground", **changes)


@pytest.fixture(scope="module")
def bare_job() -> Job:
    """A storey with nothing on it but its map."""
    floor = Floor(id="g", name="Hall", elevation_m=0.0, height_m=3.0)
    return embed(Job(site=Site(name="Shed", floors=[floor])))


def field(rows: int, columns: int, cell_m: float, of: Any) -> NDArray[np.float64]:
    """Values of a function of x and y at the middles of cells."""
    x, y = (np.arange(columns) + 0.5) * cell_m, (np.arange(rows) + 0.5) * cell_m
    return np.asarray(of(*np.meshgrid(x, y)), dtype=np.float64)


# ---- the line ------------------------------------------------------------------------------------


def test_the_line_of_a_slope_is_straight_and_in_its_place():
    values = field(8, 10, 0.5, lambda x, y: x + 2.0 * y - 4.0)
    sloped = a_map(values, cell_m=0.5, origin_m=(100.0, -20.0))
    (line,) = requirement_lines_m(sloped)
    # x + 2 y = 4 by hand; within the outermost half cell values are carried on, which bends it.
    inner = [(x - 100.0, y + 20.0) for x, y in line if 100.25 <= x <= 104.75 and y >= -19.75]
    assert len(inner) > 10
    assert [x + 2.0 * y for x, y in inner] == pytest.approx([4.0] * len(inner), abs=1e-9)


def test_the_line_of_a_cone_is_a_circle():
    cone = a_map(field(60, 60, 0.1, lambda x, y: 2.0 - np.hypot(x - 3.0, y - 3.0)), cell_m=0.1)
    (line,) = requirement_lines_m(cone)
    assert line[0] == line[-1]
    # Chords of cells 0.1 m wide leave a circle of 2 m by less than (0.1 m)^2 / 8 r, twice at most.
    radii = [math.dist(p, (3.0, 3.0)) for p in line]
    assert radii == pytest.approx([2.0] * len(radii), abs=2 * 0.1**2 / (8 * 2.0))


def test_the_line_reaches_the_edge_of_what_is_mapped_and_no_further():
    values = field(6, 8, 1.0, lambda x, y: x - 4.2)
    values[0, :] = values[-1, :] = NAN
    (line,) = requirement_lines_m(a_map(values))
    ys = [y for _, y in line]
    assert (min(ys), max(ys)) == pytest.approx((1.0, 5.0))
    assert [x for x, _ in line] == pytest.approx([4.2] * len(line))


def test_a_line_through_a_hole_is_cut_there():
    values = field(9, 8, 1.0, lambda x, y: x - 4.2)
    values[4, :] = NAN
    lines = requirement_lines_m(a_map(values))
    spans = sorted((min(y for _, y in x), max(y for _, y in x)) for x in lines)
    assert spans == [pytest.approx((0.0, 4.0)), pytest.approx((5.0, 9.0))]


@pytest.mark.parametrize(
    ("values", "required"),
    [([[NAN, NAN]], 0.0), ([[5.0]], 0.0), ([[5.0, 6.0], [7.0, 8.0]], 0.0), ([[-5.0, 5.0]], None)],
)
def test_no_line_where_nothing_is_mapped_passed_or_asked(
    values: list[list[float]], required: float | None
):
    assert requirement_lines_m(a_map(values, required=required)) == []


# ---- the raster ----------------------------------------------------------------------------------


def test_the_raster_has_a_pixel_for_each_cell_and_says_where_it_lies():
    values = [[-30.0, -3.0, 3.0], [13.0, 30.0, NAN]]
    image = Image.open(io.BytesIO(raster_png(a_map(values, origin_m=(-2.5, 7.0), cell_m=0.25))))
    pixels = np.array(image.convert("RGBA"))
    # The largest y is on top.
    assert [tuple(p[:3]) for p in pixels[1]] == [tint_rgb(0), tint_rgb(1), tint_rgb(2)]
    assert [tuple(p[:3]) for p in pixels[0, :2]] == [tint_rgb(3), tint_rgb(4)]
    assert pixels[:, :, 3].tolist() == [[255, 255, 0], [255, 255, 255]]
    assert image.info["origin_m"] == "-2.5 7"
    assert image.info["cell_m"] == "0.25"


# ---- what is said --------------------------------------------------------------------------------


def test_title_what_site_and_date(demo: Job):
    picture = map_picture(
        demo, of_ground(MapKind.COVERAGE, notes=("One wall is left out.",)), AS_OF
    )
    assert picture.title == "Ground floor (ground)"
    assert picture.label == "What is mapped"
    assert picture.about == "Quellrain dairy and shop, 25 November 2026"
    assert picture.notes == ("One wall is left out.", NOT_PROOF, BURGLARS_MAP)


@pytest.mark.parametrize("kind", [MapKind.WORST, MapKind.ODDS])
def test_maps_of_the_panels_place_show_all_that_it_hears(demo: Job, kind: MapKind):
    picture = map_picture(demo, of_ground(kind), AS_OF)
    kinds = {m.what for m in picture.plan.marks}
    assert kinds == {"panel", "device"}  # the repeater hangs on another storey
    assert "Back door" not in {m.name for m in picture.plan.marks}  # wired
    assert f"{PANEL_THERE} {PANEL_NOW}" in picture.notes


def test_a_panel_on_another_storey_has_no_mark_to_speak_of(demo: Job):
    upper = a_map([[-3.0, 3.0]], MapKind.WORST, floor="upper")
    picture = map_picture(demo, upper, AS_OF)
    assert PANEL_THERE in picture.notes


def test_the_map_of_a_device_shows_no_other(demo: Job):
    about = MapOf.parse("device:yard_door")
    picture = map_picture(demo, of_ground(MapKind.DEVICE, what=about), AS_OF)
    assert [m.name for m in picture.listed] == ["Panel", "Dairy door to the yard"]


def test_the_map_of_a_network_shows_spots_and_no_device(demo: Job):
    level = of_ground(
        MapKind.NETWORK,
        what=MapOf.parse("network:001-01"),
        unit="dBm",
        spread_db=np.linspace(2.0, 9.04, 31 * 14).reshape(31, 14),
    )
    picture = map_picture(demo, level, AS_OF)
    assert {m.what for m in picture.plan.marks} == {"panel", "spot"}
    assert "Spread (standard deviation) of the level: 2.0 to 9.0 dB." in picture.notes
    assert NOT_READ in picture.notes
    assert not {NOT_PROOF, BURGLARS_MAP, PANEL_THERE} & set(picture.notes)


def test_the_legend_names_the_steps_and_the_line(demo: Job):
    odds = of_ground(MapKind.ODDS, unit="ratio", required=None)
    texts = [k.text for k in map_picture(demo, odds, AS_OF).plan.map_key]
    assert texts == [
        "below 25 in 100",
        "25 to 50 in 100",
        "50 to 80 in 100",
        "80 to 95 in 100",
        "95 in 100 or more",
    ]
    margins = [k.text for k in map_picture(demo, of_ground(MapKind.WORST), AS_OF).plan.map_key]
    assert margins[-1] == "requirement just met"


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ([[5.0, NAN]], "requirement met everywhere here"),
        ([[-5.0, NAN]], "requirement met nowhere here"),
        ([[NAN]], "over 20 dB"),
    ],
)
def test_where_there_is_no_line_the_legend_has_none(
    bare_job: Job, values: list[list[float]], said: str
):
    key = map_picture(bare_job, a_map(values), AS_OF).plan.map_key
    assert key[-1].text == said
    assert len(key[-1].sample.shapes) == (said == "over 20 dB")


@pytest.mark.parametrize(("value", "where"), [(5.0, "everywhere"), (-5.0, "nowhere")])
def test_nothing_is_said_of_places_left_blank(bare_job: Job, value: float, where: str):
    key = map_picture(bare_job, a_map([[value, NAN]], blank_cells=1), AS_OF).plan.map_key
    assert key[-1].text == f"requirement met {where} that is mapped"


def test_what_is_numbered_is_listed_and_the_rest_is_counted(demo: Job):
    many = with_names(demo, "Door", devices=300)
    picture = map_picture(many, of_ground(MapKind.WORST), AS_OF)
    assert len(picture.listed) == MOST_LISTED
    more = len(picture.plan.marks) - MOST_LISTED
    assert any(note.startswith(f"{more} more marks have no number here") for note in picture.notes)
    labels = [s for s in picture.plan.drawing.shapes if isinstance(s, Label) and s.backed]
    assert sorted(s.text for s in labels) == sorted(m.key for m in picture.listed)


def test_a_map_of_another_jobs_storey_is_refused(bare_job: Job):
    with pytest.raises(JobError, match="storey 'ground', which this job does not have"):
        map_picture(bare_job, of_ground(MapKind.WORST), AS_OF)


# ---- the picture ---------------------------------------------------------------------------------


def pixels_of(png: bytes) -> NDArray[np.uint8]:
    return np.array(Image.open(io.BytesIO(png)).convert("RGB"))


def assert_margins_are_white(png: bytes) -> None:
    """Nothing is cut off at the edge; a figure at an axis' end may reach into the margin."""
    pixels = pixels_of(png)
    margin = int(pixels.shape[1] * MARGIN_MM / WIDTH_MM / 2)
    for side in (pixels[:, :margin], pixels[:, -margin:], pixels[:margin], pixels[-margin:]):
        assert (side == 255).all()


@pytest.mark.parametrize("width_px", [400, 1600, 1777])
def test_the_picture_is_as_wide_as_asked_and_shows_every_step(bare_job: Job, width_px: int):
    steps = a_map([[-30.0, -3.0, 3.0, 13.0, 30.0]])
    png = map_picture_png(bare_job, steps, AS_OF, width_px=width_px)
    pixels = pixels_of(png)
    assert pixels.shape[1] == width_px
    colours = {tuple(c) for c in np.unique(pixels.reshape(-1, 3), axis=0).tolist()}
    assert {tint_rgb(step) for step in range(5)} <= colours
    assert_margins_are_white(png)


def test_the_same_map_gives_the_same_bytes(demo: Job):
    made = [map_picture_png(demo, of_ground(MapKind.WORST), AS_OF) for _ in range(2)]
    assert made[0] == made[1]
    later = datetime(2027, 1, 1, tzinfo=UTC)
    assert map_picture_png(demo, of_ground(MapKind.WORST), later) != made[0]


@pytest.mark.parametrize("width_px", [0, 399, 6001])
def test_a_width_out_of_range_is_refused(bare_job: Job, width_px: int):
    with pytest.raises(JobError, match=f"{width_px} px was given; allowed: 400 to 6000"):
        map_picture_png(bare_job, a_map([[1.0]]), AS_OF, width_px=width_px)


@pytest.mark.parametrize("name", ["W" * 200, ("A storey with a long name " * 10)[:200]])
def test_long_names_stay_on_the_picture(demo: Job, name: str):
    long = of_ground(MapKind.WORST, label=name, notes=(name,))
    assert_margins_are_white(map_picture_png(with_names(demo, name), long, AS_OF, width_px=800))


SLOPE = np.add.outer(np.linspace(-40.0, 0.0, 600), np.linspace(-5.0, 45.0, 1000))


@pytest.mark.parametrize(
    "hard",
    [
        a_map([[3.0]], cell_m=0.05),
        a_map(np.full((20, 20), NAN)),
        a_map(SLOPE, cell_m=0.1),
        a_map(SLOPE, cell_m=20.0, origin_m=(-9000.0, -9000.0)),
        a_map(SLOPE[:, :2], cell_m=0.5),
        a_map(SLOPE[:2], cell_m=0.5),
    ],
    ids=["one cell", "nothing", "many cells", "20 km", "narrow", "flat"],
)
def test_maps_of_any_size_fit(bare_job: Job, hard: FloorMap):
    assert_margins_are_white(map_picture_png(bare_job, hard, AS_OF, width_px=800))


def test_a_map_of_nothing_says_so(bare_job: Job):
    picture = map_picture(bare_job, a_map([[NAN, NAN]]), AS_OF)
    assert picture.notes[0] == "Nothing could be mapped on this storey."
