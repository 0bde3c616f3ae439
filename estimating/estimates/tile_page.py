"""What the page of a tiled surface shows: whole and cut tiles, boxes, and the waste that cutting makes.

Tile is bought as its assembly lays it. What other ways come to stands beside it, and the rule by area.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.packaging import UnusableOffers, cover
from catalog.assemblies.specs import MaterialSpec
from catalog.measures.lengths import feet_from_nm, sqft_from_nm2
from catalog.measures.units import format_amount, format_percent
from estimating.boards.drawing import tile_svg
from estimating.boards.start_lines import start_in_words
from estimating.boards.surfaces import SURFACE_MEASURES, RoomSurface, surfaces
from estimating.boards.tile import TileLayout, TilePreferences
from estimating.boards.tile_patterns import preferred_layout
from estimating.boards.tile_to_buy import TileUse, surface_name, tiles_in, tiles_to_buy
from estimating.estimates.draft import Draft
from estimating.estimates.work_page import bought_in_words
from estimating.sheet_layout.rules import CannotLay
from estimating.takeoff.work import ItemQuantities


@dataclass(frozen=True)
class TiledSurface:
    name: str
    svg: str
    layout: TileLayout
    remarks: tuple[str, ...]
    start: str  # where to snap the lines to start from


@dataclass(frozen=True)
class TilePage:
    """One tile on all surfaces of a work item; without surfaces, `problem` says why."""

    tile: MaterialSpec
    surfaces: tuple[TiledSurface, ...] = ()
    problem: str = ""
    whole: int = 0
    cut: int = 0
    to_buy: int = 0
    slivers: int = 0
    bought: str = ""
    as_priced: str = ""
    priced_by_area: bool = False
    by_area: str = ""
    waste: str = ""
    rule_waste: str = ""
    joints: str = ""


def first_tile(quantities: ItemQuantities) -> TileUse | None:
    """Return the first tile of known size that a work item lays on surfaces of rooms.

    None where it lays none, or where the area was entered by hand: then no surface is known.
    """
    work = quantities.work
    if not work.assembly or not work.rooms:
        return None
    tile_use = next(tiles_in(work.assembly), None)
    typed = {override.measure for override in work.overrides}
    if tile_use is None or typed & (SURFACE_MEASURES | {tile_use.assembly.measure}):
        return None
    return tile_use


def tile_page(
    draft: Draft, quantities: ItemQuantities, tile_use: TileUse, preferences: TilePreferences, metric: bool
) -> TilePage:
    """Return the page of a work item's tile, laid by these preferences on all its surfaces."""
    hide = draft.conventions.cabinets_hide_walls
    room_surfaces = [
        (draft.rooms[use.room].name, room_surface)
        for use in quantities.work.rooms
        for room_surface in surfaces(draft.rooms[use.room], tile_use.covers, use.walls, hide)
    ]
    try:
        tiled_surfaces = [
            _tiled(tile_use, room, room_surface, preferences, metric, ident=f"tile{number}")
            for number, (room, room_surface) in enumerate(room_surfaces)
        ]
    except CannotLay as refusal:
        return TilePage(tile_use.tile, problem=str(refusal))
    of_tile = [row for row in quantities.requirements if row.component == tile_use.component.key]
    as_priced = sum((row.quantity for row in of_tile), Fraction(0))
    by_area = sum((row.calculation.quantity() for row in of_tile), Fraction(0))
    page = _page(tile_use, tiled_surfaces, preferences.rules.spare, metric)
    return replace(
        page,
        as_priced=_boxes(tile_use.tile, as_priced, metric),
        priced_by_area=not any(row.laid for row in of_tile),
        by_area=_boxes(tile_use.tile, by_area, metric),
    )


def _tiled(
    tile_use: TileUse,
    room: str,
    room_surface: RoomSurface,
    preferences: TilePreferences,
    metric: bool,
    ident: str,
) -> TiledSurface:
    layout = preferred_layout(room_surface.surface, tile_use.size_nm, preferences)
    name = surface_name(room, room_surface)
    svg = tile_svg(layout, name, metric, ident=ident)
    start = start_in_words(layout, metric)
    return TiledSurface(name, svg, layout, (*room_surface.notes, *layout.warnings), start)


def _page(
    tile_use: TileUse, tiled_surfaces: Sequence[TiledSurface], spare: Fraction, metric: bool
) -> TilePage:
    tile, rule_waste = tile_use.tile, tile_use.component.waste
    layouts = [surface.layout for surface in tiled_surfaces]
    used, to_buy = sum(layout.used for layout in layouts), tiles_to_buy(layouts, spare)
    waste = Fraction(0)
    if used:
        waste = 1 - Fraction(sum(layout.tile_nm2 for layout in layouts), used * tile_use.area_nm2)
    return TilePage(
        tile=tile,
        surfaces=tuple(tiled_surfaces),
        whole=sum(layout.whole for layout in layouts),
        cut=sum(layout.cut for layout in layouts),
        to_buy=to_buy,
        slivers=sum(layout.slivers for layout in layouts),
        bought=_boxes(tile, sqft_from_nm2(to_buy * tile_use.area_nm2), metric),
        waste=format_percent(waste),
        joints=format_amount(feet_from_nm(sum(layout.joint_nm for layout in layouts)), "ft", metric),
        rule_waste=format_percent(rule_waste / (1 + rule_waste)),
    )


def _boxes(tile: MaterialSpec, area_sqft: Fraction, metric: bool) -> str:
    """Return an area of tile in words, with the packages that hold it where they are known."""
    area = format_amount(area_sqft, tile.unit, metric)
    try:
        boxes = bought_in_words(cover(area_sqft, tile.offers), tile.unit, metric) if tile.offers else ""
    except UnusableOffers:
        boxes = ""
    return f"{area}: {boxes}" if boxes else area
