"""The picture under a storey's walls: where it lands, how faint it is, and what if it is gone."""

import io
from typing import Any

import numpy as np
import pymupdf
import pytest
from PIL import Image, ImageDraw

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.job import Floor, Job, Site, Underlay, Wall, embed
from pathproof.papers import build, render
from pathproof.papers.drawing import Raster
from pathproof.papers.map_picture import map_picture
from pathproof.papers.plan_drawing import PlanDrawing, draw_plan
from pathproof.papers.plan_frame import Frame
from pathproof.papers.underlay_drawing import draw_underlay
from pathproof.terms import UnderlayKind

from ._jobs import AS_OF, Judge

ROOM_MM = (180.0, 178.0)
WALL = "brick_solid_225"


def png_of(image: Image.Image) -> bytes:
    stream = io.BytesIO()
    image.save(stream, "PNG")
    return stream.getvalue()


@pytest.fixture
def sheet() -> bytes:
    """Paper of 1000 x 600 px, not quite white, with a black square from 200, 300 to 300, 400."""
    image = Image.new("L", (1000, 600), 230)
    ImageDraw.Draw(image).rectangle((200, 300, 299, 399), fill=0)
    return png_of(image)


def job_with(*, walls: bool = True, rotation_deg: float = 0.0, **fields: Any) -> Job:
    """A storey of 20 x 12 m under that sheet, whose corner is at -2, -1: the square is 2 m wide."""
    under = Underlay(
        sha256="0" * 64,
        kind=UnderlayKind.PICTURE,
        width_px=fields.get("width_px", 1000),
        height_px=600,
        m_per_px=0.02,
        origin=(-2.0, -1.0),
        rotation_deg=rotation_deg,
    )
    site = Site(
        name="Barn",
        floors=[Floor(id="g", name="Barn", elevation_m=0.0, height_m=3.0, underlay=under)],
        walls=[Wall(id="w", floor="g", start=(0, 0), end=(10, 8), construction=WALL)]
        if walls
        else [],
    )
    return embed(Job(site=site))


def plan_of(job: Job, png: bytes | None) -> PlanDrawing:
    plan = draw_plan(job, job.site.floors[0], {}, {}, None, ROOM_MM, underlay_png=png)
    assert plan is not None
    return plan


def raster_of(plan: PlanDrawing) -> Raster:
    (raster,) = (s for s in plan.drawing.shapes if isinstance(s, Raster))
    return raster


def opacity_of(raster: Raster) -> Any:
    """Share of ink by row and column."""
    with Image.open(io.BytesIO(raster.png)) as image:
        return np.asarray(image.getchannel("A")) / 255


# By hand: the square's corners on the site are at x 2 and 4, y 3 and 5 (0.02 m a pixel, row 600 at
# y -1); turned by 90 degrees about -2, -1 they are at x -8 and -6, y 3 and 5.
@pytest.mark.parametrize(("rotation_deg", "left_m", "top_m"), [(0.0, 2.0, 5.0), (90.0, -8.0, 5.0)])
def test_it_lies_where_it_is_on_the_site(
    sheet: bytes, rotation_deg: float, left_m: float, top_m: float
) -> None:
    plan = plan_of(job_with(walls=False, rotation_deg=rotation_deg), sheet)
    raster = raster_of(plan)
    ink = opacity_of(raster) > 0.1
    rows, columns = np.argwhere(ink).T
    mm_per_px = raster.width_mm / ink.shape[1]
    mm_per_m = 1000 / plan.scale
    (label,) = (
        s for s in plan.drawing.shapes if getattr(s, "text", "") == "0" and s.anchor == "center"
    )
    (below,) = (
        s for s in plan.drawing.shapes if getattr(s, "text", "") == "0" and s.at[1] > label.at[1]
        and s.anchor == "top" and s.at[0] != raster.at[0]
    )  # fmt: skip
    zero_x, zero_y = below.at[0], label.at[1]  # figures of the axes stand at the site's zero
    assert raster.at[0] + columns.min() * mm_per_px == pytest.approx(
        zero_x + left_m * mm_per_m, abs=0.2
    )
    assert raster.at[1] + rows.min() * mm_per_px == pytest.approx(
        zero_y - top_m * mm_per_m, abs=0.2
    )
    assert np.ptp(columns) * mm_per_px == pytest.approx(2.0 * mm_per_m, abs=0.3)


def test_paper_is_transparent_and_ink_is_faint(sheet: bytes) -> None:
    opacity = opacity_of(raster_of(plan_of(job_with(), sheet)))
    assert np.median(opacity) == 0.0
    assert 0.2 < opacity.max() < 0.5


@pytest.mark.parametrize(
    ("paper", "ink"),
    [
        ((240, 236, 220), (20, 20, 20)),
        ((200, 195, 180), (20, 20, 20)),
        ((20, 40, 90), (240, 240, 240)),  # a blueprint
    ],
)
@pytest.mark.parametrize("frame_m", [(10.0, 6.0), (30.0, 20.0)])
def test_lines_alone_are_drawn_whatever_the_paper_and_however_small(
    paper: tuple[int, int, int], ink: tuple[int, int, int], frame_m: tuple[float, float]
) -> None:
    """A sheet of 10 x 6 m, whose black square of 1 m is by area all that is to be seen."""
    image = Image.new("RGB", (1000, 600), paper)
    ImageDraw.Draw(image).rectangle((200, 300, 299, 399), fill=ink)
    png = png_of(image.convert("L"))
    under = job_with().site.floors[0].underlay
    assert under is not None
    under = under.model_copy(update={"m_per_px": 0.01, "origin": (0.0, 0.0)})
    frame = Frame([(0.0, 0.0), frame_m], ROOM_MM)
    raster = draw_underlay(under, png, frame)
    opacity = opacity_of(raster)
    mm2_per_px = raster.width_mm * raster.height_mm / opacity.size
    assert (opacity > 0.1).sum() * mm2_per_px == pytest.approx(frame.mm_per_m**2, rel=0.05)
    assert 0.25 < opacity.max() < 0.5
    assert np.median(opacity) == 0.0
    assert (opacity > 0.0).mean() < 0.1


def test_it_never_reaches_past_the_axes_and_lies_under_the_walls(sheet: bytes) -> None:
    plan = plan_of(job_with(), sheet)
    raster = raster_of(plan)
    assert raster.at[0] + raster.width_mm <= plan.drawing.width_mm
    assert raster.at[1] + raster.height_mm <= plan.drawing.height_mm
    assert plan.drawing.shapes[0] is raster
    assert plan.underlay_label.startswith("Drawn faintly: the picture of this storey")


def test_a_storey_that_is_only_a_picture_is_drawn_whole(sheet: bytes) -> None:
    """20 x 12 m fit a sheet of 180 mm at 1 : 125 (160 mm), with the room for the axes."""
    plan = plan_of(job_with(walls=False), sheet)
    assert plan.scale == 125
    assert plan.marks == ()


def test_a_map_picture_shows_it_under_the_walls(sheet: bytes) -> None:
    job = job_with()
    found = FloorMap(
        what=MapOf(kind=MapKind.COVERAGE),
        floor="g",
        origin_m=(0.0, 0.0),
        cell_m=1.0,
        values=np.full((8, 10), 5.0),
        unit="dB",
        required=0.0,
        label="Margin",
    )
    picture = map_picture(job, found, AS_OF, underlay_png=sheet)
    cells, under = (s for s in picture.plan.drawing.shapes if isinstance(s, Raster))
    assert picture.plan.drawing.shapes[:2] == (cells, under)
    assert opacity_of(under).max() > 0.25
    assert picture.plan.underlay_label in picture.notes
    assert any("is missing" in note for note in map_picture(job, found, AS_OF).notes)


@pytest.mark.parametrize("png", [None, b"", b"no PNG", b"\x89PNG\r\n\x1a\n"])
def test_a_picture_that_is_gone_or_damaged_is_said(png: bytes | None) -> None:
    plan = plan_of(job_with(), png)
    assert "is missing beside the job file" in plan.underlay_label
    assert not [s for s in plan.drawing.shapes if isinstance(s, Raster)]


def test_a_picture_of_another_size_is_not_drawn(sheet: bytes) -> None:
    assert "is missing" in plan_of(job_with(width_px=900), sheet).underlay_label


def test_a_storey_without_one_says_nothing(demo: Job) -> None:
    plan = draw_plan(demo, demo.site.floors[0], {}, {}, None, ROOM_MM)
    assert plan is not None
    assert plan.underlay_label == ""


def test_the_paper_shows_it_and_the_customers_does_not(sheet: bytes, judge: Judge) -> None:
    job = job_with()
    answer = judge(job)
    underlays = {"g": sheet}
    paper = render(build(job, answer, for_customer=False, underlays=underlays))
    assert paper == render(build(job, answer, for_customer=False, underlays=underlays))
    assert pictures(paper) == 1
    assert pictures(render(build(job, answer, for_customer=True, underlays=underlays))) == 0
    without = render(build(job, answer, for_customer=False))
    text = " ".join(page.get_text() for page in pymupdf.open(stream=without, filetype="pdf"))
    assert "missing beside the job file" in " ".join(text.split())
    assert pictures(without) == 0


def pictures(pdf: bytes) -> int:
    return sum(len(page.get_images()) for page in pymupdf.open(stream=pdf, filetype="pdf"))
