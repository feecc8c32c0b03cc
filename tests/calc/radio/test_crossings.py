"""Which walls, openings and floors a ray crosses: behaviour, edges of range, bad input."""

import math
from typing import Any

import numpy as np
import pytest

from pathproof.calc.radio.crossings import (
    OPENING,
    SLAB,
    WALL,
    Obstacles,
    crossed_loss_db,
    crossings,
)
from pathproof.terms import InvalidInputError, OutOfRangeError

SQUARE = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]


def room(**more: Any) -> Obstacles:
    """Four walls round a 4 m square, 0 to 3 m high; wall 1 is the one at x = 4."""
    return Obstacles.from_arrays(SQUARE, SQUARE[1:] + SQUARE[:1], [0.0] * 4, [3.0] * 4, **more)


def door(**changes: Any) -> dict[str, Any]:
    """An opening in wall 1, from y = 1 to y = 2, up to 2 m."""
    plain: dict[str, Any] = {
        "opening_wall": [1],
        "opening_offset_m": [1.0],
        "opening_width_m": [1.0],
        "opening_sill_m": [0.0],
        "opening_head_m": [2.0],
    }
    return plain | changes


def met(obstacles: Obstacles, start: Any, end: Any) -> list[tuple[int, int]]:
    """Kind and index of all that one ray meets, in order."""
    found = crossings(obstacles, [start], [end])
    return list(zip(found.kind.tolist(), found.index.tolist(), strict=True))


class TestWalls:
    def test_order_and_place_along_the_ray(self) -> None:
        found = crossings(room(), [(6.0, 1.0, 1.0)], [(-2.0, 1.0, 1.0)])
        assert found.pair.tolist() == [0, 0]
        assert found.index.tolist() == [1, 3]
        assert found.share.tolist() == [0.25, 0.75]
        assert found.cos_incidence.tolist() == [1.0, 1.0]

    def test_cosine_is_that_of_the_angle_in_space(self) -> None:
        # 3 m across, 4 m along: 3/5. With 12 m of height more: 3/13.
        tall = Obstacles.from_arrays([(0, -9)], [(0, 9)], [-50.0], [50.0])
        rays = [(-1.5, -2.0, 1.0), (-1.5, -2.0, -6.0)], [(1.5, 2.0, 1.0), (1.5, 2.0, 6.0)]
        assert crossings(tall, *rays).cos_incidence == pytest.approx([3 / 5, 3 / 13])

    def test_rays_keep_their_number(self) -> None:
        starts = [(1.0, 1.0, 1.0), (5.0, 1.0, 1.0), (1.0, 1.0, 1.0)]
        ends = [(2.0, 1.0, 1.0), (9.0, 1.0, 1.0), (1.0, 9.0, 1.0)]
        found = crossings(room(), starts, ends)
        assert found.pair.tolist() == [2]
        assert found.index.tolist() == [2]

    @pytest.mark.parametrize(("height_m", "hit"), [(0.0, True), (2.999, True), (3.0, False)])
    def test_base_counts_and_top_does_not(self, height_m: float, hit: bool) -> None:
        assert bool(met(room(), (1, 1, height_m), (9, 1, height_m))) is hit

    def test_height_is_taken_where_the_ray_crosses(self) -> None:
        # At x = 4, half way, the ray is at 3 m: just over the wall. Any lower and it is not.
        assert met(room(), (2, 1, 1), (6, 1, 5)) == []
        assert met(room(), (2, 1, 1), (6, 1, 4.99)) == [(WALL, 1)]

    @pytest.mark.parametrize("far", range(-1, 6))
    @pytest.mark.parametrize("start", [(1, 1), (1, 2), (2, 2), (3, 1)])
    def test_out_of_a_closed_room_is_one_wall_even_through_a_corner(
        self, start: tuple[int, int], far: int
    ) -> None:
        for end in ((far, -1), (far, 5), (-1, far), (5, far)):
            assert len(met(room(), (*start, 1), (*end, 1))) == 1

    def test_a_joint_of_two_walls_in_line_counts_once(self) -> None:
        pieces = Obstacles.from_arrays([(0, 0), (0, 1)], [(0, 1), (0, 2)], [0, 0], [3, 3])
        assert len(met(pieces, (-1, 1, 1), (1, 1, 1))) == 1
        assert len(met(pieces, (-1, 0, 1), (1, 2, 1))) == 1

    def test_a_wall_in_two_heights_counts_once(self) -> None:
        pieces = Obstacles.from_arrays([(0, 0)] * 2, [(0, 2)] * 2, [0, 1], [1, 3])
        assert met(pieces, (-1, 1, 1), (1, 1, 1)) == [(WALL, 1)]

    def test_a_device_on_a_wall_is_on_one_side_of_it(self) -> None:
        on_wall = (4.0, 2.0, 1.0)
        assert len(met(room(), (2, 2, 1), on_wall) + met(room(), on_wall, (6, 2, 1))) == 1

    def test_along_a_wall_is_not_across_it(self) -> None:
        alone = Obstacles.from_arrays([(0, 0)], [(4, 0)], [0], [3])
        assert met(alone, (-1, 0, 1), (5, 0, 1)) == []
        assert met(alone, (1, 0, 1), (2, 0, 2)) == []

    def test_a_ray_without_length_meets_nothing(self) -> None:
        assert met(room(slab_z_m=[1.0]), (4, 2, 1), (4, 2, 1)) == []

    def test_nothing_built_and_no_rays(self) -> None:
        assert met(Obstacles.from_arrays(), (0, 0, 0), (9, 9, 9)) == []
        assert len(crossings(room(), [], []).pair) == 0


class TestOpenings:
    @pytest.mark.parametrize(
        ("y", "kind"), [(0.9, WALL), (1.1, OPENING), (1.9, OPENING), (2.1, WALL)]
    )
    def test_stands_in_place_of_its_wall(self, y: float, kind: int) -> None:
        assert [k for k, _ in met(room(**door()), (3, y, 1), (5, y, 1))] == [kind]

    @pytest.mark.parametrize(("z", "kind"), [(0.99, WALL), (1.0, OPENING), (2.0, WALL)])
    def test_sill_counts_and_head_does_not(self, z: float, kind: int) -> None:
        window = room(**door(opening_sill_m=[1.0]))
        assert [k for k, _ in met(window, (3, 1.5, z), (5, 1.5, z))] == [kind]

    def test_windows_stacked_at_one_offset(self) -> None:
        stacked = {
            "opening_wall": [1, 1],
            "opening_offset_m": [1, 1],
            "opening_width_m": [1, 1],
            "opening_sill_m": [2, 0],
            "opening_head_m": [3, 1],
        }
        heights = {z: met(room(**stacked), (3, 1.5, z), (5, 1.5, z)) for z in (0.5, 1.5, 2.5)}
        assert heights == {0.5: [(OPENING, 1)], 1.5: [(WALL, 1)], 2.5: [(OPENING, 0)]}

    def test_side_by_side_they_leave_no_gap(self) -> None:
        pair = {
            "opening_wall": [1, 1],
            "opening_offset_m": [1, 2],
            "opening_width_m": [1, 1],
            "opening_sill_m": [0, 0],
            "opening_head_m": [2, 2],
        }
        assert [k for k, _ in met(room(**pair), (3, 2, 1), (5, 2, 1))] == [OPENING]

    def test_of_two_that_overlap_the_first_listed_counts(self) -> None:
        both = {
            "opening_wall": [1, 1],
            "opening_offset_m": [1, 0],
            "opening_width_m": [1, 4],
            "opening_sill_m": [0, 0],
            "opening_head_m": [2, 2],
        }
        assert met(room(**both), (3, 1.5, 1), (5, 1.5, 1)) == [(OPENING, 0)]
        assert met(room(**both), (3, 0.5, 1), (5, 0.5, 1)) == [(OPENING, 1)]

    def test_only_the_part_within_the_wall_counts(self) -> None:
        wide = room(**door(opening_offset_m=[-1.0], opening_width_m=[9.0]))
        assert met(wide, (3, 3.9, 1), (5, 3.9, 1)) == [(OPENING, 0)]
        assert met(wide, (3, 4.1, 1), (5, 4.1, 1)) == []

    def test_index_is_that_of_the_input(self) -> None:
        mixed = {
            "opening_wall": [3, 1, 0],
            "opening_offset_m": [1, 1, 1],
            "opening_width_m": [1, 1, 1],
            "opening_sill_m": [0, 0, 0],
            "opening_head_m": [2, 2, 2],
        }
        assert met(room(**mixed), (3, 1.5, 1), (5, 1.5, 1)) == [(OPENING, 1)]
        assert met(room(**mixed), (1, 2.5, 1), (-1, 2.5, 1)) == [(OPENING, 0)]


class TestSlabs:
    def test_without_a_ring_it_covers_everything(self) -> None:
        assert met(room(slab_z_m=[3.0]), (400, 400, 1), (400, 400, 5)) == [(SLAB, 0)]

    def test_ring_and_hole(self) -> None:
        hole = [(1, 1), (2, 1), (2, 2), (1, 2)]
        floor = room(slab_z_m=[3.0], slab_ring_slab=[0, 0], slab_rings_m=[SQUARE, hole])
        assert met(floor, (3, 3, 1), (3, 3, 5)) == [(SLAB, 0)]
        assert met(floor, (1.5, 1.5, 1), (1.5, 1.5, 5)) == []
        assert met(floor, (5, 5, 1), (5, 5, 5)) == []

    def test_rings_find_their_slab_in_any_order(self) -> None:
        far = [(10, 10), (12, 10), (12, 12)]
        floors = room(slab_z_m=[3.0, 6.0], slab_ring_slab=[1, 0], slab_rings_m=[far, SQUARE])
        assert met(floors, (2, 2, 1), (2, 2, 9)) == [(SLAB, 0)]
        assert met(floors, (11.5, 11, 1), (11.5, 11, 9)) == [(SLAB, 1)]

    def test_two_floors_that_share_an_edge_count_once(self) -> None:
        beside = [(4.0, 0.0), (8.0, 0.0), (8.0, 4.0), (4.0, 4.0)]
        floors = room(slab_z_m=[3.0, 3.0], slab_ring_slab=[0, 1], slab_rings_m=[SQUARE, beside])
        assert len(met(floors, (4, 2, 2), (4, 2, 4))) == 1
        assert len(met(floors, (3, 2, 2), (5, 2, 4))) == 1

    def test_an_end_on_the_slab_is_above_it(self) -> None:
        floor = room(slab_z_m=[3.0])
        assert met(floor, (1, 1, 2), (1, 1, 3)) == [(SLAB, 0)]
        assert met(floor, (1, 1, 3), (1, 1, 4)) == []

    def test_place_and_cosine(self) -> None:
        found = crossings(room(slab_z_m=[3.0]), [(1, 1, 5)], [(1, 4, 1)])
        assert found.share.tolist() == [0.5]
        assert found.cos_incidence == pytest.approx([4 / 5])

    def test_straight_up_crosses_floors_only(self) -> None:
        house = room(slab_z_m=[6.0, 3.0])
        assert met(house, (4, 2, 1), (4, 2, 9)) == [(SLAB, 1), (SLAB, 0)]


class TestLoss:
    TABLE = ((8.0, 6.0, 5.0), (1.0, 1.0, 1.0), (20.0, 10.0, 10.0))

    def test_sums_the_table_by_kind(self) -> None:
        house = room(**door(), slab_z_m=[3.0])
        starts = [(3, 0.5, 1), (3, 1.5, 1), (3, 1, 2), (1, 1, 1)]
        ends = [(5, 0.5, 1), (5, 1.5, 1), (3, 1, 4), (2, 2, 2)]
        losses = crossed_loss_db(house, [0] * 4, [1], [2], self.TABLE, starts, ends)
        assert losses.tolist() == [5.0, 1.0, 10.0, 0.0]

    def test_reads_the_table_between_nodes(self) -> None:
        # cos 3/4 is half way between the second node (6 dB) and the third (5 dB)
        slant = math.sqrt(1 - 0.75**2) / 0.75
        far = [(0.0, 100.0 * slant, 0.0)], [(200.0, -100.0 * slant, 0.0)]
        wall = Obstacles.from_arrays([(100, -50)], [(100, 50)], [-1], [1])
        assert crossed_loss_db(wall, [0], [], [], self.TABLE, *far) == pytest.approx(5.5, abs=1e-4)

    def test_classes_follow_the_openings_through_their_sorting(self) -> None:
        mixed = {
            "opening_wall": [3, 1],
            "opening_offset_m": [1, 1],
            "opening_width_m": [1, 1],
            "opening_sill_m": [0, 0],
            "opening_head_m": [2, 2],
        }
        ray = [(3, 1.5, 1)], [(5, 1.5, 1)]
        assert crossed_loss_db(room(**mixed), [0] * 4, [2, 1], [], self.TABLE, *ray) == [1.0]

    def test_is_the_sum_over_the_crossings(self) -> None:
        rng = np.random.default_rng(7)
        plan = rng.uniform(-9, 9, (30, 4))
        walls = Obstacles.from_arrays(plan[:, :2], plan[:, 2:], [0] * 30, [3] * 30, slab_z_m=[2])
        starts, ends = rng.uniform(0, 3, (2, 200, 3)) * (6, 6, 1) - (9, 9, 0)
        found = crossings(walls, starts, ends)
        table = [np.linspace(9, 4, 65), np.linspace(30, 18, 65)]
        each = [
            np.interp(c, np.linspace(0, 1, 65), table[1 if k == SLAB else 0])
            for k, c in zip(found.kind, found.cos_incidence, strict=True)
        ]
        expected = np.bincount(found.pair, each, minlength=200)
        losses = crossed_loss_db(walls, [0] * 30, [], [1], table, starts, ends)
        assert np.count_nonzero(losses) > 100
        assert losses == pytest.approx(expected, abs=1e-9)


class TestBadInput:
    ONE_WALL = ([(0.0, 0.0)], [(1.0, 0.0)], [0.0], [3.0])

    @pytest.mark.parametrize(
        ("walls", "says"),
        [
            (([(0, 0)], [(0.0004, 0)], [0], [3]), "wall 0 starts and ends at the same point"),
            (([(0, 0)], [(1, math.nan)], [0], [3]), r"wall_end_m\[0, 1\] was nan"),
            (([(0, 0)], [(1, 0)], [3], [3]), r"wall_base_m\[0\] was 3 and wall_top_m\[0\] 3"),
            (([(0, 0)], [(1, 0)], [0], [math.inf]), r"wall_top_m\[0\] was inf"),
            (([(0, 0)], [(1, 0), (2, 0)], [0], [3]), "give the same number"),
            (([(0, 0)], [(1, 0)], [0, 1], [3]), r"wall_base_m had shape \(2,\)"),
            (([(0, 0, 0)], [(1, 0, 0)], [0], [3]), r"must be \(n, 2\)"),
            (([("a", 0)], [(1, 0)], [0], [3]), "must be a number"),
        ],
    )
    def test_walls(self, walls: Any, says: str) -> None:
        with pytest.raises(InvalidInputError, match=says):
            Obstacles.from_arrays(*walls)

    @pytest.mark.parametrize(
        ("changes", "says"),
        [
            ({"opening_wall": [4]}, r"opening_wall\[0\] was 4; .* from 0 to 3"),
            ({"opening_wall": [-1]}, r"opening_wall\[0\] was -1"),
            ({"opening_wall": [0.5]}, "whole number"),
            ({"opening_width_m": [0.0]}, r"opening_width_m\[0\] was 0; it must be above 0"),
            ({"opening_offset_m": [math.nan]}, r"opening_offset_m\[0\] was nan"),
            ({"opening_sill_m": [2.0]}, r"opening_sill_m\[0\] was 2 and opening_head_m\[0\] 2"),
            ({"opening_head_m": []}, r"opening_head_m had shape \(0,\)"),
        ],
    )
    def test_openings(self, changes: dict[str, Any], says: str) -> None:
        with pytest.raises(InvalidInputError, match=says):
            room(**door(**changes))

    @pytest.mark.parametrize(
        ("slabs", "says"),
        [
            ({"slab_ring_slab": [0]}, "1 entries for 0 rings"),
            ({"slab_ring_slab": [1], "slab_rings_m": [SQUARE]}, r"slab_ring_slab\[0\] was 1"),
            (
                {"slab_ring_slab": [0], "slab_rings_m": [[(0, 0), (1, 0), (0, 0)]]},
                r"slab_rings_m\[0\] has fewer than 3",
            ),
            ({"slab_ring_slab": [0], "slab_rings_m": [[]]}, r"slab_rings_m\[0\] has fewer than 3"),
        ],
    )
    def test_slabs(self, slabs: dict[str, Any], says: str) -> None:
        with pytest.raises(InvalidInputError, match=says):
            room(slab_z_m=[3.0], **slabs)

    def test_beyond_the_limits_of_the_rule(self) -> None:
        with pytest.raises(OutOfRangeError, match=r"wall_start_m\[0, 1\] was -600 m"):
            Obstacles.from_arrays([(0, -600)], [(1, 0)], [0], [3])
        with pytest.raises(OutOfRangeError, match=r"wall_top_m\[0\] was 3000 m"):
            Obstacles.from_arrays([(0, 0)], [(1, 0)], [0], [3000])
        with pytest.raises(OutOfRangeError, match=r"to_m\[1, 0\] was 513 m"):
            crossings(room(), [(0, 0, 0)] * 2, [(512, 0, 0), (513, 0, 0)])

    def test_rays(self) -> None:
        with pytest.raises(InvalidInputError, match="from_m has 1 rows and to_m 2"):
            crossings(room(), [(0, 0, 0)], [(0, 0, 0)] * 2)
        with pytest.raises(InvalidInputError, match=r"from_m\[0, 2\] was nan"):
            crossings(room(), [(0, 0, math.nan)], [(0, 0, 0)])

    @pytest.mark.parametrize(
        ("table", "classes", "says"),
        [
            ([[1.0, -1.0]], [0], r"table_db\[0, 1\] was -1; it must be 0 or above"),
            ([[1.0, math.nan]], [0], r"table_db\[0, 1\] was nan"),
            ([[1.0]], [0], "2 nodes or more"),
            ([[1.0, 1.0]], [1], r"wall_class\[0\] was 1"),
            ([[1.0, 1.0]], [0, 0], r"wall_class had shape \(2,\); it must be \(1,\)"),
        ],
    )
    def test_losses(self, table: Any, classes: Any, says: str) -> None:
        wall = Obstacles.from_arrays(*self.ONE_WALL)
        with pytest.raises(InvalidInputError, match=says):
            crossed_loss_db(wall, classes, [], [], table, [(0, -1, 1)], [(0, 1, 1)])
