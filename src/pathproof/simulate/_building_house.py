"""A generated house: two storeys, a bay window, a spine wall, cupboards and low walls."""

import numpy as np

from pathproof.job import Floor
from pathproof.simulate._building_drawing import Drawing, Frame, Sheet, door, window

_OUTER, _BRICK, _STUD = "brick_block_cavity_wall", "brick_plastered_145", "stud_partition_100"
_W, _D = 10.4, 8.2
"""Width and depth. [m]"""
_STAIRS = [(4.3, 0.4), (5.1, 0.4), (5.1, 3.0), (4.3, 3.0)]


def house(rng: np.random.Generator) -> Drawing:
    """About 40 walls; where inner walls stand differs from seed to seed."""
    drawing = Drawing(
        floors=[
            Floor(id="ground", name="Ground floor", elevation_m=0.0, height_m=2.7),
            Floor(id="upper", name="Upper floor", elevation_m=2.7, height_m=2.5),
        ]
    )
    spine = round(rng.uniform(4.0, 4.4), 3)
    _ground(Sheet(drawing=drawing, floor="ground"), spine, rng)
    _upper(Sheet(drawing=drawing, floor="upper"), spine, rng)
    outline = [(0.0, 0.0), (0.0, _D), (_W, _D), (_W, 0.0)]
    drawing.slab("upper", "timber_floor_chipboard", outline, Frame().ring(*_STAIRS))
    return drawing


def _ground(sheet: Sheet, spine: float, rng: np.random.Generator) -> None:
    """Living room with a bay, hall with stairs, kitchen, dining room, utility room and WC."""
    kitchen, utility = round(rng.uniform(3.3, 3.9), 3), round(rng.uniform(7.2, 7.8), 3)
    wc, run = round(rng.uniform(6.0, 6.4), 3), sheet.run
    run((0.0, 0.0), (0.0, _D), _OUTER, [window(6.2)])
    run(
        (0.0, _D), (_W, _D), _OUTER,
        [window(1.7), window(5.6, 2.0, sill_m=0.0), door(9.0, 0.9, "glazed_door")],
        cuts_m=[kitchen, utility],
    )  # fmt: skip
    run((_W, _D), (_W, 0.0), _OUTER, [window(1.2, 0.6, sill_m=1.5), window(6.0)])
    for start, end in (
        ((_W, 0.0), (9.4, 0.0)),
        ((6.6, 0.0), (5.4, 0.0)),
    ):
        run(start, end, _OUTER)
    for start, end, width in (
        ((9.4, 0.0), (8.8, -0.8), 0.6),
        ((8.8, -0.8), (7.2, -0.8), 1.3),
        ((7.2, -0.8), (6.6, 0.0), 0.6),
    ):  # the bay
        middle = ((start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2) ** 0.5 / 2
        run(start, end, _OUTER, [window(middle, width, "low_emissivity_glass", 0.6)])
    run((5.4, 0.0), (0.0, 0.0), _OUTER, [door(0.7, 1.0, "timber_door"), window(3.4, 1.8)])
    run(
        (0.0, spine), (_W, spine), _BRICK,
        [door(2.4), door(4.7, 0.9, "glazed_door"), door(8.6)],
        cuts_m=[kitchen, 5.4, utility],
    )  # fmt: skip
    run((4.0, 0.0), (4.0, spine), _STUD, [door(3.2)])
    run((5.4, 0.0), (5.4, spine), _BRICK, [door(3.2)])
    run((kitchen, spine), (kitchen, _D), _STUD, [door(2.0, 1.6, None)])
    run((utility, spine), (utility, _D), "block_plastered_100", [door(0.7)])
    run((utility, wc), (_W, wc), _STUD, [door(0.8, 0.7)])
    run((4.0, 2.2), (5.0, 2.2), "timber_partition", heights_m=(None, 1.6))  # under the stairs
    run((5.0, 2.2), (5.0, 0.6), "timber_partition", [door(0.5, 0.6, head_m=1.5)],
        heights_m=(None, 1.6))  # fmt: skip
    run((0.9, 6.1), (2.6, 6.1), "timber_partition", heights_m=(None, 1.1))  # kitchen counter
    sheet.room((0.0, 0.0), (4.0, spine))
    sheet.room((5.4, 0.0), (_W, spine))
    sheet.room((0.0, spine), (kitchen, 6.1))
    sheet.room((kitchen, spine), (utility, _D))
    sheet.room((utility, spine), (_W, wc))
    sheet.room((utility, wc), (_W, _D))


def _upper(sheet: Sheet, spine: float, rng: np.random.Generator) -> None:
    """Three bedrooms, landing, bath, and a cupboard with a slanting wall."""
    bath, middle = round(rng.uniform(7.0, 7.6), 3), round(rng.uniform(5.6, 6.2), 3)
    closet, run = round(rng.uniform(0.6, 0.8), 3), sheet.run
    run((0.0, 0.0), (0.0, _D), _OUTER, [window(6.2)], cuts_m=[spine])
    run((0.0, _D), (_W, _D), _OUTER, [window(1.9), window(9.0, 0.8, sill_m=1.3)], cuts_m=[bath])
    run((_W, _D), (_W, 0.0), _OUTER, [window(6.3)])
    run((_W, 0.0), (0.0, 0.0), _OUTER, [window(2.6, 1.8), window(8.2)], cuts_m=[_W - middle])
    run(
        (0.0, spine), (_W, spine), _STUD, [door(3.3), door(5.0), door(8.3)],
        cuts_m=[4.0, middle, bath],
    )  # fmt: skip
    run((4.0, 0.0), (4.0, spine), _STUD, [door(spine - 0.6)])
    run((middle, 0.0), (middle, spine), _STUD, [door(spine - 0.6)])
    run((bath, spine), (bath, _D), "block_plastered_100", [door(0.8, 0.8)])
    run((4.2, spine), (4.2, _D), _STUD)
    run((bath, 6.4), (_W, 6.4), _STUD, [door(0.8, 0.8)])
    run((0.0, closet), (1.3, 0.0), "timber_partition", [door(0.7, 0.7, head_m=1.9)])
    run((_W - 0.7, 0.0), (_W - 0.7, spine), "timber_partition", [door(2.0, 1.6, None)])
    run((8.0, 4.9), (9.4, 4.9), "timber_partition", heights_m=(None, 1.2))  # beside the bath tub
    sheet.room((0.0, closet), (4.0, spine))
    sheet.room((middle, 0.0), (_W - 0.7, spine))
    sheet.room((0.0, spine), (4.2, _D))
    sheet.room((4.2, spine), (bath, _D))
    sheet.room((bath, 6.4), (_W, _D))
