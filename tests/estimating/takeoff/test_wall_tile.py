"""Wall tile taken from the walls of the plan: areas, lengths, and tile bought as it lies."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from catalog.assemblies.specs import AssemblySpec, SheetSize
from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.rooms.plan import Footprint, Opening, RoomPlan, rectangle
from estimating.takeoff.scope_text import quantity_in_words
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import DEFAULT_CONVENTIONS, ItemQuantities, Override, RoomUse, Work
from tests.specs import assembly, material, uses

IN = NM_PER_INCH
TILE = material("tile", "sq ft", ("12.5", "30.00"), sheet=SheetSize(6 * IN, 3 * IN, 0))
TUB = Footprint("Tub", "tub", 1, 0, 60 * IN, 30 * IN, 16 * IN)
BATH = RoomPlan("Bath", rectangle(96 * IN, 60 * IN), 96 * IN, footprints=(TUB,))
JOINT = IN // 8


def wall_tile(**fields: Any) -> AssemblySpec:
    fields = {"plan_measure": "surround", "tile_joint_nm": JOINT, "tile_offset": Fraction(1, 2)} | fields
    return assembly("wall tile", "area", uses(TILE, waste=Fraction(1, 10)), **fields)


def taken_off(
    spec: AssemblySpec, *overrides: Override, plan: RoomPlan = BATH, walls: frozenset[int] | None = None
) -> ItemQuantities:
    work = Work("1", "Tile", "finish", assembly=spec, rooms=(RoomUse("a", walls),), overrides=overrides)
    return take_off({"a": plan}, [work]).items[0]


def test_tile_at_a_tub_follows_the_plan_where_nothing_is_typed() -> None:
    item = taken_off(wall_tile())
    assert item.measures.values["area"] == Fraction(120 * 68, 144)
    assert quantity_in_words(item, DEFAULT_CONVENTIONS) == "57 sq ft of tub and shower walls"
    longer = replace(BATH, footprints=(replace(TUB, tile_to_nm=96 * IN),))
    assert taken_off(wall_tile(), plan=longer).measures.values["area"] == Fraction(120 * 80, 144)


def test_an_area_that_is_typed_holds_and_is_bought_by_area() -> None:
    item = taken_off(wall_tile(), Override("area", Fraction(70), "as tiled today"))
    (requirement,) = item.requirements
    assert (requirement.quantity, requirement.laid) == (77, "")
    assert not item.tiles
    assert not item.from_plan


def test_a_room_without_a_tub_asks_for_the_area() -> None:
    item = taken_off(wall_tile(), plan=replace(BATH, footprints=()))
    assert "type it in by hand" in item.problem


def test_only_the_chosen_walls_are_tiled() -> None:
    assert taken_off(wall_tile(), walls=frozenset({1})).measures.values["area"] == Fraction(60 * 68, 144)


def test_edges_and_sealed_joints_follow_the_plan() -> None:
    strip = material("strip", "ft", ("8", "12.00"))
    for code, length in (("surround_edge", 120 + 2 * 68), ("surround_joint", 120 + 2 * 68)):
        spec = assembly("strip", "length", uses(strip), plan_measure=code)
        assert taken_off(spec).measures.values["length"] == Fraction(length, 12)


def test_an_area_is_never_taken_for_work_that_does_not_ask_for_it() -> None:
    spec = assembly("floor", "floor", uses(TILE), plan_measure="surround")
    assert taken_off(spec).measures.values["floor"] == 40


@pytest.mark.parametrize(
    "opening",
    [
        None,
        Opening("Niche", "niche", 1, 14 * IN, 24 * IN, 44 * IN, 20 * IN, 4 * IN),
        Opening("Window", "window", 1, 24 * IN, 20 * IN, 50 * IN, 18 * IN),
    ],
    ids=["plain", "niche", "window"],
)
def test_tiles_are_those_of_a_grid_that_touch_the_walls(opening: Opening | None) -> None:
    """Lay the grid of the engine's first tile anew by shapely, and look that it stands whole on the tub."""
    plan = replace(BATH, openings=(opening,) if opening else ())
    item = taken_off(wall_tile(tile_offcuts=False, tile_spare=Fraction(0)), plan=plan)
    (tile,) = item.tiles.values()
    walls = [layout for layout in tile.layouts if layout.surface.level]
    assert len(walls) == 3
    assert len(tile.layouts) == 3 + (opening is not None and opening.is_niche)
    for layout in walls:
        (left, low), (right, high) = layout.surface.ring[0], layout.surface.ring[2]
        gap = IN // 8
        ground: BaseGeometry = box(left + gap, low + gap, right - gap, high - gap)
        for hole in layout.surface.holes:
            ground = ground.difference(Polygon(hole).buffer(gap, join_style="mitre"))
        assert min(piece.y_nm for piece in layout.pieces) == low + gap
        assert {piece.height_nm for piece in layout.pieces if piece.course == 0} == {3 * IN}
        first = min(piece.x_nm + piece.width_nm for piece in layout.pieces if piece.course == 0)
        period, met = 6 * IN + JOINT, 0
        for row in range(40):
            for column in range(-40, 40):
                right_end = first + row * period // 2 + column * period
                foot = low + gap + row * (3 * IN + JOINT)
                part = box(right_end - 6 * IN, foot, right_end, foot + 3 * IN).intersection(ground)
                met += sum(each.area > 1e9 for each in getattr(part, "geoms", [part]))
        assert layout.used == met
    assert item.requirements[0].quantity == Fraction(tile.used * 18, 144)


def test_the_client_reads_of_walls_what_their_layout_keeps() -> None:
    """Running bond centered on a wall ends alike at both sides, a course for itself."""
    item = taken_off(wall_tile())
    (tile,) = item.tiles.values()
    said = tile.for_client()
    assert "each wall begins at its foot with whole tiles" in said
    least = min(
        min(piece.width_nm, piece.height_nm)
        for layout in tile.layouts
        for piece in layout.pieces
        if not piece.whole
    )
    assert f"no cut piece of tile is under {format_length(least // (IN // 4) * (IN // 4))}" in said
    alike = True
    for layout in tile.layouts:
        for course in {piece.course for piece in layout.pieces}:
            row = [piece for piece in layout.pieces if piece.course == course]
            row.sort(key=lambda piece: piece.x_nm)
            alike = alike and abs(row[0].width_nm - row[-1].width_nm) <= IN // 16
    assert alike is ("alike at both sides" in said)


def test_nothing_is_said_of_a_foot_that_is_cut() -> None:
    """Where tile ends 6-3/4 in above the tub, whole rows would leave a sliver: the layout starts lower."""
    low = replace(BATH, footprints=(replace(TUB, tile_to_nm=16 * IN + IN * 27 // 4),))
    (tile,) = taken_off(wall_tile(), plan=low).tiles.values()
    feet = {piece.height_nm for layout in tile.layouts for piece in layout.pieces if piece.course == 0}
    assert feet != {3 * IN}
    assert "begins at its foot with whole tiles" not in tile.for_client()


GROUT = material("grout", "lb", ("10", "20.00"))


def test_grout_goes_by_the_joints_of_the_tile_as_it_is_laid() -> None:
    """Counted anew by shapely: between the tiles of each wall lies what its ground leaves of their area."""
    part = replace(uses(GROUT, "1 lb per sq ft"), fills_joints=True)
    spec = assembly("grout", "area", part, plan_measure="surround", after=("wall-tile",))
    tile = wall_tile()
    uses_of = (RoomUse("a"),)
    works = [
        Work("1", "Tile", "finish", assembly=tile, rooms=uses_of),
        Work("2", "Grout", "finish", assembly=spec, rooms=uses_of),
    ]
    tiled, grouted = take_off({"a": BATH}, works).items
    (laid,) = tiled.tiles.values()
    length = 0.0
    for layout in laid.layouts:
        (left, low), (right, high) = layout.surface.ring[0], layout.surface.ring[2]
        ground = box(left, low, right, high).buffer(-IN / 8, join_style="mitre").area
        covered = sum(piece.width_nm * piece.height_nm for piece in layout.pieces)
        length += (ground - covered) / JOINT
    area = 120 * 68 * IN * IN
    by_area = area * (6 + 3 + 1 / 8) / ((6 + 1 / 8) * (3 + 1 / 8)) / IN
    (requirement,) = grouted.requirements
    # what is left free counts each crossing once, the joints' lengths as far as they run
    assert float(requirement.quantity) == pytest.approx(120 * 68 / 144 * length / by_area, rel=0.02)
    assert "ft of joint as the tile is laid" in requirement.in_words()
    alone = take_off({"a": BATH}, works[1:]).items[0].requirements[0]
    assert alone.quantity == Fraction(120 * 68, 144) > requirement.quantity


def test_grout_of_another_area_or_of_typed_tile_goes_by_area() -> None:
    part = replace(uses(GROUT, "1 lb per sq ft"), fills_joints=True)
    spec = assembly("grout", "area", part, plan_measure="surround", after=("wall-tile",))
    typed = (Override("area", Fraction(50), "less"),)
    for of_tile, of_grout, expected in (((), typed, 50), (typed, (), Fraction(120 * 68, 144))):
        works = [
            Work(
                "1",
                "T",
                "finish",
                assembly=wall_tile(),
                rooms=(RoomUse("a"),),
                overrides=of_tile,
            ),
            Work("2", "G", "finish", assembly=spec, rooms=(RoomUse("a"),), overrides=of_grout),
        ]
        assert take_off({"a": BATH}, works).items[1].requirements[0].quantity == expected
