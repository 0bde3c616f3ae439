"""Surfaces under ceilings that slope or step, of soffits and of niches, and boards that cover them."""

from dataclasses import replace
from math import hypot
from typing import Any

import pytest
from hypothesis import given, settings

from catalog.measures.lengths import NM_PER_INCH
from estimating.boards.layouts import Boards
from estimating.boards.surfaces import RoomSurface, surfaces
from estimating.boards.tile import TileRules, lay_tiles
from estimating.linear_stock.furring import rows_of
from estimating.rooms.measures import measure
from estimating.rooms.plan import Framing, HeightPoint, Opening, RoomPlan, Soffit
from estimating.sheet_layout.surface import Lines
from estimating.sheet_layout.warnings import warnings
from tests.estimating.boards.test_layouts import CEILING, WALLS, lay
from tests.estimating.rooms.test_ceilings import Case, cases
from tests.estimating.sheet_layout.validate import validate
from tests.specs import room

IN, FT = NM_PER_INCH, 12 * NM_PER_INCH
SLOPE = (HeightPoint(0, 12 * FT, 12 * FT),)
NICHE = Opening("Niche", "niche", 0, 24 * IN, 12 * IN, 48 * IN, 36 * IN, 4 * IN)


def shape(room_surface: RoomSurface) -> Any:
    shapely = pytest.importorskip("shapely")
    surface = room_surface.surface
    holes = [shapely.Polygon([(x / IN, y / IN) for x, y in ring]) for ring in surface.holes]
    return shapely.Polygon([(x / IN, y / IN) for x, y in surface.ring]) - shapely.union_all(holes)


def sqft(plan: RoomPlan, covers: str) -> float:
    return float(sum(shape(room_surface).area for room_surface in surfaces(plan, covers))) / 144


@settings(max_examples=30, deadline=None)
@given(cases())
def test_surfaces_add_up_to_the_measures_whatever_is_overhead(case: Case) -> None:
    measured = measure(case.plan)
    assert sqft(case.plan, "wall_net") == pytest.approx(float(measured.amount("wall_net")), abs=1e-5)
    assert sqft(case.plan, "ceiling") == pytest.approx(float(measured.amount("ceiling")), abs=1e-5)


def test_a_sloped_ceiling_is_as_long_as_its_slope_and_its_walls_have_slanting_tops() -> None:
    plan = room("12'", "10'", heights=SLOPE)
    (ceiling,) = surfaces(plan, "ceiling")
    left, low, right, high = shape(ceiling).bounds
    assert (right - left, high - low) == pytest.approx((12 * hypot(12, 4), 120), abs=1e-6)
    wall_a, wall_b, wall_c, wall_d = surfaces(plan, "wall_net")
    assert [shape(wall).bounds[3] for wall in (wall_a, wall_b, wall_c, wall_d)] == [144, 144, 144, 96]
    assert wall_a.surface.ring == ((0, 0), (12 * FT, 0), (12 * FT, 12 * FT), (0, 8 * FT))
    # wall C is walked the other way: seen from inside, its high end is at its left
    assert wall_c.surface.ring == ((0, 0), (12 * FT, 0), (12 * FT, 8 * FT), (0, 12 * FT))


def test_rafters_up_a_slope_carry_its_boards_and_joists_across_it_are_not_known_to() -> None:
    up, across = Framing(16 * IN, 10 * IN, along_a=True), Framing(16 * IN, 10 * IN)
    plan = room("12'", "10'", heights=SLOPE)
    framed = [surfaces(replace(plan, ceiling_joists=joists), "ceiling")[0] for joists in (up, across)]
    assert [part.surface.framing for part in framed] == [Lines(-10 * IN, 16 * IN, "x"), None]
    (ceiling,) = lay(Boards(effort="first"), CEILING, replace(plan, ceiling_joists=up))
    layout = ceiling.layout()
    assert validate(layout) == ()
    assert layout.off_framing == 0
    assert {joint.y_nm % (16 * IN) for joint in layout.joints if joint.across} <= {6 * IN}


def test_boards_cover_a_gable_wall_level_and_whole() -> None:
    shapely = pytest.importorskip("shapely")
    plan = room("12'", "10'", heights=(HeightPoint(0, 6 * FT, 12 * FT),))
    layout = lay(Boards(effort="first"), WALLS, plan, frozenset({0}))[0].layout()
    assert validate(layout) == ()
    assert layout.given.courses_along in ("x", "y")
    assert layout.near_corners == 0  # the steps that stand for the slants are no corners
    assert [*warnings(layout)][0].startswith("The top slants:")
    pieces = [shapely.Polygon([(x / IN, y / IN) for x, y in piece.rings[0]]) for piece in layout.pieces]
    (wall,) = surfaces(plan, "wall_net", frozenset({0}))
    assert (shape(wall) - shapely.union_all(pieces)).area == pytest.approx(0, abs=1e-3)
    assert sum(piece.area for piece in pieces) < 1.1 * shape(wall).area


def test_tile_follows_a_slanting_top_and_stops_under_a_soffit() -> None:
    shapely = pytest.importorskip("shapely")
    sloped = room("12'", "10'", heights=SLOPE)
    boxed = room("12'", "10'", soffits=(Soffit("Soffit", 1, 0, 10 * FT, FT, FT),))
    for plan, steps in ((sloped, True), (boxed, False)):
        (wall,) = surfaces(plan, "wall_net", frozenset({0}))
        layout = lay_tiles(wall.surface, (12 * IN, 12 * IN), TileRules(0, 0, 0), start="from wall")
        tiles = shapely.union_all(
            [
                shapely.Polygon([(x / IN, y / IN) for x, y in piece.rings[0]])
                if piece.rings
                else shapely.box(
                    piece.x_nm / IN,
                    piece.y_nm / IN,
                    (piece.x_nm + piece.width_nm) / IN,
                    (piece.y_nm + piece.height_nm) / IN,
                )
                for piece in layout.pieces
            ]
        )
        assert (shape(wall) - tiles).area == pytest.approx(0, abs=1e-3)
        assert steps == any(text.startswith("The top slants:") for text in layout.warnings)
        if not steps:  # 12 rows of 8 ft less one tile in the corner
            assert layout.used == 12 * 8 - 1
            assert tiles.area == pytest.approx(shape(wall).area)


@pytest.mark.parametrize("spec", [WALLS, CEILING], ids=["walls", "ceiling"])
def test_boards_of_a_soffit_and_a_step_keep_the_rules(spec: Any) -> None:
    step = (HeightPoint(0, 6 * FT, 8 * FT), HeightPoint(0, 6 * FT, 7 * FT), HeightPoint(0, 12 * FT, 7 * FT))
    soffits = (Soffit("Soffit", 1, 0, 10 * FT, FT, 2 * FT),)
    plan = room("12'", "10'", heights=step, soffits=soffits, openings=(NICHE,))
    layouts = lay(Boards(effort="first"), spec, plan)
    for laid in layouts:
        assert validate(laid.layout()) == ()
    names = [laid.request.room_surface.name for laid in layouts]
    if spec is CEILING:
        assert names == ["Ceiling, part 1", "Ceiling, part 2", "Underside of Soffit"]
    else:
        assert names[4:] == ["Niche in wall A, folded open", "Faces of Soffit", "Step in the ceiling"]
        assert all(laid.request.preferences.corner == "nw" for laid in layouts)


def test_a_niche_is_bought_for_as_one_surface() -> None:
    (niche,) = (each for each in surfaces(room(openings=(NICHE,)), "wall_net") if each.code == "niche-1")
    assert shape(niche).area == 24 * 12 + 2 * 4 * 24 + 2 * 4 * 12
    on_floor = replace(NICHE, sill_nm=0)
    (niche,) = (each for each in surfaces(room(openings=(on_floor,)), "wall_net") if each.code == "niche-1")
    assert shape(niche).area == 24 * 12 + 4 * 24 + 2 * 4 * 12
    plan = room(openings=(on_floor,))
    (floor,) = surfaces(plan, "floor")
    assert shape(floor).area / 144 == pytest.approx(float(measure(plan).amount("floor")))


def test_a_level_room_keeps_the_keys_of_its_layouts() -> None:
    (wall, *_) = lay(Boards(effort="first"), WALLS, room("12'", "10'"))
    # as it was before ceilings could slope: saved layouts are found by it
    assert wall.request.key == "06d569cbbde1879b7ea43dc7e4737c55c5b834d3422dd9dd3efce76ac71e3bea"
    (slanting, *_) = lay(Boards(effort="first"), WALLS, room("12'", "10'", heights=SLOPE))
    assert slanting.request.key != wall.request.key


def test_rows_of_furring_run_across_the_joists_where_those_are_known() -> None:
    # 12 ft along wall A by 10 ft: joists across from wall A are crossed by rows of 12 ft
    for joists, long in ((None, 12), (Framing(16 * IN), 12), (Framing(16 * IN, along_a=True), 10)):
        rows = rows_of(room("12'", "10'", ceiling_joists=joists), 24 * IN)
        assert {row.length_nm for row in rows} == {long * FT}


def test_rows_of_furring_go_up_a_slope() -> None:
    level = sum(row.length_nm for row in rows_of(room("12'", "10'"), 16 * IN))
    sloped = rows_of(room("12'", "10'", heights=SLOPE), 16 * IN)
    long = round(hypot(12, 4) * FT)
    assert all(abs(row.length_nm - long) < 10 for row in sloped)
    assert sum(row.length_nm for row in sloped) > level
