"""What the page of a tiled surface shows: whole and cut tiles, boxes, and the waste that cutting makes.

Tile is bought by the rule of the assembly; the layout stands beside it, for him to judge the rule by.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.expansion import AssemblySpec, ComponentSpec, MaterialSpec
from catalog.assemblies.packaging import UnusableOffers, cover
from catalog.measures.units import format_percent, format_quantity, sqft_from_nm2
from estimating.boards.drawing import tile_svg
from estimating.boards.layouts import TileWish, is_tile, tiled
from estimating.boards.surfaces import LAID_MEASURES, RoomSurface, surfaces
from estimating.boards.tile import COMMON, TileLayout
from estimating.estimates.draft import Draft
from estimating.estimates.work_page import packages_in_words
from estimating.sheet_layout.rules import CannotLay
from estimating.takeoff.work import Taken


@dataclass(frozen=True)
class TiledSurface:
    name: str
    svg: str
    layout: TileLayout
    remarks: tuple[str, ...]


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
    by_rule: str = ""
    waste: str = ""
    rule_waste: str = ""


def tiles_in(assembly: AssemblySpec) -> Iterator[tuple[AssemblySpec, ComponentSpec]]:
    """The tiles of known size that an assembly, or one nested in it, lays on a surface."""
    for component in assembly.components:
        use = component.use
        if isinstance(use, AssemblySpec):
            yield from tiles_in(use)
        elif isinstance(use, MaterialSpec) and use.sheet and is_tile(use):
            covers = component.scales_with or assembly.measure
            if covers == assembly.measure and covers in LAID_MEASURES:
                yield assembly, component


def has_tile(taken: Taken) -> bool:
    """Whether a work item lays tile of known size on surfaces of rooms, none of them put in by hand."""
    work = taken.work
    by_hand = any(each.measure in LAID_MEASURES for each in work.overrides)
    return bool(work.assembly and work.rooms and not by_hand and next(tiles_in(work.assembly), None))


def usual_tile(taken: Taken) -> TileWish:
    """How the tile of a work item is set where nothing else is asked for: as its assembly says."""
    assembly, _ = next(tiles_in(taken.work.assembly))
    rules = COMMON
    if assembly.tile_joint_nm is not None:
        rules = replace(rules, joint_nm=assembly.tile_joint_nm)
    if assembly.tile_offset is not None:
        rules = replace(rules, offset=assembly.tile_offset)
    return TileWish(rules=rules)


def tile_page(draft: Draft, taken: Taken, wish: TileWish, metric: bool) -> TilePage:
    """The first tile of a work item that has some, laid."""
    work = taken.work
    assembly, component = next(tiles_in(work.assembly))
    tile = component.use
    hide = draft.conventions.cabinets_hide_walls
    on = [
        (draft.rooms[use.room].name, surface)
        for use in work.rooms
        for surface in surfaces(draft.rooms[use.room], assembly.measure, use.walls, hide)
    ]
    try:
        laid = [_laid(tile, room, surface, wish, metric, place) for place, (room, surface) in enumerate(on)]
    except CannotLay as refusal:
        return TilePage(tile, problem=str(refusal))
    by_rule = sum(
        (each.quantity for each in taken.requirements if each.component == component.key), Fraction(0)
    )
    return _page(tile, laid, component.waste, by_rule, metric)


def _laid(
    tile: MaterialSpec, room: str, on: RoomSurface, wish: TileWish, metric: bool, place: int
) -> TiledSurface:
    layout = tiled(on.surface, (tile.sheet.length_nm, tile.sheet.width_nm), wish)
    name = f"{room}, {on.name[0].lower()}{on.name[1:]}"
    return TiledSurface(
        name, tile_svg(layout, name, metric, ident=f"tile{place}"), layout, (*on.notes, *layout.warnings)
    )


def _page(
    tile: MaterialSpec, laid: Sequence[TiledSurface], rule_waste: Fraction, by_rule: Fraction, metric: bool
) -> TilePage:
    layouts = [each.layout for each in laid]
    one_nm2 = tile.sheet.length_nm * tile.sheet.width_nm
    used, to_buy = sum(each.used for each in layouts), sum(each.to_buy for each in layouts)
    waste = 1 - Fraction(sum(each.tile_nm2 for each in layouts), used * one_nm2) if used else Fraction(0)
    return TilePage(
        tile=tile,
        surfaces=tuple(laid),
        whole=sum(each.whole for each in layouts),
        cut=sum(each.cut for each in layouts),
        to_buy=to_buy,
        slivers=sum(each.slivers for each in layouts),
        bought=_boxes(tile, sqft_from_nm2(to_buy * one_nm2), metric),
        by_rule=_boxes(tile, by_rule, metric),
        waste=format_percent(waste),
        rule_waste=format_percent(rule_waste / (1 + rule_waste)),
    )


def _boxes(tile: MaterialSpec, area_sqft: Fraction, metric: bool) -> str:
    """How much that is, and the packages that hold it."""
    area = format_quantity(area_sqft, tile.unit, metric)
    try:
        boxes = packages_in_words(cover(area_sqft, tile.offers), tile.unit, metric) if tile.offers else ""
    except UnusableOffers:
        boxes = ""
    return f"{area}: {boxes}" if boxes else area
