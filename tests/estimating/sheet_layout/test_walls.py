"""Drywall on walls and ceilings: openings, joints off their corners, sheets of several lengths."""

import random
from dataclasses import replace

import pytest
from shapely import Polygon

from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences
from estimating.sheet_layout.regions import Ring
from estimating.sheet_layout.rules import DRYWALL_CEILING, DRYWALL_WALL
from estimating.sheet_layout.surface import Surface
from estimating.sheet_layout.warnings import warnings
from tests.estimating.sheet_layout.sheet_rooms import IN, in_eighths, rectangle
from tests.estimating.sheet_layout.validate import validate

FT = 12 * IN
DRYWALL = {feet: Sheet(feet * FT, 4 * FT, IN // 2) for feet in (8, 10, 12)}


def opening(left_in: int, low_in: int, right_in: int, high_in: int) -> Ring:
    left, low, right, high = left_in * IN, low_in * IN, right_in * IN, high_in * IN
    return ((left, low), (right, low), (right, high), (left, high))


def wall(feet: int, *openings: Ring) -> Surface:
    return Surface(opening(0, 0, feet * 12, 96), openings)


DOOR, WINDOW = opening(30, 0, 62, 80), opening(90, 36, 130, 80)


def test_a_plain_wall_takes_two_sheets_to_its_height() -> None:
    """12 ft by 8 ft in sheets of 12 ft: no butt joint, one tapered joint the whole length."""
    layout = lay(wall(12), DRYWALL[12], DRYWALL_WALL)
    assert (layout.sheets, layout.cut_pieces) == (2, 0)
    assert (layout.across_nm, layout.between_nm) == (0, 12 * FT)


def test_butt_and_tapered_joints_are_told_apart() -> None:
    """16 ft in sheets of 12 ft, whole ones starting from alternate ends: a butt joint in each course."""
    layout = lay(wall(16), DRYWALL[12], DRYWALL_WALL, fixed=FixedLayout("x", 4 * FT, (12 * FT, 4 * FT)))
    assert layout.across_nm == 2 * 4 * FT
    assert layout.between_nm == 16 * FT
    assert layout.close_joints == 0


def test_joints_end_at_openings() -> None:
    """The tapered joint at 48 in stops where door and window stand: 14 ft less 32 in and 40 in."""
    layout = lay(wall(14, DOOR, WINDOW), DRYWALL[12], DRYWALL_WALL, effort="first")
    assert layout.between_nm == (168 - 32 - 40) * IN
    assert layout.area_nm2 == (168 * 96 - 32 * 80 - 40 * 44) * IN**2
    assert validate(layout) == ()


def test_sheets_lie_along_a_wall_and_are_never_turned() -> None:
    layout = lay(wall(14, DOOR, WINDOW), DRYWALL[8], DRYWALL_WALL)
    assert layout.given.courses_along == "x"
    assert not any(piece.turned for piece in layout.pieces)
    assert validate(layout) == ()


@pytest.mark.parametrize("feet", DRYWALL)
def test_joints_keep_off_the_corners_of_openings(feet: int) -> None:
    """No butt joint within 6 in of the line of a jamb, beside its corner; none between courses at a head."""
    layout = lay(wall(14, DOOR, WINDOW), DRYWALL[feet], DRYWALL_WALL)
    assert layout.near_corners == 0
    heads = {30: (80,), 62: (80,), 90: (36, 80), 130: (36, 80)}
    for joint in layout.joints:
        x, low, high = joint.x_nm / IN, joint.y_nm / IN, (joint.y_nm + joint.height_nm) / IN
        for jamb, levels in heads.items():
            if joint.across:
                assert abs(x - jamb) >= 6 or not any(low <= level <= high for level in levels)
            elif x <= jamb <= x + joint.width_nm / IN:
                assert all(abs(low - level) >= 6 for level in levels)


def test_joints_at_corners_are_counted_and_told() -> None:
    """A joint at 90 in stands over the window's left jamb, above it and below."""
    fixed = FixedLayout("x", 4 * FT, (90 * IN, 90 * IN))
    layout = lay(wall(14, WINDOW), DRYWALL[8], DRYWALL_WALL, fixed=fixed)
    assert layout.near_corners == 2
    assert any('2 joints are within 6" of a corner' in warning for warning in warnings(layout))


def test_joints_between_courses_at_heads_and_sills_are_counted() -> None:
    """Courses that end at 32 and 80 in: 4 in below the sill and in line with the head, two corners each."""
    layout = lay(wall(8, opening(30, 36, 60, 80)), DRYWALL[8], DRYWALL_WALL,
                 fixed=FixedLayout("x", 32 * IN, (8 * FT, 8 * FT, 8 * FT)))  # fmt: skip
    assert layout.across_nm == 0
    assert layout.near_corners == 4


def test_a_textbook_ceiling_takes_what_its_area_says() -> None:
    """24 x 50 ft, 1,200 sq ft in sheets of 32: 38 (Estimating in Building Construction, p. 203)."""
    ceiling = Surface(((0, 0), (50 * FT, 0), (50 * FT, 24 * FT), (0, 24 * FT)))
    layout = lay(ceiling, DRYWALL[8], DRYWALL_CEILING)
    assert layout.sheets_by_area == 38
    assert layout.sheets == 38


def test_screws_of_a_whole_sheet() -> None:
    """48 x 96 in, 8 in on centers, 3/8 in from the edges: 91, a published count; here on framing 16 in apart,
    12 in along it on a ceiling and 16 in on a wall."""
    sheet, ceiling = DRYWALL[8], Surface(opening(0, 0, 96, 48))
    assert lay(ceiling, sheet, DRYWALL_CEILING).fastener_count == 7 * 5
    assert lay(ceiling, sheet, DRYWALL_WALL).fastener_count == 7 * 4


def wall_with_a_window(draw: random.Random, height: int) -> Surface:
    length, wide = draw.randint(90, 190), draw.randint(24, 60)
    left, low = draw.randint(8, length - wide - 8), draw.randint(6, height - 30)
    high = height if draw.random() < 0.5 else draw.randint(low + 12, height - 6)
    hole = in_eighths(*((8 * x, 8 * y) for x, y in
                        ((left, low), (left + wide, low), (left + wide, high), (left, high))))  # fmt: skip
    return replace(rectangle(length, height), holes=(hole,), level=True)


def test_of_layouts_of_equally_many_sheets_one_without_thin_legs_is_preferred() -> None:
    """Against every start of one course by the inch, thin legs being counted from the pieces drawn."""
    rules, found_legs, others = replace(DRYWALL_WALL, corner_clear_nm=0), 0, 0
    for seed in range(20):
        wall = wall_with_a_window(random.Random(seed), 48)
        found = lay(wall, DRYWALL[8], rules, preferences=LayoutPreferences("x", "nw"))
        starts = [
            lay(wall, DRYWALL[8], rules, fixed=FixedLayout("x", 48 * IN, (first * IN,), "nw"))
            for first in range(6, 97)
        ]
        assert worth(found) <= min(map(worth, starts))
        found_legs += thin_legs(found)
        others += max(map(thin_legs, starts))
    assert found_legs < others


def worth(layout: Layout) -> tuple[int, int, int, int]:
    return layout.slivers, layout.near_corners, layout.sheets, thin_legs(layout)


def thin_legs(layout: Layout) -> int:
    """Pieces of which a part narrower than the least size hangs on at one end, slivers left out."""
    least = layout.rules.min_piece_nm
    half = least / 2 - 1
    count = 0
    for piece in layout.pieces:
        shape = Polygon(piece.rings[0], piece.rings[1:])
        wide = shape.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
        narrow = shape.difference(wide.buffer(2, join_style="mitre"))
        ends = (part for part in getattr(narrow, "geoms", [narrow]) if part.area)
        hanging = (part.buffer(3, join_style="mitre").intersection(wide) for part in ends)
        one_end = any(len(getattr(met, "geoms", [met])) == 1 for met in hanging)
        count += one_end and min(piece.width_nm, piece.height_nm) >= least
    return count
