"""Tile bought from its layout: whole and cut tiles on all surfaces of a work item, and the share besides.

An assembly says how its tile is set, whether what is cut off serves once more, and the share bought besides.
Where no surface is known, or tile can't be laid on it, tile is bought by area and the waste of the catalog.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from catalog.assemblies.specs import AssemblySpec, ComponentSpec, MaterialSpec, SheetSize
from catalog.measures.lengths import NM_PER_INCH, format_length, sqft_from_nm2
from catalog.measures.units import format_number
from estimating.boards.surfaces import SURFACE_MEASURES, RoomSurface, surfaces
from estimating.boards.tile import (
    COMMON,
    ROUNDING_NM,
    TileLayout,
    TilePattern,
    TilePreferences,
    TileStart,
    is_tile,
)
from estimating.boards.tile_patterns import preferred_layout
from estimating.plain_text import list_in_words
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.rules import CannotLay

# Patterns as the client reads them; the usual one isn't said.
PATTERN_WORDS: Mapping[TilePattern, str] = {
    "straight": "",
    "diagonal": "at 45 degrees to the walls",
    "herringbone": "in herringbone along the walls",
    "herringbone-45": "in herringbone at 45 degrees to the walls",
}
_PATTERNS: Mapping[str, TilePattern] = {pattern: pattern for pattern in PATTERN_WORDS}
_STEP, _STEP_METRIC = NM_PER_INCH // 4, 5_000_000  # to which a least cut is rounded down


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
    def covers(self) -> str:
        """The measure whose surfaces it is laid on: of the plan, where that stands for one typed by hand."""
        return self.assembly.plan_measure or self.assembly.measure

    @property
    def usual(self) -> TilePreferences:
        """How the tile is set where nothing else is asked for: as its assembly says, on walls from below."""
        assembly = self.assembly
        rules = replace(COMMON, reuse_offcuts=assembly.tile_offcuts, spare=assembly.tile_spare)
        if assembly.tile_joint_nm is not None:
            rules = replace(rules, joint_nm=assembly.tile_joint_nm)
        if assembly.tile_offset is not None:
            rules = replace(rules, offset=assembly.tile_offset)
        rules = replace(rules, pattern=_PATTERNS[assembly.tile_pattern])
        start: TileStart = "centred" if self.covers in ("floor", "ceiling") else "from below"
        return TilePreferences(start, rules=rules)


@dataclass(frozen=True)
class LaidTile:
    """One tile on all surfaces of a work item; without layouts, `problem` says why it is bought by area.

    `names` and `notes` are those of the surface of each layout.
    """

    use: TileUse
    layouts: tuple[TileLayout, ...] = ()
    problem: str = ""
    names: tuple[str, ...] = ()
    notes: tuple[tuple[str, ...], ...] = ()

    @property
    def used(self) -> int:
        return sum(layout.used for layout in self.layouts)

    @property
    def to_buy(self) -> int:
        return tiles_to_buy(self.layouts, self.use.usual.rules.spare)

    @property
    def to_buy_sqft(self) -> Fraction:
        return sqft_from_nm2(self.to_buy * self.use.area_nm2)

    @property
    def joint_nm(self) -> int:
        """The length of all joints between its tiles."""
        return sum(layout.joint_nm for layout in self.layouts)

    def joint_nm_of(self, area_sqft: Fraction) -> Fraction:
        """Return the length of joint that an area without edges has: a tile's two sides and a crossing."""
        area_nm2 = area_sqft * (12 * NM_PER_INCH) ** 2
        (long, short), joint = self.use.size_nm, self.use.usual.rules.joint_nm
        return area_nm2 * (long + short + joint) / ((long + joint) * (short + joint))

    def in_words(self) -> str:
        """Say how many tiles are bought and why, such as "63 whole tiles and 17 cut from 12"."""
        whole, cut = sum(row.whole for row in self.layouts), sum(row.cut for row in self.layouts)
        rules = self.use.usual.rules
        words = f"As it is laid: {whole:,} whole tiles"
        if cut:
            offcuts = "what is cut off serves once more" if rules.reuse_offcuts else "no offcut serves again"
            words += f" and {cut:,} pieces cut from {self.used - whole:,} ({offcuts})"
        if rules.spare:
            words += f", and {format_number(rules.spare * 100)}% for breakage and repairs"
        return f"{words}: {self.to_buy:,} tiles"

    def for_client(self, metric: bool = False) -> str:
        """Say how small a cut gets and how walls begin, as the layouts have it; empty where they only come
        near or cut nothing.

        A cut counts by the shorter side of its box, rounded down so that the layout keeps what is said.
        """
        if not all(layout.surface.rectilinear for layout in self.layouts):
            return ""
        cuts = [piece for layout in self.layouts for piece in layout.pieces if not piece.whole]
        step = _STEP_METRIC if metric else _STEP
        least = min((min(piece.width_nm, piece.height_nm) for piece in cuts), default=0) // step * step
        if least < NM_PER_INCH and any(layout.slanting for layout in self.layouts):
            least = 0  # a corner cut at 45 degrees, of which nothing is worth saying
        said = [f"no cut piece of tile is under {format_length(least, metric)}"] if least else []
        if pattern := PATTERN_WORDS[self.use.usual.rules.pattern]:
            middle = "" if any(layout.moved for layout in self.layouts) else ", begun in the middle"
            return f"Laid {pattern}{middle}{': ' if said else ''}{''.join(said)}."
        walls = [layout for layout in self.layouts if layout.surface.level]
        if walls and all(map(begins_whole, walls)):
            said.append("each wall begins at its foot with whole tiles")
        if walls and all(map(ends_alike, walls)):
            said.append("tile ends alike at both sides")
        return f"As laid out, {list_in_words(said)}." if said else ""


def begins_whole(layout: TileLayout) -> bool:
    """Tell whether the pieces at the foot of a wall are as high as a tile, but for what is cut out."""
    foot = min(piece.y_nm for piece in layout.pieces)
    high = min(layout.tile_nm) if layout.courses_along == "x" else max(layout.tile_nm)
    return all(
        piece.height_nm >= high - ROUNDING_NM
        for piece in layout.pieces
        if piece.y_nm == foot and not piece.rings
    )


def ends_alike(layout: TileLayout) -> bool:
    """Tell whether each course ends at both sides of the wall with pieces of one width, to 1/16 in."""
    left = min(piece.x_nm for piece in layout.pieces)
    right = max(piece.x_nm + piece.width_nm for piece in layout.pieces)
    ends: dict[int, dict[str, int]] = {}
    for piece in layout.pieces:
        if piece.x_nm == left:
            ends.setdefault(piece.y_nm, {})["left"] = piece.width_nm
        if piece.x_nm + piece.width_nm == right:
            ends.setdefault(piece.y_nm, {})["right"] = piece.width_nm
    alike = NM_PER_INCH // 16
    return all(len(of) == 2 and abs(of["left"] - of["right"]) <= alike for of in ends.values())


def tiles_to_buy(layouts: Iterable[TileLayout], spare: Fraction) -> int:
    """Return the tiles that layouts use and the share bought besides, rounded up once for all of them."""
    return ceil(sum(layout.used for layout in layouts) * (1 + spare))


def tiles_in(assembly: AssemblySpec) -> Iterator[TileUse]:
    """Yield the tiles of known size that an assembly, or one nested in it, lays on a surface."""
    for component in assembly.components:
        use = component.use
        if isinstance(use, AssemblySpec):
            yield from tiles_in(use)
        elif isinstance(use, MaterialSpec) and use.sheet and is_tile(use):
            found = TileUse(assembly, component, use, use.sheet)
            if component.scales_with in ("", assembly.measure) and found.covers in SURFACE_MEASURES:
                yield found


def lay_tile(
    use: TileUse,
    rooms: Mapping[str, RoomPlan],
    places: Iterable[tuple[str, frozenset[int] | None]],
    cabinets_hide_walls: bool = False,
) -> LaidTile:
    """Lay a tile as its assembly says on the surfaces of these rooms and walls, None for all walls."""
    found = [
        (rooms[room].name, row)
        for room, walls in places
        for row in surfaces(rooms[room], use.covers, walls, cabinets_hide_walls)
    ]
    try:
        layouts = tuple(preferred_layout(row.surface, use.size_nm, use.usual) for _, row in found)
    except CannotLay as refusal:
        return LaidTile(use, problem=str(refusal))
    names = tuple(surface_name(room, row) for room, row in found)
    return LaidTile(use, layouts, names=names, notes=tuple(row.notes for _, row in found))


def surface_name(room: str, row: RoomSurface) -> str:
    """Name a surface with its room: "Bath, wall B at the tub or shower"."""
    return f"{room}, {row.name[0].lower()}{row.name[1:]}"
