"""The building of the demo: a dairy with a vaulted cellar, and a cold store across the yard.

    cellar   ripening cellar, brine room, foot of the stairs; stone walls, brick vault above
    ground   shop, tasting room, hall, panel room, boiler room, dairy;
             14 m across the yard the packing room with a cold room of steel panels in it
    upper    office, staff room, landing, loft store

The house stands on (0, 0) to (14, 10), the outbuilding on (3, 24) to (13, 31). Outer walls run
clockwise, so that their outside lies to the left.
"""

from pathproof.job import Floor, Opening, Slab, Wall

Point = tuple[float, float]

CELLAR, GROUND, UPPER = "cellar", "ground", "upper"

_HOUSE: list[Point] = [(0.0, 0.0), (0.0, 10.0), (14.0, 10.0), (14.0, 0.0)]
_CELLAR: list[Point] = [(0.0, 0.0), (0.0, 10.0), (8.0, 10.0), (8.0, 0.0)]
_OUTBUILDING: list[Point] = [(3.0, 24.0), (3.0, 31.0), (13.0, 31.0), (13.0, 24.0)]
_EAVES_M = 2.8
_COLD_ROOM: list[Point] = [(9.0, 24.5), (9.0, 30.5), (12.5, 30.5), (12.5, 24.5)]
_COLD_ROOM_TOP_M = 2.5
_STAIR_WELL: list[Point] = [(0.3, 6.0), (0.3, 9.0), (1.3, 9.0), (1.3, 6.0)]


def floors() -> list[Floor]:
    """The storeys, with the slab that lies under each."""
    over_cellar = Slab(
        id="slab_ground",
        construction="brick_vault_floor",
        elevation_m=-0.2,
        outline=_CELLAR,
        holes=[_STAIR_WELL],
    )
    over_ground = Slab(
        id="slab_upper",
        construction="timber_floor_boards",
        elevation_m=3.1,
        outline=_HOUSE,
        holes=[_STAIR_WELL],
    )
    cold_room_lid = Slab(
        id="slab_cold_room",
        construction="steel_sandwich_panel",
        elevation_m=_COLD_ROOM_TOP_M,
        outline=_COLD_ROOM,
    )
    outbuilding_roof = Slab(
        id="slab_outbuilding_roof",
        construction="tiled_roof",
        elevation_m=_EAVES_M,
        outline=_OUTBUILDING,
    )
    return [
        Floor(id=CELLAR, name="Cellar", elevation_m=-2.8, height_m=2.8),
        Floor(id=GROUND, name="Ground floor", elevation_m=0.0, height_m=3.2, slabs=[over_cellar]),
        Floor(
            id=UPPER,
            name="Upper floor",
            elevation_m=3.2,
            height_m=2.8,
            slabs=[over_ground, cold_room_lid, outbuilding_roof],
        ),
    ]


def walls() -> list[Wall]:
    """All walls, storey by storey."""
    return [*_cellar(), *_ground(), *_upper(), *_outbuilding(), *_cold_room()]


def _cellar() -> list[Wall]:
    stone, brick = "stone_wall_450", "brick_solid_225"
    return [
        _wall("c_west", CELLAR, (0.0, 0.0), (0.0, 10.0), stone),
        _wall("c_north", CELLAR, (0.0, 10.0), (8.0, 10.0), stone),
        _wall("c_east", CELLAR, (8.0, 10.0), (8.0, 0.0), stone),
        _wall(
            "c_south", CELLAR, (8.0, 0.0), (0.0, 0.0), stone,
            _window("c_air_shaft", 4.6, 0.6, 1.9, 2.3, None),
        ),
        _wall(
            "c_cross", CELLAR, (0.0, 5.0), (8.0, 5.0), brick,
            _door("c_ripening_door", 1.6, 1.0, "timber_door"),
        ),
        _wall(
            "c_stair", CELLAR, (3.5, 5.0), (3.5, 10.0), brick,
            _door("c_brine_door", 1.0, 0.9, "timber_door"),
        ),
    ]  # fmt: skip


def _ground() -> list[Wall]:
    outer, brick, block = "brick_solid_365", "brick_plastered_145", "block_plastered_100"
    glass, shop_glass = "double_glazing_4_16_4", "shop_window_10"
    return [
        _wall(
            "g_west", GROUND, (0.0, 0.0), (0.0, 10.0), outer,
            _window("g_shop_side_window", 1.5, 1.5, 0.9, 2.3, glass),
            _window("g_hall_window", 6.8, 0.8, 1.2, 2.2, glass),
        ),
        _wall(
            "g_north", GROUND, (0.0, 10.0), (14.0, 10.0), outer,
            _door("g_back_door", 1.8, 1.0, "timber_door"),
            _window("g_boiler_window", 4.4, 0.6, 1.6, 2.2, glass),
            _door("g_yard_door", 8.6, 1.6, "steel_door", 2.3),
            _window("g_dairy_window", 11.4, 1.6, 1.2, 2.4, glass),
        ),
        _wall(
            "g_east", GROUND, (14.0, 10.0), (14.0, 0.0), outer,
            _window("g_dairy_side_window", 1.5, 1.5, 1.2, 2.4, glass),
            _window("g_tasting_side_window", 6.5, 2.0, 0.9, 2.3, glass),
        ),
        _wall(
            "g_south", GROUND, (14.0, 0.0), (0.0, 0.0), outer,
            _window("g_tasting_window", 1.5, 2.4, 0.5, 2.4, shop_glass),
            _window("g_shop_window", 6.8, 3.0, 0.5, 2.4, shop_glass),
            _door("g_shop_door", 11.4, 1.1, "glazed_door", 2.2),
        ),
        _wall(
            "g_cross", GROUND, (0.0, 5.0), (14.0, 5.0), brick,
            _door("g_hall_door", 2.2, 0.9, "timber_door_hollow"),
            _door("g_dairy_door", 10.0, 1.0, "timber_door"),
        ),
        _wall(
            "g_tasting", GROUND, (8.0, 0.0), (8.0, 5.0), "stud_partition_125",
            _door("g_tasting_passage", 1.6, 1.8, None, 2.3),
        ),
        _wall(
            "g_hall", GROUND, (3.5, 5.0), (3.5, 10.0), block,
            _door("g_panel_room_door", 0.8, 0.9, "timber_door_hollow"),
            _door("g_boiler_door", 3.4, 0.9, "timber_door"),
        ),
        _wall("g_boiler", GROUND, (3.5, 7.5), (6.0, 7.5), block),
        _wall("g_dairy", GROUND, (6.0, 5.0), (6.0, 10.0), brick),
    ]  # fmt: skip


def _upper() -> list[Wall]:
    outer, light, glass = "brick_solid_365", "stud_partition_100", "double_glazing_4_16_4"
    return [
        _wall(
            "u_west", UPPER, (0.0, 0.0), (0.0, 10.0), outer,
            _window("u_office_window", 1.8, 1.4, 0.9, 2.1, glass),
            _window("u_landing_window", 6.8, 1.0, 0.9, 2.1, glass),
        ),
        _wall(
            "u_north", UPPER, (0.0, 10.0), (14.0, 10.0), outer,
            _window("u_loft_window", 5.0, 1.2, 0.9, 2.1, glass),
            _window("u_loft_window_2", 10.0, 1.2, 0.9, 2.1, glass),
        ),
        _wall(
            "u_east", UPPER, (14.0, 10.0), (14.0, 0.0), outer,
            _window("u_staff_side_window", 6.8, 1.4, 0.9, 2.1, glass),
        ),
        _wall(
            "u_south", UPPER, (14.0, 0.0), (0.0, 0.0), outer,
            _window("u_staff_window", 2.6, 1.4, 0.9, 2.1, glass),
            _window("u_office_window_2", 10.2, 1.4, 0.9, 2.1, glass),
        ),
        _wall(
            "u_cross", UPPER, (0.0, 5.0), (14.0, 5.0), "stud_partition_125",
            _door("u_office_door", 2.2, 0.9, "timber_door_hollow"),
            _door("u_staff_door", 7.0, 0.9, "timber_door_hollow"),
        ),
        _wall("u_office", UPPER, (6.0, 0.0), (6.0, 5.0), light),
        _wall(
            "u_landing", UPPER, (3.5, 5.0), (3.5, 10.0), light,
            _door("u_loft_door", 0.8, 0.9, "timber_door_hollow"),
        ),
    ]  # fmt: skip


def _outbuilding() -> list[Wall]:
    brick = "brick_solid_225"
    return [
        _wall(
            "o_west", GROUND, (3.0, 24.0), (3.0, 31.0), brick,
            _window("o_window", 2.8, 1.4, 1.2, 2.1, "single_glass_4"), top_m=_EAVES_M,
        ),
        _wall("o_north", GROUND, (3.0, 31.0), (13.0, 31.0), brick, top_m=_EAVES_M),
        _wall("o_east", GROUND, (13.0, 31.0), (13.0, 24.0), brick, top_m=_EAVES_M),
        _wall(
            "o_south", GROUND, (13.0, 24.0), (3.0, 24.0), brick,
            _door("o_shutter", 5.4, 2.6, "roller_door_steel", 2.4),
            _door("o_side_door", 8.5, 0.9, "timber_door"), top_m=_EAVES_M,
        ),
    ]  # fmt: skip


def _cold_room() -> list[Wall]:
    panel, top_m = "steel_sandwich_panel", _COLD_ROOM_TOP_M
    return [
        _wall(
            "k_west", GROUND, (9.0, 24.5), (9.0, 30.5), panel,
            _door("k_door", 2.4, 1.2, "steel_door", 2.2), top_m=top_m,
        ),
        _wall("k_north", GROUND, (9.0, 30.5), (12.5, 30.5), panel, top_m=top_m),
        _wall("k_east", GROUND, (12.5, 30.5), (12.5, 24.5), panel, top_m=top_m),
        _wall("k_south", GROUND, (12.5, 24.5), (9.0, 24.5), panel, top_m=top_m),
    ]  # fmt: skip


def _wall(
    wall_id: str,
    floor: str,
    start: Point,
    end: Point,
    construction: str,
    *openings: Opening,
    top_m: float | None = None,
) -> Wall:
    return Wall(
        id=wall_id,
        floor=floor,
        start=start,
        end=end,
        construction=construction,
        top_m=top_m,
        openings=list(openings),
    )


def _door(
    opening_id: str, offset_m: float, width_m: float, construction: str | None, head_m: float = 2.1
) -> Opening:
    return _window(opening_id, offset_m, width_m, 0.0, head_m, construction)


def _window(
    opening_id: str,
    offset_m: float,
    width_m: float,
    sill_m: float,
    head_m: float,
    construction: str | None,
) -> Opening:
    return Opening(
        id=opening_id,
        offset_m=offset_m,
        width_m=width_m,
        sill_m=sill_m,
        head_m=head_m,
        construction=construction,
    )
