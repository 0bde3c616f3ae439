"""What the page of a tiled surface shows: whole and cut tiles, boxes, and the waste that cutting makes.

Tile is bought by the rule of the assembly. The layout stands beside it, so that the rule can be judged by it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.packaging import UnusableOffers, cover
from catalog.assemblies.specs import AssemblySpec, ComponentSpec, MaterialSpec, SheetSize
from catalog.measures.lengths import sqft_from_nm2
from catalog.measures.units import format_amount, format_percent
from estimating.boards.drawing import tile_svg
from estimating.boards.surfaces import SURFACE_MEASURES, RoomSurface, surfaces
from estimating.boards.tile import COMMON, TileLayout, TilePreferences, is_tile, preferred_layout
from estimating.estimates.draft import Draft
from estimating.estimates.work_page import bought_in_words
from estimating.sheet_layout.rules import CannotLay
from estimating.takeoff.work import ItemQuantities


@dataclass(frozen=True)
class TileUse:
    """A tile of known size in an assembly: the assembly and its component that lay it."""

    assembly: AssemblySpec
    component: ComponentSpec
    tile: MaterialSpec
    size: SheetSize

    @property
    def size_nm(self) -> tuple[int, int]:
        return self.size.length_nm, self.size.width_nm

    @property
    def area_nm2(self) -> int:
        return self.size.length_nm * self.size.width_nm

    @property
    def usual(self) -> TilePreferences:
        """How the tile is set where nothing else is asked for: as its assembly says."""
        rules = COMMON
        if self.assembly.tile_joint_nm is not None:
            rules = replace(rules, joint_nm=self.assembly.tile_joint_nm)
        if self.assembly.tile_offset is not None:
            rules = replace(rules, offset=self.assembly.tile_offset)
        return TilePreferences(rules=rules)


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


def tiles_in(assembly: AssemblySpec) -> Iterator[TileUse]:
    """Yield the tiles of known size that an assembly, or one nested in it, lays on a surface."""
    for component in assembly.components:
        use = component.use
        if isinstance(use, AssemblySpec):
            yield from tiles_in(use)
        elif isinstance(use, MaterialSpec) and use.sheet and is_tile(use):
            covers = component.scales_with or assembly.measure
            if covers == assembly.measure and covers in SURFACE_MEASURES:
                yield TileUse(assembly, component, use, use.sheet)


def first_tile(quantities: ItemQuantities) -> TileUse | None:
    """Return the first tile of known size that a work item lays on surfaces of rooms.

    None where it lays none, or where the area was entered by hand: then no surface is known.
    """
    work = quantities.work
    by_hand = any(override.measure in SURFACE_MEASURES for override in work.overrides)
    if not work.assembly or not work.rooms or by_hand:
        return None
    return next(tiles_in(work.assembly), None)


def tile_page(
    draft: Draft, quantities: ItemQuantities, tile_use: TileUse, preferences: TilePreferences, metric: bool
) -> TilePage:
    """Return the page of a work item's tile, laid by these preferences on all its surfaces."""
    hide = draft.conventions.cabinets_hide_walls
    room_surfaces = [
        (draft.rooms[use.room].name, room_surface)
        for use in quantities.work.rooms
        for room_surface in surfaces(draft.rooms[use.room], tile_use.assembly.measure, use.walls, hide)
    ]
    try:
        tiled_surfaces = [
            _tiled(tile_use, room, room_surface, preferences, metric, ident=f"tile{number}")
            for number, (room, room_surface) in enumerate(room_surfaces)
        ]
    except CannotLay as refusal:
        return TilePage(tile_use.tile, problem=str(refusal))
    by_rule = sum(
        (
            requirement.quantity
            for requirement in quantities.requirements
            if requirement.component == tile_use.component.key
        ),
        Fraction(0),
    )
    return _page(tile_use, tiled_surfaces, by_rule, metric)


def _tiled(
    tile_use: TileUse,
    room: str,
    room_surface: RoomSurface,
    preferences: TilePreferences,
    metric: bool,
    ident: str,
) -> TiledSurface:
    layout = preferred_layout(room_surface.surface, tile_use.size_nm, preferences)
    name = f"{room}, {room_surface.name[0].lower()}{room_surface.name[1:]}"
    svg = tile_svg(layout, name, metric, ident=ident)
    return TiledSurface(name, svg, layout, (*room_surface.notes, *layout.warnings))


def _page(
    tile_use: TileUse, tiled_surfaces: Sequence[TiledSurface], by_rule: Fraction, metric: bool
) -> TilePage:
    tile, rule_waste = tile_use.tile, tile_use.component.waste
    layouts = [surface.layout for surface in tiled_surfaces]
    used, to_buy = sum(layout.used for layout in layouts), sum(layout.to_buy for layout in layouts)
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
        by_rule=_boxes(tile, by_rule, metric),
        waste=format_percent(waste),
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
