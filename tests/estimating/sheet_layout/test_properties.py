"""What holds of every layout, in rooms of all shapes; areas against Shapely."""

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout
from estimating.sheet_layout.regions import Point, Ring
from estimating.sheet_layout.rules import BACKER_BOARD
from estimating.sheet_layout.surface import Axis, Corner, Surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, IN, rooms
from tests.estimating.sheet_layout.validate import validate

AXES: tuple[Axis, ...] = ("x", "y")
CORNERS: tuple[Corner, ...] = ("sw", "se", "nw", "ne")
SOME = settings(max_examples=40, deadline=None)
FEW = settings(max_examples=10, deadline=None)


@st.composite
def given_layouts(draw: st.DrawFn) -> Layout:
    """A layout from a start that nobody chose, whatever rules it breaks."""
    surface = draw(rooms())
    along: Axis = draw(st.sampled_from(AXES))
    corner: Corner = draw(st.sampled_from(CORNERS))
    first = draw(st.integers(8, 36 * 8)) * IN // 8
    across = [point[along == "x"] for point in surface.ring]
    span = max(across) - min(across) - 2 * BACKER_BOARD.perimeter_gap_nm
    courses = len(range(first, span + 36 * IN, 36 * IN + BACKER_BOARD.gap_nm))
    firsts = draw(st.lists(st.integers(8, 60 * 8), min_size=courses, max_size=courses))
    fixed = FixedLayout(along, first, tuple(start * IN // 8 for start in firsts), corner)
    return lay(surface, BACKER, fixed=fixed)


@SOME
@given(rooms())
def test_a_searched_layout_is_valid(surface: Surface) -> None:
    assert validate(lay(surface, BACKER, effort="first")) == ()


@FEW
@given(rooms())
def test_the_best_layout_is_valid_and_no_worse_than_the_first(surface: Surface) -> None:
    first, best = (lay(surface, BACKER, effort=effort) for effort in ("first", "best"))
    assert validate(best) == ()
    assert best.rank <= first.rank


@SOME
@given(given_layouts())
def test_a_told_layout_is_valid(layout: Layout) -> None:
    assert validate(layout) == ()


@SOME
@given(given_layouts())
def test_pieces_are_disjoint_and_fill_the_floor_less_its_gaps(layout: Layout) -> None:
    """Shapely's areas, in square inches: pieces apart from each other, inside, and none missing."""
    shapely = pytest.importorskip("shapely", reason="needs Shapely")
    outline, *holes = [
        shapely.Polygon([(x / IN, y / IN) for x, y in ring])
        for ring in (layout.surface.ring, *layout.surface.holes)
    ]
    floor = outline.difference(shapely.union_all(holes))
    usable = floor.buffer(-1 / 8, join_style="mitre")
    pieces = [
        shapely.Polygon(
            [(x / IN, y / IN) for x, y in piece.rings[0]],
            [[(x / IN, y / IN) for x, y in ring] for ring in piece.rings[1:]],
        )
        for piece in layout.pieces
    ]
    boards = shapely.union_all(pieces)
    assert boards.area == pytest.approx(sum(piece.area for piece in pieces), abs=1e-6)
    assert boards.difference(usable).area == pytest.approx(0, abs=1e-6)
    assert floor.area == pytest.approx(layout.area_nm2 / IN**2, abs=1e-6)
    assert floor.length == pytest.approx(layout.perimeter_nm / IN, abs=1e-6)
    assert usable.difference(boards).area == pytest.approx(layout.gap_nm2 / IN**2, abs=1e-6)
    joints = shapely.union_all(
        [
            shapely.box(*(nm / IN for nm in (joint.x_nm, joint.y_nm)),
                        (joint.x_nm + joint.width_nm) / IN, (joint.y_nm + joint.height_nm) / IN)
            for joint in layout.joints
        ]
    )  # fmt: skip
    assert joints.intersection(boards).area == pytest.approx(0, abs=1e-6)
    assert joints.difference(usable).area == pytest.approx(0, abs=1e-6)


@SOME
@given(rooms())
def test_joints_keep_their_offset_and_four_corners_never_meet(surface: Surface) -> None:
    layout = lay(surface, BACKER, effort="first")
    assert layout.close_joints == 0
    assert all(len(_corners_near(layout, point)) <= 3 for piece in layout.pieces for point in piece.rings[0])


def _corners_near(layout: Layout, point: Point) -> set[int]:
    """The pieces with a corner within a gap of this one."""
    gap = layout.rules.gap_nm
    return {
        piece.number
        for piece in layout.pieces
        if any(abs(x - point[0]) <= gap and abs(y - point[1]) <= gap for x, y in piece.rings[0])
    }


@SOME
@given(given_layouts())
def test_fasteners_keep_spacing_and_edge_distance(layout: Layout) -> None:
    for piece in layout.pieces:
        across = sorted({x - piece.x_nm for x, _ in piece.fasteners})
        if piece.width_nm > 4 * IN:
            assert across[0] >= 2 * IN
            assert across[-1] <= piece.width_nm - 2 * IN
        if not piece.notched:
            gaps = [after - before for before, after in zip(across, across[1:], strict=False)]
            assert max(gaps, default=0) <= 8 * IN + 1  # places are rounded to whole nanometers


@SOME
@given(given_layouts())
def test_no_part_of_a_sheet_is_used_twice(layout: Layout) -> None:
    """Pieces of one sheet lie inside it, a kerf apart."""
    kerf = layout.rules.kerf_nm
    boxes: dict[int, list[tuple[int, int, int, int]]] = {}
    for piece in layout.pieces:
        along, over = piece.width_nm, piece.height_nm
        if (layout.given.courses_along == "y") != piece.turned:
            along, over = over, along
        x, y = piece.sheet_x_nm, piece.sheet_y_nm
        assert 0 <= x <= x + along <= 60 * IN
        assert 0 <= y <= y + over <= 36 * IN
        boxes.setdefault(piece.sheet, []).append((x, y, x + along, y + over))
    for sheet in boxes.values():
        for (a, b, c, d), (e, f, g, h) in combinations(sheet, 2):
            assert max(e - c, a - g, f - d, b - h) >= kerf


@SOME
@given(given_layouts())
def test_counts_keep_within_their_bounds(layout: Layout) -> None:
    assert layout.lower_bound <= layout.sheets <= len(layout.pieces)
    assert len({piece.number for piece in layout.pieces if not piece.from_offcut}) == layout.sheets
    assert layout.gap_nm2 >= layout.joint_nm * layout.rules.gap_nm


@FEW
@given(rooms(), st.integers(-(10**9), 10**9), st.integers(-(10**9), 10**9))
def test_a_room_elsewhere_or_walked_the_other_way_is_laid_alike(surface: Surface, x: int, y: int) -> None:
    def moved(ring: Ring) -> Ring:
        return tuple((a + x, b + y) for a, b in reversed(ring))

    there = Surface(moved(surface.ring), tuple(map(moved, surface.holes)))
    layout, other = (lay(room, BACKER, effort="first") for room in (surface, there))
    assert layout.rank == other.rank
    assert layout.fastener_count == other.fastener_count


@SOME
@given(given_layouts())
def test_a_mirrored_or_turned_room_takes_the_same(layout: Layout) -> None:
    fixed = layout.given
    mirrored = _drawn(layout.surface, lambda x, y: (-x, y))
    across: dict[Corner, Corner] = {"sw": "se", "se": "sw", "nw": "ne", "ne": "nw"}
    turned = _drawn(layout.surface, lambda x, y: (y, x))
    swapped: dict[Corner, Corner] = {"sw": "sw", "se": "nw", "nw": "se", "ne": "ne"}
    along: Axis = "y" if fixed.courses_along == "x" else "x"
    for surface, plan in (
        (mirrored, replace(fixed, corner=across[fixed.corner])),
        (turned, replace(fixed, corner=swapped[fixed.corner], courses_along=along)),
    ):
        other = lay(surface, BACKER, fixed=plan)
        assert other.rank == layout.rank
        assert other.fastener_count == layout.fastener_count
        assert other.gap_nm2 == layout.gap_nm2


def _drawn(surface: Surface, place: Callable[[int, int], Point]) -> Surface:
    rings = [tuple(place(*point) for point in ring) for ring in (surface.ring, *surface.holes)]
    return Surface(rings[0], tuple(rings[1:]))


@FEW
@given(rooms(), st.sampled_from([0, IN // 8]), st.sampled_from([0, IN // 8, IN // 4]), st.booleans())
def test_other_rules_give_valid_layouts_too(surface: Surface, gap: int, kerf: int, may_turn: bool) -> None:
    rules = replace(BACKER_BOARD, gap_nm=gap, kerf_nm=kerf, may_turn=may_turn)
    layout = lay(surface, Sheet(96 * IN, 48 * IN, IN // 2), rules, effort="first")
    assert validate(layout) == ()
    assert layout.lower_bound <= layout.sheets


def row_by_row(wide_nm: int, deep_nm: int) -> tuple[int, int]:
    """Slivers and sheets of the plain way in a rectangle: full sheets from a corner, course by course.

    What is left of a course's last sheet starts the next, if it is 6 in long at least and keeps the joints
    6 in apart; else a new sheet does, cut in half if a whole one won't keep them apart, or to 20 in.
    """
    gap, long, short = IN // 8, 60 * IN, 36 * IN
    span, left = wide_nm - 2 * gap, deep_nm - 2 * gap
    slivers = sheets = 0
    offcut, before = 0, 0
    while left > 0:
        height = min(short, left)
        wanted = [length for length in (offcut, long, long // 2, 20 * IN) if length >= 6 * IN]
        first = next(
            length for length in wanted
            if not before or 6 * IN <= (length - before) % (long + gap) <= long + gap - 6 * IN
        )  # fmt: skip
        sheets += first != offcut
        pieces, at = [min(first, span)], first + gap
        while at < span:
            pieces.append(min(long, span - at))
            at += long + gap
            sheets += 1
        slivers += sum(min(piece, height) < 6 * IN for piece in pieces)
        offcut, before = long - pieces[-1] - gap, first
        left -= short + gap
    return slivers, sheets


@SOME
@given(st.integers(60, 240), st.integers(40, 200))
def test_never_worse_than_the_plain_row_by_row_way(wide_in: int, deep_in: int) -> None:
    wide, deep = wide_in * IN, deep_in * IN
    layout = lay(Surface(((0, 0), (wide, 0), (wide, deep), (0, deep))), BACKER, effort="first")
    assert (layout.slivers, layout.sheets) <= row_by_row(wide, deep)
