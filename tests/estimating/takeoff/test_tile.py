"""Tile bought as it lies: pieces counted by another geometry, boxes, and by area where it must be."""

import re
from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import Any

import pytest
from shapely import Polygon, box

from catalog.assemblies.specs import AssemblySpec, SheetSize
from catalog.measures.lengths import NM_PER_INCH, parse_length
from estimating.boards.tile_to_buy import LaidTile
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import ItemQuantities, Override, RoomUse, Work
from tests.specs import assembly, material, room, uses

LARGE = material("large", "sq ft", ("15.5", "78.00"), sheet=SheetSize(24 * NM_PER_INCH, 12 * NM_PER_INCH, 0))
SMALL = material("small", "sq ft", ("10", "40.00"), sheet=SheetSize(12 * NM_PER_INCH, 12 * NM_PER_INCH, 0))
JOINT = NM_PER_INCH * 3 // 16


def floor(tile: Any = LARGE, **fields: Any) -> AssemblySpec:
    fields = {"tile_joint_nm": JOINT, "tile_offset": Fraction(1, 3)} | fields
    return assembly("tile floor", "floor", uses(tile, waste=Fraction(12, 100)), **fields)


def laid(spec: AssemblySpec, plan: RoomPlan, *overrides: Override) -> tuple[ItemQuantities, Any]:
    """Take tile off on one room; return the work item and the one material that is bought."""
    work = Work("1", "Tile", "finish", assembly=spec, rooms=(RoomUse("a"),), overrides=overrides)
    result = take_off({"a": plan}, [work])
    (line,) = result.materials
    return result.items[0], line


def tile_of(item: ItemQuantities) -> LaidTile:
    (tile,) = item.tiles.values()
    return tile


@pytest.mark.parametrize(
    ("length", "width"), [("11' 3\"", "8' 7\""), ("9' 1\"", "5'"), ("14'", "12' 2 1/2\"")]
)
def test_tiles_are_those_of_a_grid_that_touch_the_floor(length: str, width: str) -> None:
    """Lay the grid of the engine's own first tile anew by shapely: as many tiles meet the floor."""
    item, _ = laid(floor(tile_offcuts=False, tile_spare=Fraction(0)), room(length, width))
    (layout,) = tile_of(item).layouts
    gap, across, up = NM_PER_INCH // 8, 24 * NM_PER_INCH, 12 * NM_PER_INCH
    ground: Polygon = Polygon(layout.surface.ring).buffer(-gap, join_style="mitre")
    first_up = min(piece.y_nm + piece.height_nm for piece in layout.pieces)
    first_across = min(piece.x_nm + piece.width_nm for piece in layout.pieces if piece.course == 0)
    met = whole = 0
    for row in range(40):
        shift = row * (across + JOINT) // 3
        for column in range(-40, 40):
            right, top = (
                first_across + shift + column * (across + JOINT),
                first_up + row * (up + JOINT),
            )
            part = box(right - across, top - up, right, top).intersection(ground).area
            met += part > 1e9  # a hair of a third, rounded, is no piece
            whole += part > across * up * (1 - 1e-6)
    assert (layout.used, layout.whole) == (met, whole)


def test_twelve_floors_get_the_boxes_that_their_layouts_take() -> None:
    """By area and 12 % most of these floors came short of whole tiles without offcuts."""
    short = 0
    for number in range(12):
        plan = room(f"{7 + number}' {number}\"", f"{5 + number % 5}' {11 - number}\"")
        item, line = laid(floor(tile_offcuts=False, tile_spare=Fraction(0)), plan)
        (requirement,) = item.requirements
        used = sum(layout.used for layout in tile_of(item).layouts)
        assert line.purchase.package_count == ceil(Fraction(used * 2) / Fraction("15.5"))
        by_area = ceil(requirement.calculation.quantity() / Fraction("15.5"))
        short += by_area < line.purchase.package_count
    assert short >= 6


def test_offcuts_and_what_is_bought_besides_are_rules_that_can_be_changed() -> None:
    plan = room("10' 1\"", "8' 1\"")
    spec = floor(SMALL, tile_offset=Fraction(1, 2), tile_offcuts=False, tile_spare=Fraction(0))
    plain = tile_of(laid(spec, plan)[0])
    once_more = tile_of(laid(replace(spec, tile_offcuts=True), plan)[0])
    besides = tile_of(laid(replace(spec, tile_spare=Fraction(1, 10)), plan)[0])
    assert once_more.used < plain.used
    assert besides.to_buy == ceil(plain.used * Fraction(11, 10))
    assert "no offcut serves again" in plain.in_words()
    assert "what is cut off serves once more" in once_more.in_words()
    assert "10% for breakage and repairs" in besides.in_words()


def test_the_share_besides_is_rounded_up_once_for_all_rooms() -> None:
    rooms = {"a": room("4'", "4'"), "b": room("4'", "4'")}
    work = Work("1", "Tile", "finish", assembly=floor(SMALL), rooms=(RoomUse("a"), RoomUse("b")))
    tile = tile_of(take_off(rooms, [work]).items[0])
    assert tile.to_buy == ceil(tile.used * Fraction(21, 20))


def test_an_area_put_in_by_hand_is_bought_by_the_rule_and_says_so() -> None:
    item, line = laid(floor(), room(), Override("floor", Fraction(100), "seen"))
    assert line.required == 112
    assert item.tiles == {}
    assert item.requirements[0].in_words().endswith("; by area, as no surface was measured for it")


def test_tile_that_cannot_be_laid_is_bought_by_area_and_says_why() -> None:
    """The joint is wider than the tile."""
    item, line = laid(floor(tile_joint_nm=13 * NM_PER_INCH), room())
    assert line.required == 120 * Fraction(112, 100)
    assert "; by area, as The joint must be less than the tile" in item.requirements[0].in_words()


def test_tile_that_covers_the_surface_twice_is_bought_by_area() -> None:
    spec = assembly("twice", "floor", uses(LARGE, times=Fraction(2)))
    item, line = laid(spec, room())
    assert line.required == 240
    assert item.tiles == {}


@pytest.mark.parametrize(
    ("wide", "spec"), [("10' 1\"", floor()), ("9' 6\"", floor(SMALL, tile_offset=Fraction(0)))]
)
def test_the_clients_words_say_the_least_cut_that_the_layout_has(wide: str, spec: AssemblySpec) -> None:
    item, _ = laid(spec, room(wide, "8' 1\""))
    said = re.search(r"no cut piece of tile is under (.+)\.", item.scope())
    assert said
    promised = parse_length(said[1])
    cut = [
        min(piece.width_nm, piece.height_nm) for piece in tile_of(item).layouts[0].pieces if not piece.whole
    ]
    assert promised <= min(cut) < promised + NM_PER_INCH // 4


def test_nothing_is_said_of_cuts_where_all_tiles_are_whole_or_none_is_laid() -> None:
    whole = floor(SMALL, tile_joint_nm=0, tile_offset=Fraction(0))
    assert laid(whole, room("10' 1/4\"", "8' 1/4\""))[0].scope() == ""
    assert laid(floor(), room(), Override("floor", Fraction(100), "seen"))[0].scope() == ""


@pytest.mark.parametrize(
    ("pattern", "said"),
    [
        ("diagonal", "Laid at 45 degrees to the walls"),
        ("herringbone", "Laid in herringbone along the walls"),
        ("herringbone-45", "Laid in herringbone at 45 degrees to the walls"),
    ],
)
def test_a_pattern_is_bought_and_said_as_it_is_laid(pattern: str, said: str) -> None:
    plan = room("12' 5\"", "9' 7\"")
    straight, _ = laid(floor(tile_offcuts=False), plan)
    item, line = laid(floor(tile_offcuts=False, tile_pattern=pattern), plan)
    (layout,) = tile_of(item).layouts
    assert layout.rules.pattern == pattern
    assert layout.used > tile_of(straight).used  # what is cut on all sides takes more than courses do
    assert line.purchase.package_count == ceil(
        Fraction(ceil(layout.used * Fraction(21, 20)) * 2) / Fraction("15.5")
    )
    words = tile_of(item).for_client()
    assert words.startswith(said)
    assert ("begun in the middle" in words) is not layout.moved
    least = min(min(piece.width_nm, piece.height_nm) for piece in layout.pieces if not piece.whole)
    found = re.search(r"under (.+)\.$", words)
    assert found is None or 0 <= least - parse_length(found[1]) < NM_PER_INCH // 4
    assert bool(found) is (least >= (NM_PER_INCH if layout.slanting else NM_PER_INCH // 4))
