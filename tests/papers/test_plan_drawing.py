"""The plan of a storey."""

import math

import numpy as np
import pymupdf
import pytest

from pathproof.assess.floor_map import FloorMap, MapKind, MapOf
from pathproof.job import (
    Construction,
    Floor,
    Job,
    LayerSpec,
    Opening,
    Panel,
    Site,
    Source,
    Wall,
    embed,
)
from pathproof.papers import DesignAssessment, build, render
from pathproof.papers.drawing import CHARACTER_MM, FONT_MM, HAIR_MM, INK, Label, Lines, Raster, Ring
from pathproof.papers.plan_drawing import PlanDrawing, draw_plan
from pathproof.papers.wall_lines import WallStyle, solid_pieces, style_of
from pathproof.terms import Evidence, Material, Word

from ._jobs import Judge

ROOM_MM = (180.0, 170.0)
SOURCE = Source(ref="test", evidence=Evidence.PRACTICE)


def construction(*materials: Material, guessed: bool = False) -> Construction:
    layers = [LayerSpec(material=m, thickness_m=0.1) for m in materials]
    if not layers:
        return Construction(name="unknown", fixed_loss_db=3.0, source=SOURCE)
    return Construction(name=", ".join(materials), layers=layers, source=SOURCE, guessed=guessed)


@pytest.mark.parametrize(
    ("materials", "style"),
    [
        ((Material.BRICK, Material.AIR, Material.PLASTERBOARD), WallStyle.MASONRY),
        ((Material.PLASTERBOARD, Material.AIR, Material.PLASTERBOARD), WallStyle.STUD),
        ((Material.WOOD,), WallStyle.TIMBER),
        ((Material.GLASS, Material.AIR, Material.GLASS), WallStyle.GLASS),
        ((Material.METAL, Material.CONCRETE), WallStyle.METAL),
        ((), WallStyle.UNKNOWN),
    ],
)
def test_a_wall_is_drawn_by_the_heaviest_thing_in_it(
    materials: tuple[Material, ...], style: WallStyle
):
    assert style_of(construction(*materials)) is style


def test_a_guessed_wall_is_drawn_as_not_known():
    assert style_of(construction(Material.BRICK, guessed=True)) is WallStyle.UNKNOWN


def wall(*openings: Opening) -> Wall:
    return Wall(
        id="w", floor="g", start=(0.0, 0.0), end=(10.0, 0.0), construction="brick",
        openings=list(openings),
    )  # fmt: skip


def opening(offset_m: float, sill_m: float, opening_id: str = "o") -> Opening:
    return Opening(id=opening_id, offset_m=offset_m, width_m=1.0, sill_m=sill_m, head_m=2.0)


def test_openings_are_gaps_of_their_own_width():
    pieces = solid_pieces(wall(opening(4.0, 0.0)), 1.0, lambda p: (p[0] * 10, -p[1] * 10))
    # 10 mm to the metre: ends reach on by half of 1 mm, the jambs stand where they are.
    assert [[p[0] for p in piece] for piece in pieces] == [
        pytest.approx([-0.5, 40.0]),
        pytest.approx([50.0, 100.5]),
    ]


def site_job(*openings: Opening) -> Job:
    site = Site(
        name="s",
        floors=[
            Floor(id="g", name="Ground", elevation_m=0.0, height_m=3.0),
            Floor(id="u", name="Upper", elevation_m=3.0, height_m=3.0),
        ],
        walls=[wall(*openings)],
        constructions={"brick": construction(Material.BRICK)},
        panel=Panel(part="lark_wren_panel", floor="g", at=(5.0, 5.0), height_m=1.7),
    )
    return embed(Job(site=site))


def drawn(job: Job, margins: FloorMap | None = None) -> PlanDrawing:
    plan = draw_plan(job, job.site.floors[0], {}, {}, margins, ROOM_MM)
    assert plan is not None
    return plan


def thin(plan: PlanDrawing) -> list[Lines]:
    """Hairlines of openings; the axes are finer, walls and bars heavier."""
    lines = [s for s in plan.drawing.shapes if isinstance(s, Lines) and s.ink == INK]
    return [s for s in lines if s.width_mm == 0.2]


def test_windows_doors_and_passages_are_told_apart():
    window, door, passage = (
        opening(6.0, 0.9, "window"),
        opening(2.0, 0.0, "door").model_copy(update={"construction": "brick"}),
        opening(4.0, 0.0, "passage"),
    )
    plan = drawn(site_job(window, door, passage))
    panes, leaf = thin(plan)
    assert (len(panes.lines), panes.dash) == (2, "solid")
    assert (len(leaf.lines), leaf.dash) == (1, "dashed")
    for (x0, _), (x1, _) in (*panes.lines, *leaf.lines):
        # 1 m wide, drawn to the micrometre
        assert x1 - x0 == pytest.approx(1000 / plan.scale, abs=0.002)
    said = [k.text.split()[0].rstrip(",") for k in plan.walls_key]
    assert said[-3:] == ["window", "door", "passage"]


def test_samples_of_the_legend_stay_in_their_boxes():
    plan = drawn(site_job(opening(6.0, 0.9)))
    for key in (*plan.walls_key, *plan.marks_key):
        for shape in key.sample.shapes:
            if isinstance(shape, Lines):
                assert all(0.0 <= x <= key.sample.width_mm for line in shape.lines for x, _ in line)


def test_the_scale_is_the_largest_that_fits():
    # 10 m wide in 180 mm less 20 mm for axes and room about the walls: 1:60 needs 167 mm, 1:70
    # 143 mm.
    assert drawn(site_job()).scale == 70


def test_a_place_can_be_read_off_the_axes():
    plan = drawn(site_job())
    labels = [s for s in plan.drawing.shapes if isinstance(s, Label)]
    lowest = max(s.at[1] for s in labels if s.text == "4")
    across = {s.text: s.at[0] for s in labels if s.at[1] == lowest and s.text != "panel"}
    metre_mm = across["5"] - across["4"]
    assert metre_mm == pytest.approx(1000 / plan.scale, abs=0.01)
    (panel,) = [s for s in plan.drawing.shapes if isinstance(s, Lines) and s.fill == INK]
    (corners,) = panel.lines
    middle = sum(x for x, _ in corners[:4]) / 4
    assert middle == pytest.approx(across["5"], abs=0.01)  # the panel is 5 m right of the origin
    assert plan.marks[0].place == "x 5.00, y 5.00 m, 1.7 m up"


def test_no_label_stands_on_the_axes(demo_paper: DesignAssessment):
    for plan in demo_paper.plans:
        ((box, *_),) = [
            s.lines for s in plan.drawing.shapes if isinstance(s, Lines) and s.width_mm == HAIR_MM
            and len(s.lines[0]) == 5
        ]  # fmt: skip
        (left, top), (right, bottom) = box[0], box[2]
        for label in plan.drawing.shapes:
            if isinstance(label, Label) and label.backed:
                half = len(label.text) * 1.55 / 2
                assert left <= label.at[0] - half <= label.at[0] + half <= right
                assert top <= label.at[1] - 1.6 <= label.at[1] + 1.6 <= bottom


def test_the_plan_takes_the_width_of_the_sheet():
    assert drawn(site_job()).drawing.width_mm == ROOM_MM[0]


def test_the_scale_bar_is_as_long_as_it_says():
    plan = drawn(site_job())
    labels = {s.text: s.at for s in plan.drawing.shapes if isinstance(s, Label)}
    said = next(text for text in labels if text.endswith(" m"))
    length_mm = labels[said][0] - labels["0"][0]
    assert length_mm == pytest.approx(float(said.removesuffix(" m")) * 1000 / plan.scale)


def test_a_storey_with_nothing_on_it_has_no_plan():
    job = site_job()
    assert draw_plan(job, job.site.floors[1], {}, {}, None, ROOM_MM) is None


def test_north_is_not_claimed():
    labels = [s.text for s in drawn(site_job()).drawing.shapes if isinstance(s, Label)]
    assert not any("N" in text.split() or "north" in text.lower() for text in labels)


def coverage(values: list[list[float]]) -> FloorMap:
    return FloorMap(
        what=MapOf(kind=MapKind.COVERAGE),
        floor="g",
        origin_m=(2.0, 1.0),
        cell_m=1.0,
        values=np.array(values),
        unit="dB",
        required=0.0,
        label="x",
        notes=("y",),
    )


def test_a_map_lies_under_the_walls_where_it_is_on_the_site():
    plan = drawn(site_job(), coverage([[5.0, 5.0, -3.0], [25.0, math.nan, -30.0]]))
    raster, contour, *walls = plan.drawing.shapes
    assert isinstance(raster, Raster)
    mm_per_m = 1000 / plan.scale
    assert (raster.width_mm, raster.height_mm) == pytest.approx((3 * mm_per_m, 2 * mm_per_m))
    (panel,) = [s for s in walls if isinstance(s, Lines) and s.fill == INK]
    (corners,) = panel.lines
    x, y = (sum(c[i] for c in corners[:4]) / 4 for i in (0, 1))
    # The panel hangs at (5, 5); the map's upper left corner is at (2, 3).
    assert raster.at == pytest.approx((x - 3 * mm_per_m, y + 2 * mm_per_m), abs=0.002)
    assert isinstance(contour, Lines)
    assert contour.ink == INK
    assert (plan.map_label, plan.map_notes) == ("x", ("y",))


def test_a_storey_with_nothing_but_a_map_is_drawn():
    job = site_job()
    far = coverage([[5.0]])
    plan = draw_plan(job, job.site.floors[1], {}, {}, far, ROOM_MM)
    assert plan is not None
    assert plan.marks == ()


def test_things_without_a_number_are_left_out(demo: Job):
    floor = next(f for f in demo.site.floors if f.id == "ground")
    plan = draw_plan(demo, floor, None, {"yard_door": "15"}, None, ROOM_MM)
    assert plan is not None
    assert [m.key for m in plan.marks] == ["panel", "15"]
    assert [k.text for k in plan.marks_key] == ["panel", "device"]  # no word where none is said


def test_the_demos_devices_are_all_on_its_plans(demo: Job, demo_paper: DesignAssessment):
    keys = [m.key for p in demo_paper.plans for m in p.marks if m.what.startswith("device")]
    assert sorted(keys, key=int) == [str(i) for i in range(1, len(demo.site.devices) + 1)]
    for plan in demo_paper.plans:
        labels = [s.text for s in plan.drawing.shapes if isinstance(s, Label)]
        assert {m.key for m in plan.marks} <= set(labels)


def test_labels_of_the_demo_do_not_cover_each_other(demo_paper: DesignAssessment):
    for plan in demo_paper.plans:
        labels = [s for s in plan.drawing.shapes if isinstance(s, Label) and s.backed]
        for i, a in enumerate(labels):
            for b in labels[i + 1 :]:
                wide = (len(a.text) + len(b.text)) * 1.55 / 2
                assert abs(a.at[0] - b.at[0]) >= wide or abs(a.at[1] - b.at[1]) >= 3.2


def test_a_lacking_device_is_marked_by_more_than_colour(demo_paper: DesignAssessment):
    marks = [m for p in demo_paper.plans for m in p.marks]
    assert [m.name for m in marks if m.word is Word.LACKING] == ["Cold store door"]
    ground = next(p for p in demo_paper.plans if p.floor == "ground")
    rings = [s for s in ground.drawing.shapes if isinstance(s, Ring)]
    assert len(rings) == len({r.at for r in rings}) + 1


def many_marks(job: Job, count: int) -> Job:
    """So many devices all over a room of 4 x 4 m, and the panel in the middle of them."""
    device = job.site.devices[0]
    side = math.ceil(math.sqrt(count))
    devices = [
        device.model_copy(
            update={
                "id": f"d{i}",
                "floor": "g",
                "at": (3.0 + 4.0 * (i % side) / side, 3.0 + 4.0 * (i // side) / side),
            }
        )
        for i in range(count)
    ]
    plain = site_job()
    site = plain.site.model_copy(update={"devices": devices})
    return plain.model_copy(update={"site": site})


def test_nothing_stands_on_the_panel_however_many_devices_there_are(demo: Job):
    job = many_marks(demo, 300)
    keys = {d.id: str(i) for i, d in enumerate(job.site.devices, start=1)}
    plan = draw_plan(job, job.site.floors[0], {}, keys, None, ROOM_MM)
    assert plan is not None
    shapes = list(plan.drawing.shapes)
    (square,) = [s for s in shapes if isinstance(s, Lines) and s.fill == INK]
    xs, ys = zip(*square.lines[0], strict=True)
    labels = [s for s in shapes if isinstance(s, Label) and s.backed]
    (own,) = [s for s in labels if s.text == "panel"]
    last = [s for s in shapes if isinstance(s, Ring) or s in labels]
    assert shapes.index(square) > max(shapes.index(s) for s in last if s is not own)
    assert shapes.index(own) > shapes.index(square)
    for label in labels:
        half = len(label.text) * CHARACTER_MM / 2
        beside = label.at[0] + half <= min(xs) or label.at[0] - half >= max(xs)
        above = label.at[1] + FONT_MM / 2 <= min(ys) or label.at[1] - FONT_MM / 2 >= max(ys)
        assert beside or above


@pytest.mark.parametrize(
    ("count", "blocks"),
    [(0, []), (1, [(1, 0)]), (17, [(9, 8)]), (45, [(10, 10), (10, 10), (3, 2)])],
)
def test_the_list_fills_both_columns(demo: Job, count: int, blocks: list[tuple[int, int]]):
    """The panel is one of the marks, so there is a device less."""
    job = many_marks(demo, max(count - 1, 0))
    if count == 0:
        job = job.model_copy(update={"site": job.site.model_copy(update={"panel": None})})
    keys = {d.id: str(i) for i, d in enumerate(job.site.devices, start=1)}
    plan = draw_plan(job, job.site.floors[0], {}, keys, None, ROOM_MM)
    assert plan is not None
    assert [(len(b.left), len(b.right)) for b in plan.listed] == blocks
    assert [m for b in plan.listed for m in (*b.left, *b.right)] == list(plan.marks)


def test_a_storey_with_nothing_on_it_is_named_on_the_paper(demo: Job, judge: Judge):
    attic = Floor(id="attic", name="Attic", elevation_m=9.0, height_m=2.5)
    site = demo.site.model_copy(update={"floors": [*demo.site.floors, attic]})
    job = embed(demo.model_copy(update={"site": site}))
    paper = build(job, judge(job), for_customer=False)
    assert paper.no_plan.startswith("Not drawn, as nothing is known to be there: Attic.")
    assert "pathproof import" in paper.no_plan
    text = "".join(p.get_text() for p in pymupdf.open(stream=render(paper), filetype="pdf"))
    assert "nothing is known to be there: Attic." in " ".join(text.split())
    assert build(job, judge(job), for_customer=True).no_plan == ""
    assert build(demo, judge(demo), for_customer=False).no_plan == ""
