"""A generated warehouse: a hall of steel panels with racks, docks, and offices in two storeys."""

from itertools import pairwise

import numpy as np

from pathproof.job import Floor
from pathproof.simulate._building_drawing import Drawing, Frame, Sheet, door, window

_L, _D, _HIGH = 84.0, 48.0, 9.0
"""Length, depth and height of the hall. [m]"""
_OFFICE = (16.0, 9.6)
"""Length and depth of the offices, in the hall's corner at the origin. [m]"""
_OFFICE_HEIGHT_M = 3.2
_PANEL, _BLOCK, _STUD = "steel_sandwich_panel", "block_plastered_140", "stud_partition_125"
_RACK_M = 27.0


def warehouse(rng: np.random.Generator) -> Drawing:
    """A hall with rows of racks of several heights, about 80 walls in all."""
    drawing = Drawing(
        floors=[
            Floor(id="ground", name="Hall and offices", elevation_m=0.0, height_m=_HIGH),
            Floor(id="upper", name="Upper offices", elevation_m=_OFFICE_HEIGHT_M, height_m=2.8),
        ]
    )
    ground = Sheet(drawing=drawing, floor="ground")
    _hall(ground)
    _racks(ground, rng)
    for floor in ("ground", "upper"):
        _offices(Sheet(drawing=drawing, floor=floor), rng)
    at, (w, d) = Frame().ring, _OFFICE
    notched = at((0.0, 0.0), (0.0, d), (w, d), (w, 2.8), (w - 2.6, 2.8), (w - 2.6, 0.0))
    drawing.slab("upper", "concrete_floor_150", notched)
    return drawing


def _hall(sheet: Sheet) -> None:
    """Outer walls between columns 6 m apart, docks to the south, a slanting wall to the east."""
    columns = np.arange(6.0, _L, 6.0).tolist()
    sheet.run((0.0, 0.0), (0.0, _D), _PANEL, [door(40.0, 1.0, "steel_door")], cuts_m=[_OFFICE[1]])
    sheet.run((0.0, _D), (_L, _D), _PANEL, cuts_m=columns)
    sheet.run(
        (_L, _D), (_L + 6.35, 0.0), _PANEL, [door(20.0, 5.0, "roller_door_steel", 5.0)]
    )  # the boundary of the plot is not square to the street
    docks = [door(u, 3.4, "roller_door_steel", 4.2) for u in (8.0, 16.0, 24.0, 32.0, 40.0, 48.0)]
    glazed = [window(u, 2.0) for u in (77.0, 82.0)]
    sheet.run(
        (_L + 6.35, 0.0), (0.0, 0.0), _PANEL,
        [*docks, door(56.0, 1.0, "steel_door"), *glazed], cuts_m=[_L + 6.35 - _OFFICE[0]],
    )  # fmt: skip
    sheet.room((20.0, 2.0), (_L - 2.0, 11.0))
    sheet.room((1.0, 38.5), (_L - 2.0, _D - 1.0))


def _racks(sheet: Sheet, rng: np.random.Generator) -> None:
    """Rows of racks with goods: metal from just above the floor, neither wall nor ceiling."""
    for row in range(9):
        y = 13.0 + 3.0 * row
        for x in (6.0, 45.0):
            start = round(x + rng.uniform(0.0, 0.5), 3)
            top_m = float(rng.choice([4.5, 6.0, 7.5]))
            sheet.run((start, y), (start + _RACK_M, y), "profiled_steel_sheet",
                      cuts_m=[_RACK_M / 3, 2 * _RACK_M / 3], heights_m=(0.1, top_m))  # fmt: skip
        if row:
            sheet.room((6.0, y - 2.5), (45.0 + _RACK_M, y - 0.5))


def _offices(sheet: Sheet, rng: np.random.Generator) -> None:
    """A corridor with offices to the outside and plant rooms to the hall."""
    w, d = _OFFICE
    top = (None, _OFFICE_HEIGHT_M) if sheet.floor == "ground" else (None, None)
    ends = [0.0, *(round(5.4 * k + rng.uniform(-0.4, 0.4), 3) for k in (1, 2)), w]
    sheet.run((0.0, d), (w, d), _BLOCK, [window(u, 1.6) for u in (3.0, 8.0, 13.0)],
              cuts_m=ends, heights_m=top)  # fmt: skip
    sheet.run((w, d), (w, 0.0), _BLOCK, [door(4.4, 1.2, "steel_door")], heights_m=top)
    if sheet.floor == "upper":  # a lining inside the hall's own walls
        sheet.run((w, 0.1), (0.1, 0.1), _STUD)
        sheet.run((0.1, 0.1), (0.1, d), _STUD)
    for v, doors in ((4.2, (2.6, 7.6, 12.2)), (6.0, (3.0, 8.4, 13.2))):
        sheet.run((0.0, v), (w, v), _STUD, [door(u) for u in doors], heights_m=top)
    for u in ends[1:-1]:
        sheet.run((u, 0.0), (u, 4.2), _STUD, heights_m=top)
        sheet.run((u, 6.0), (u, d), _STUD, heights_m=top)
    for u0, u1 in pairwise(ends):
        sheet.room((u0, 0.0), (u1, 4.2))
        sheet.room((u0, 6.0), (u1, d))
