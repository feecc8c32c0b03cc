"""Generated buildings made of wings: a clinic and a school."""

import numpy as np

from pathproof.job import Floor
from pathproof.simulate._building_drawing import Drawing, Frame, Point, Sheet
from pathproof.simulate._building_wings import End, Fitting, RoomUse, Style, Wing, WingDrawer

_CLINIC = Style(
    outer="brick_block_cavity_wall",
    corridor="block_plastered_140",
    partitions=("stud_partition_125", "stud_partition_100", "block_plastered_100"),
    glazing=("double_glazing_4_16_4", "low_emissivity_glass"),
    slab="concrete_floor_150",
    uses=(
        RoomUse(2.8, 4.4, 0.6),
        RoomUse(5.0, 7.0, 0.15, Fitting.CUPBOARD),
        RoomUse(2.0, 2.6, 0.15, Fitting.STORE),
        RoomUse(3.0, 3.4, 0.1, Fitting.CUBICLES),
    ),
)
_SCHOOL = Style(
    outer="brick_block_cavity_wall",
    corridor="block_plastered_140",
    partitions=("block_plastered_100", "block_plastered_140", "stud_partition_125"),
    glazing=("double_glazing_4_16_4", "double_glazing_4_16_4", "low_emissivity_glass"),
    slab="concrete_floor_200_screed",
    uses=(
        RoomUse(6.4, 8.4, 0.24, Fitting.CUPBOARD),  # classrooms
        RoomUse(3.4, 5.0, 0.16),  # group rooms
        RoomUse(2.0, 2.6, 0.39, Fitting.STORE),
        RoomUse(3.0, 3.6, 0.21, Fitting.CUBICLES),
    ),
)
_FINGERS = 6
_FINGER_PITCH_M = 18.4
_FINGER = (6.0, 8.4, 14.4)
_LINK_M = 3.71


def clinic(rng: np.random.Generator) -> Drawing:
    """About 300 walls in two wings and two storeys, one wing at an odd angle."""
    drawing = Drawing(floors=_floors(2, 3.1))
    straight = Wing(
        frame=Frame(), length_m=46.0, across_m=(5.2, 7.4, 12.4), split=False, far_end=End.LINKED
    )
    turned = Wing(
        frame=Frame(origin_m=(52.13, 0.92), angle_deg=24.6),
        length_m=36.57,
        across_m=(5.2, 7.4, 12.4),
        lattice=False,
        near_end=End.LINKED,
        notched=True,
    )
    for floor in drawing.floors[:]:
        for wing in (straight, turned):
            WingDrawer(drawing, _CLINIC, wing, floor.id, rng).draw()
        at = turned.frame.at
        ends = ((46.0, 5.2), at((0.0, 5.2)), at((0.0, 7.4)), (46.0, 7.4))
        _link(drawing, _CLINIC, floor.id, ends)
    return drawing


def school(rng: np.random.Generator) -> Drawing:
    """About 5,000 walls in a spine with six fingers and three storeys, one finger turned."""
    drawing = Drawing(floors=_floors(3, 3.5))
    right, left, outer = _FINGER
    fingers = [_finger(k) for k in range(_FINGERS)]
    at = fingers[-1].frame.at
    near, far = at((0.0, left)), at((0.0, right))
    straight = [_FINGER_PITCH_M * k + outer for k in range(_FINGERS - 1)]
    spine = Wing(
        frame=Frame(),
        length_m=110.0,
        across_m=(7.0, 9.8, 9.8),
        joints=(*(x - v for x in straight for v in (0.0, *_FINGER)), near[0], far[0]),
        ways_out=(*(x - (right + left) / 2 for x in straight), (near[0] + far[0]) / 2),
    )
    for floor in drawing.floors[:]:
        for wing in (spine, *fingers):
            WingDrawer(drawing, _SCHOOL, wing, floor.id, rng).draw()
        _link(drawing, _SCHOOL, floor.id, ((near[0], 9.8), near, far, (far[0], 9.8)))
    return drawing


def _finger(number: int) -> Wing:
    """A wing that stands on the spine's corridor; the last one is turned and stands off it."""
    last = number == _FINGERS - 1
    x = _FINGER_PITCH_M * number + _FINGER[2]
    return Wing(
        frame=Frame(
            origin_m=(x + 1.37, 9.8 + _LINK_M) if last else (x, 9.8),
            angle_deg=85.7 if last else 90.0,
        ),
        length_m=74.0,
        across_m=_FINGER,
        lattice=number % 2 == 0 and not last,
        split=number != 1,
        near_end=End.LINKED if last else End.NONE,
        notched=number % 2 == 1,
    )


def _link(
    drawing: Drawing, style: Style, floor: str, ends: tuple[Point, Point, Point, Point]
) -> None:
    """A passage between two corridors whose walls meet it at four corners."""
    sheet = Sheet(drawing=drawing, floor=floor)
    first, second, third, fourth = ends
    sheet.run(second, first, style.outer)
    sheet.run(fourth, third, style.outer)
    if floor != drawing.floors[0].id:
        drawing.slab(floor, style.slab, sheet.frame.ring(*ends))


def _floors(count: int, height_m: float) -> list[Floor]:
    return [
        Floor(id=f"level_{k}", name=f"Level {k}", elevation_m=k * height_m, height_m=height_m)
        for k in range(count)
    ]
