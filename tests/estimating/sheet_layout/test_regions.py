"""Regions as bands, and the fastener grid on them, by hand."""

from dataclasses import replace

from estimating.sheet_layout.fasteners import count_in_row, fasteners
from estimating.sheet_layout.regions import (
    Band,
    Region,
    across,
    area,
    outlines,
    parts,
    perimeter,
    shrink,
    standing_corners,
    straightened,
)
from estimating.sheet_layout.rules import BACKER_BOARD
from estimating.sheet_layout.surface import Surface, View, region_of
from tests.estimating.sheet_layout.sheet_rooms import IN

# An L of 10 x 10 less 6 x 4 at the upper right; a square of 10 with a hole of 2 in its middle.
L: Region = (Band(0, 6, ((0, 10),)), Band(6, 10, ((0, 4),)))
RING: Region = (Band(0, 4, ((0, 10),)), Band(4, 6, ((0, 4), (6, 10))), Band(6, 10, ((0, 10),)))


def test_area_and_perimeter() -> None:
    assert (area(L), perimeter(L)) == (76, 40)
    assert (area(RING), perimeter(RING)) == (96, 48)


def test_a_margin_narrows_the_region_and_widens_its_holes() -> None:
    assert shrink(L, 1) == (Band(1, 5, ((1, 9),)), Band(5, 9, ((1, 3),)))
    assert area(shrink(RING, 1)) == 64 - 16


def test_a_part_as_narrow_as_two_margins_is_gone() -> None:
    assert shrink(L, 2) == (Band(2, 4, ((2, 8),)),)
    assert shrink(L, 3) == ()


def test_outlines_go_round_the_region_and_back_round_its_holes() -> None:
    assert set(outlines(L)[0]) == {(0, 0), (10, 0), (10, 6), (4, 6), (4, 10), (0, 10)}
    assert [len(ring) for ring in outlines(RING)] == [4, 4]
    signed = [sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) // 2
              for ring in outlines(RING)]  # fmt: skip
    assert signed == [100, -4]


def test_parts_that_touch_at_a_corner_are_two() -> None:
    stairs = (Band(0, 5, ((0, 5),)), Band(5, 10, ((5, 10),)))
    assert len(parts(stairs, 0, 10)) == 2


def test_parts_with_a_gap_between_them_are_two() -> None:
    apart = (Band(0, 4, ((0, 10),)), Band(6, 10, ((0, 10),)))
    assert len(parts(apart, 0, 10)) == 2
    assert across(apart, 3, 7) == ()


def test_a_hole_parts_what_is_cut_through_its_middle() -> None:
    assert [area(part) for part in parts(RING, 4, 6)] == [8, 8]
    assert [area(part) for part in parts(RING, 0, 5)] == [48]


def test_what_a_strip_can_cross_from_side_to_side() -> None:
    assert across(RING, 3, 7) == ((0, 4), (6, 10))
    assert across(RING, 4, 4) == ((0, 4), (6, 10))
    assert across(RING, 2, 2) == ((0, 10),)
    assert across(RING, 8, 11) == ()


def test_corners_that_stand_out() -> None:
    assert standing_corners(L) == ((4, 6),)
    assert set(standing_corners(RING)) == {(4, 4), (6, 4), (4, 6), (6, 6)}


def test_points_on_a_straight_run_are_dropped() -> None:
    assert straightened(((0, 0), (5, 0), (10, 0), (10, 10), (10, 10), (0, 10))) == (
        (0, 0),
        (10, 0),
        (10, 10),
        (0, 10),
    )


def test_a_surface_is_the_same_seen_and_seen_back() -> None:
    ring = ((0, 0), (10, 0), (10, 6), (4, 6), (4, 10), (0, 10))
    assert region_of(Surface(ring), View(), 1) == L
    for view in (View(swap, x, y) for swap in (False, True) for x in (False, True) for y in (False, True)):
        assert tuple(view.back(view.see(point)) for point in ring) == ring
        assert area(region_of(Surface(ring), view, 1)) == 76


def test_overlapping_holes_are_taken_off_once() -> None:
    square = ((0, 0), (10, 0), (10, 10), (0, 10))
    holes = (((2, 2), (6, 2), (6, 6), (2, 6)), ((4, 4), (8, 4), (8, 8), (4, 8)))
    assert area(region_of(Surface(square, holes), View(), 1)) == 100 - 16 - 16 + 4


def test_fasteners_in_a_row() -> None:
    """Spacing 8 in, 2 in from the edges: 60 in take 8, 36 in take 5, 4 in one, a little more two."""
    counts = [count_in_row(size, BACKER_BOARD, 8 * IN) for size in (60 * IN, 36 * IN, 4 * IN, 4 * IN + 1)]
    assert counts == [8, 5, 1, 2]


def test_a_fastener_on_the_edge_of_a_notch_is_kept_and_one_in_it_left_out() -> None:
    """A piece of 20 x 20 in has fasteners at 2, 10 and 18 in; its notch begins at 10 in, both ways."""
    shape = (Band(0, 10 * IN, ((0, 20 * IN),)), Band(10 * IN, 20 * IN, ((0, 10 * IN),)))
    places = {(x // IN, y // IN) for x, y in fasteners(shape, BACKER_BOARD)}
    grid = {(x, y) for x in (2, 10, 18) for y in (2, 10, 18)}
    assert places == grid - {(18, 18)}


def test_a_closer_spacing_takes_more_fasteners() -> None:
    """48 x 96 in at 8 in on centers, 3/8 in from the edges: 13 x 7 = 91, a published count."""
    rules = replace(BACKER_BOARD, edge_nm=3 * IN // 8)
    assert count_in_row(96 * IN, rules, 8 * IN) * count_in_row(48 * IN, rules, 8 * IN) == 91
