"""Joints on studs and joists: kept there where they can be, and said where they can't."""

from dataclasses import replace
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences
from estimating.sheet_layout.rules import BACKER_BOARD, DRYWALL_CEILING, DRYWALL_WALL
from estimating.sheet_layout.surface import Axis, Lines, Surface
from estimating.sheet_layout.warnings import warnings
from tests.estimating.sheet_layout.sheet_rooms import rectangle
from tests.estimating.sheet_layout.validate import validate

DRYWALL = Sheet(96 * IN, 48 * IN, IN // 2)
LONG_DRYWALL = Sheet(120 * IN, 48 * IN, IN // 2)
BACKER = Sheet(60 * IN, 36 * IN, IN // 2)
FROM_THE_TOP = LayoutPreferences(corner="nw")


def wall(length: int, height: int = 96, first: float = 16, spacing: float = 16) -> Surface:
    bare = rectangle(length, height)
    return replace(bare, level=True, framing=Lines(round(first * IN), round(spacing * IN)))


def butt_places(layout: Layout) -> list[float]:
    """The middles of the butt joints, in inches from the left."""
    return sorted((2 * joint.x_nm + joint.width_nm) / 2 / IN for joint in layout.joints if joint.across)


@pytest.mark.parametrize(("length", "first"), [(150, 16), (173, 9.5), (137, 14.25), (230, 3), (101, 15)])
def test_butt_joints_of_drywall_fall_on_studs(length: int, first: float) -> None:
    layout = lay(wall(length, first=first), DRYWALL, DRYWALL_WALL, preferences=FROM_THE_TOP)
    assert validate(layout) == ()
    assert layout.off_framing == layout.slivers == layout.close_joints == 0
    assert [place for place in butt_places(layout) if (place - first) % 16] == []
    assert butt_places(layout)


def test_without_studs_known_no_joint_is_said_to_miss_one() -> None:
    layout = lay(rectangle(150, 96), DRYWALL, DRYWALL_WALL, preferences=FROM_THE_TOP)
    assert layout.off_framing == 0
    assert not any("stud" in warning for warning in warnings(layout))


def test_a_joint_is_on_a_stud_up_to_three_eighths_from_its_middle() -> None:
    # a stud of 1-1/2 in less the 3/8 in that fasteners keep from the edge of either board
    for off, missed in ((0.0, 0), (0.375, 0), (0.4375, 1), (-0.375, 0), (-0.4375, 1)):
        given = FixedLayout("x", 48 * IN, (round((80 + off) * IN),))
        layout = lay(wall(150, height=48), DRYWALL, DRYWALL_WALL, fixed=given)
        assert (layout.off_framing, validate(layout)) == (missed, ())


def test_a_joint_between_studs_is_to_be_backed_or_floated() -> None:
    given = FixedLayout("x", 48 * IN, (72 * IN,))
    layout = lay(wall(150, height=48), DRYWALL, DRYWALL_WALL, fixed=given)
    assert "1 joint falls between studs: back it, or float it wide." in list(warnings(layout))
    ceiling = replace(wall(150, height=48), level=False)
    layout = lay(ceiling, DRYWALL, DRYWALL_WALL, fixed=given)
    assert "1 joint falls between joists: back it, or float it wide." in list(warnings(layout))


def test_sheets_that_would_end_between_studs_are_cut_shorter() -> None:
    # 10-ft sheets on studs 16 in apart end 8 in past one: 9 ft 4 in is what ends on one
    layout = lay(wall(300), LONG_DRYWALL, DRYWALL_WALL, preferences=FROM_THE_TOP)
    assert validate(layout) == ()
    assert layout.off_framing == 0
    assert layout.given.trimmed
    assert max(piece.width_nm for piece in layout.pieces) <= 112 * IN
    # on studs 24 in apart a whole one ends on one
    layout = lay(wall(300, first=24, spacing=24), LONG_DRYWALL, DRYWALL_WALL, preferences=FROM_THE_TOP)
    assert (layout.off_framing, layout.given.trimmed) == (0, False)


def test_backer_on_a_wall_keeps_its_ends_on_studs_with_the_gap_between_them() -> None:
    layout = lay(wall(150, 84), BACKER, BACKER_BOARD, preferences=LayoutPreferences("x"))
    assert validate(layout) == ()
    assert layout.off_framing == 0
    assert {place % 16 for place in butt_places(layout)} == {0}


@pytest.mark.parametrize("corner", ["sw", "se", "nw", "ne"])
def test_studs_are_counted_from_the_left_whatever_corner_is_begun_in(corner: str) -> None:
    chosen = LayoutPreferences(corner=corner)  # type: ignore[arg-type]
    layout = lay(wall(173, first=11), DRYWALL, DRYWALL_WALL, preferences=chosen)
    assert validate(layout) == ()
    assert [place for place in butt_places(layout) if (place - 11) % 16] == []


def test_no_joint_is_off_studs_where_any_start_would_keep_them_all_on() -> None:
    # every start by the inch of both courses of every wall, against what the search finds
    for length, first in product((110, 127, 160), (8, 12, 16)):
        surface = wall(length, first=first)
        exists = False
        for upper, lower in product(range(6, 97), repeat=2):
            ends = [list(range(start, length, 96)) for start in (upper, lower)]
            pieces = [b - a for row in ends for a, b in zip([0, *row], [*row, length], strict=True)]
            apart = min((abs(a - b) for a in ends[0] for b in ends[1]), default=16)
            on = all((at - first) % 16 == 0 for row in ends for at in row)
            exists = exists or (on and apart >= 16 and min(pieces) >= 6)
        found = lay(surface, DRYWALL, DRYWALL_WALL, preferences=FROM_THE_TOP)
        assert exists == (found.off_framing == found.slivers == found.close_joints == 0)


def test_screws_go_into_the_studs() -> None:
    # 4 x 8 ft on studs 16 in apart: rows at both ends and on the five studs between them
    given = FixedLayout("x", 48 * IN, (96 * IN,))
    layout = lay(wall(96, height=48), DRYWALL, DRYWALL_WALL, fixed=given)
    (piece,) = layout.pieces
    columns = sorted({x / IN for x, _ in piece.fasteners})
    assert columns == [0.375, 16, 32, 48, 64, 80, 95.625]
    assert len(piece.fasteners) == 7 * 4
    # 24 in apart: ends and three studs
    layout = lay(wall(96, height=48, first=24, spacing=24), DRYWALL, DRYWALL_WALL, fixed=given)
    assert len(layout.pieces[0].fasteners) == 5 * 4


def test_upright_sheets_meet_on_studs_along_their_long_edges() -> None:
    layout = lay(wall(150), DRYWALL, DRYWALL_WALL, preferences=LayoutPreferences("y", "nw"))
    assert validate(layout) == ()
    assert layout.off_framing == 0
    seams = [joint.x_nm / IN for joint in layout.joints if not joint.across]
    assert seams
    assert [seam for seam in seams if seam % 16] == []


def turned_over(layout: Layout) -> list[tuple[int, int, int, int]]:
    """Joints with x and y in each other's place."""
    return sorted((joint.y_nm, joint.x_nm, joint.height_nm, joint.width_nm) for joint in layout.joints)


@pytest.mark.parametrize(("length", "first"), [(150, 16), (173, 9.5), (230, 3)])
def test_joists_the_other_way_give_the_same_ceiling_the_other_way_round(length: int, first: float) -> None:
    lines = Lines(round(first * IN), 16 * IN)
    across = replace(rectangle(length, 130), framing=lines)
    along = replace(rectangle(130, length), framing=lines._replace(along="x"))
    one, other = (lay(ceiling, DRYWALL, DRYWALL_CEILING) for ceiling in (across, along))
    assert validate(one) == validate(other) == ()
    assert (one.given.courses_along, other.given.courses_along) == ("x", "y")
    assert turned_over(other) == sorted(
        (joint.x_nm, joint.y_nm, joint.width_nm, joint.height_nm) for joint in one.joints
    )
    assert other.off_framing == 0
    assert {(joint.y_nm / IN - first) % 16 for joint in other.joints if joint.across} == {0}


def test_boards_that_are_told_to_run_along_the_joists_meet_on_them_or_say_so() -> None:
    ceiling = replace(rectangle(150, 130), framing=Lines(16 * IN, 16 * IN, "x"))
    layout = lay(ceiling, DRYWALL, DRYWALL_CEILING, preferences=LayoutPreferences("x"))
    assert validate(layout) == ()
    # across the joists the seams between courses are what has to fall on one
    seams = [joint.y_nm / IN for joint in layout.joints if not joint.across]
    assert seams
    assert layout.off_framing == sum(seam % 16 != 0 for seam in seams)
    shifted = FixedLayout("x", 40 * IN, tuple([96 * IN] * 3))
    spoilt = lay(ceiling, DRYWALL, DRYWALL_CEILING, fixed=shifted)
    assert validate(spoilt) == ()
    assert "between joists" in " ".join(warnings(spoilt))


@given(
    width=st.integers(10, 170),
    height=st.integers(10, 130),
    spacing=st.sampled_from((8, 12, 16, 19.2, 24)),
    first=st.integers(0, 24),
    along=st.sampled_from(("x", "y")),
    run=st.sampled_from(("x", "y")),
)
@settings(max_examples=60)
def test_screws_of_a_floor_keep_off_its_joists_and_no_farther_apart(
    width: int, height: int, spacing: float, first: int, along: Axis, run: Axis
) -> None:
    """Backer board is held by the subfloor alone; counted from the screws, and their own distances."""
    joists, axis = Lines(first * IN, round(spacing * IN), run), 0 if run == "y" else 1
    floor = replace(rectangle(width, height), clear_of=joists)
    layout = lay(floor, BACKER, BACKER_BOARD, preferences=LayoutPreferences(courses_along=along))
    assert validate(layout) == ()
    edge = BACKER_BOARD.edge_nm
    met = 0
    for piece in layout.pieces:
        columns = sorted({point[axis] for point in piece.fasteners})
        start, size = ((piece.x_nm, piece.width_nm), (piece.y_nm, piece.height_nm))[axis]
        for x in columns:
            beyond = (x - joists.at_nm) % joists.spacing_nm
            joist = x - beyond if 2 * beyond <= joists.spacing_nm else x - beyond + joists.spacing_nm
            if abs(x - joist) < IN:  # only in a strip that has no room for a row on either side of it
                assert joist - IN < start + edge
                assert joist + IN > start + size - edge
                met += sum(point[axis] == x for point in piece.fasteners)
        gaps = [far - near for near, far in pairwise(columns)]
        assert all(gap <= BACKER_BOARD.fastener_spacing_nm + 1 for gap in gaps)
        rows = {point[1 - axis] for point in piece.fasteners}
        assert len(piece.fasteners) == len(columns) * len(rows)
    assert any("joist below" in warning for warning in warnings(layout)) == (met > 0)


def test_in_a_slanting_room_screws_over_joists_are_said() -> None:
    ring = ((0, 0), (150 * IN, 40 * IN), (120 * IN, 140 * IN), (-30 * IN, 100 * IN))
    layout = lay(Surface(ring, clear_of=Lines(16 * IN, 16 * IN)), BACKER, BACKER_BOARD)
    assert [warning for warning in warnings(layout) if "a joist below: set them" in warning]


def test_a_floor_whose_joists_are_known_takes_a_few_screws_more() -> None:
    bare = rectangle(150, 100)
    known = replace(bare, clear_of=Lines(16 * IN, 16 * IN))
    even, moved = (lay(floor, BACKER, BACKER_BOARD).fastener_count for floor in (bare, known))
    assert even <= moved <= even * 5 // 4
