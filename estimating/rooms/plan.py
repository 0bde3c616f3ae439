"""A room as it was measured: its walls one after another, and what stands in and on them."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from catalog.measures.lengths import NM_PER_INCH
from estimating.cabinets.units import Layer, Unit
from estimating.floor_structure.floor import FloorFrame
from estimating.rooms.outline import LEFT, BadLength, Leg, Outline, Point, trace_walls

OpeningKind = Literal["door", "window", "cased", "niche"]
FootprintKind = Literal["cabinets", "hung", "tall", "tub", "island", "other"]

WALL_CABINET_DEPTH_NM = 16 * NM_PER_INCH  # "cabinets" no deeper hang on the wall (common practice: 12 in)
TALL_CABINET_HEIGHT_NM = 72 * NM_PER_INCH  # (common practice: 84 to 96 in)
# Sizes taken where none is typed (common practice).
BASE_HEIGHT_NM = NM_PER_INCH * 69 // 2  # 34-1/2 in, under a counter at 36 in
HUNG_HEIGHT_NM = 30 * NM_PER_INCH
TALL_HEIGHT_NM = 84 * NM_PER_INCH
HUNG_BOTTOM_NM = 54 * NM_PER_INCH  # 18 in above a counter at 36 in
COUNTER_NM = NM_PER_INCH * 3 // 2  # how thick a counter is
OVERHANG_NM = NM_PER_INCH * 3 // 2  # 25-1/2 in of counter on 24 in of cabinet


@dataclass(frozen=True)
class Opening:
    """A door, a window, a cased opening or a niche; `wall` is the 0-based index of its leg.

    `offset_nm` is the distance from the start of the wall to the opening's near side, None where it wasn't
    measured. `recess_nm` is how far the floor runs into it, such as to the middle of the wall under a door;
    of a niche, how deep it is; of a window, how deep its return is.
    """

    name: str
    kind: str  # an OpeningKind once the faults were looked for
    wall: int
    width_nm: int
    height_nm: int
    sill_nm: int = 0
    offset_nm: int | None = None
    recess_nm: int = 0

    @property
    def area_nm2(self) -> int:
        return self.width_nm * self.height_nm

    @property
    def is_niche(self) -> bool:
        return self.kind == "niche"

    @property
    def runs_in_nm(self) -> int:
        """How far the floor runs into it: not into a window, nor into a niche above the floor."""
        return 0 if self.kind == "window" or (self.is_niche and self.sill_nm) else self.recess_nm

    @property
    def stops_base(self) -> bool:
        """Whether baseboard ends at this opening: a door or cased opening that reaches the floor."""
        return self.kind in ("door", "cased") and self.sill_nm == 0

    @property
    def trim_nm(self) -> int:
        """Length of trim on one face: four sides of a window or pass-through, three of a door.

        A niche has none.
        """
        if self.is_niche:
            return 0
        sides = 2 * self.height_nm + self.width_nm
        return sides if self.stops_base else sides + self.width_nm

    @property
    def edge_nm(self) -> int:
        """Length of the edge round it in the wall; no sill side where it reaches the floor."""
        sides = 2 * self.height_nm + self.width_nm
        return sides if self.sill_nm == 0 else sides + self.width_nm

    @property
    def inner_corner_nm(self) -> int:
        """Length of the inside corners in a niche: round its back, and from its front to its back."""
        if not self.is_niche:
            return 0
        return self.edge_nm + self.recess_nm * (4 if self.sill_nm else 2)

    @property
    def inner_nm2(self) -> int:
        """Area of the faces in a niche beside its back, which stands for the wall that it takes off."""
        if not self.is_niche:
            return 0
        return self.recess_nm * self.edge_nm

    @property
    def cut_in_nm(self) -> int:
        """Length of edge to cut in with paint round it; both sides of every corner of a niche."""
        return 2 * (self.edge_nm + self.inner_corner_nm) if self.is_niche else self.edge_nm


@dataclass(frozen=True)
class Spot:
    """A measured place off the walls: along a wall from its start, and from the wall to the near side."""

    wall: int
    along_nm: int
    off_nm: int


@dataclass(frozen=True)
class Footprint:
    """Something fixed that stands on the floor, along a wall or (`wall` None) free in the room.

    What stands free has a `spot` where its place was measured; its length then runs along the spot's wall.
    `off_floor`, `off_base` and `off_walls` say whether it is deducted from the floor, the baseboard or the
    painted wall; one that stands free touches neither baseboard nor wall. A `height_nm` of None isn't known:
    no wall is then deducted behind it.

    `units` are the cabinets and appliances of a run, from its start. `bottom_nm` is how high the underside of
    wall cabinets is above the floor, `finished_ends` which ends of a run are seen. The counter stands out by
    `overhang_nm` in front and at finished ends, by `seat_overhang_nm` at the back of an island.
    `tile_to_nm` is how high above the floor the tile of a tub or shower, or over a counter, goes.
    """

    name: str
    kind: str  # a FootprintKind once the faults were looked for
    wall: int | None
    offset_nm: int | None
    length_nm: int
    depth_nm: int
    height_nm: int | None = None
    off_floor: bool = False
    off_base: bool = False
    off_walls: bool = False
    spot: Spot | None = None
    units: tuple[Unit, ...] = ()
    bottom_nm: int | None = None
    finished_ends: str = ""  # "start", "end" or "both"
    overhang_nm: int | None = None
    seat_overhang_nm: int | None = None
    tile_to_nm: int | None = None

    @property
    def layer(self) -> Layer | None:
        """Where a run of cabinets is; None for what is no cabinets.

        Rows of cabinets without a list may be wall or tall cabinets by their size, as they always were.
        """
        if self.kind == "island":
            return "base"
        if self.kind in ("hung", "tall"):
            return "hung" if self.kind == "hung" else "tall"
        if self.kind != "cabinets":
            return None
        if not self.units and (self.height_nm or 0) >= TALL_CABINET_HEIGHT_NM:
            return "tall"
        return "hung" if not self.units and self.depth_nm <= WALL_CABINET_DEPTH_NM else "base"

    @property
    def is_run(self) -> bool:
        """Whether its cabinets are listed."""
        return bool(self.units) and self.layer is not None

    @property
    def under_nm(self) -> int:
        """How high its underside is above the floor."""
        if self.layer != "hung":
            return 0
        return HUNG_BOTTOM_NM if self.bottom_nm is None else self.bottom_nm

    @property
    def tall_nm(self) -> int:
        """How high its cabinets are, from their underside."""
        usual = {"base": BASE_HEIGHT_NM, "hung": HUNG_HEIGHT_NM, "tall": TALL_HEIGHT_NM}
        return usual[self.layer or "base"] if self.height_nm is None else self.height_nm


@dataclass(frozen=True)
class Column:
    """A free-standing box from floor to ceiling."""

    width_nm: int
    depth_nm: int

    @property
    def around_nm(self) -> int:
        return 2 * (self.width_nm + self.depth_nm)


@dataclass(frozen=True)
class Soffit:
    """A box along a wall under the ceiling, its underside level, `drop_nm` below the lowest ceiling over it.

    An `offset_nm` of None begins at the wall's start.
    """

    name: str
    wall: int | None  # never None once the faults were looked for
    offset_nm: int | None
    length_nm: int
    depth_nm: int
    drop_nm: int


@dataclass(frozen=True)
class HeightPoint:
    """The height of the ceiling at a place along a wall, from the wall's start.

    Two at one place are a step: the first holds before it, the second after it, as the wall runs.
    """

    wall: int
    along_nm: int
    height_nm: int


@dataclass(frozen=True)
class ElectricalPlace:
    """An outlet, a switch or a ceiling light: along a wall from its start, and away from there.

    `away_nm` is up the wall from the floor, or of a ceiling light out from the wall.
    """

    kind: str  # "outlet", "switch" or "light" once the faults were looked for
    wall: int
    along_nm: int
    away_nm: int

    @property
    def on_ceiling(self) -> bool:
        return self.kind == "light"


@dataclass(frozen=True)
class PhotoPlace:
    """Where a photo was taken of: a wall, or a spot so far along it and out from it; by its number."""

    number: int
    wall: int
    along_nm: int | None = None
    away_nm: int = 0


@dataclass(frozen=True)
class Framing:
    """Studs or joists: from the middle of one to that of the next, and that of the first from a corner.

    Where the first isn't known it is taken to be one space away (common practice). Joists run across the
    room from wall A, or (`along_a`) beside it; the first is then that far from it.
    """

    spacing_nm: int
    first_nm: int | None = None
    along_a: bool = False

    @property
    def at_nm(self) -> int:
        return self.spacing_nm if self.first_nm is None else self.first_nm


@dataclass(frozen=True)
class RoomPlan:
    """A room as measured. `balanced` spreads its closing error over the walls in proportion to length.

    Without `heights` the ceiling is level at `height_nm`. With them it rises and falls in straight lines
    from one to the next in the direction of their wall, the same all across the room; at the room's two ends
    in that direction it is at `height_nm` where no point says otherwise.

    Of the boxes and lights that are counted, those in `electrical` have their place. `joists` is what is
    known of the floor's frame, where tile is laid on it. `studs` stand in every wall, the first measured from
    its left corner as he faces it; `ceiling_joists` and `floor_joists` run square to wall A, the first
    measured from its start, or along it.
    """

    name: str
    legs: tuple[Leg, ...]
    height_nm: int
    openings: tuple[Opening, ...] = ()
    footprints: tuple[Footprint, ...] = ()
    columns: tuple[Column, ...] = ()
    device_boxes: int = 0
    ceiling_lights: int = 0
    balanced: bool = False
    heights: tuple[HeightPoint, ...] = ()
    soffits: tuple[Soffit, ...] = ()
    electrical: tuple[ElectricalPlace, ...] = ()
    photos: tuple[PhotoPlace, ...] = ()
    joists: FloorFrame | None = None
    studs: Framing | None = None
    ceiling_joists: Framing | None = None
    floor_joists: Framing | None = None


def rectangle(length_nm: int, width_nm: int) -> tuple[Leg, ...]:
    """Return four walls, the first and third of the given length."""
    return (Leg(length_nm), Leg(width_nm), Leg(length_nm), Leg(width_nm))


def l_shape(length_nm: int, width_nm: int, cut_length_nm: int, cut_width_nm: int) -> tuple[Leg, ...]:
    """Return six walls: a rectangle of the outer sizes, less the corner across from where the first two meet.

    The first wall is the whole length, the second the whole width. Raises BadLength where the cut-out
    isn't smaller than the room both ways.
    """
    if not (0 < cut_length_nm < length_nm and 0 < cut_width_nm < width_nm):
        raise BadLength("The cut-out must be smaller than the room, in length and in width.", "walls")
    return (
        Leg(length_nm),
        Leg(width_nm),
        Leg(length_nm - cut_length_nm),
        Leg(cut_width_nm, LEFT),
        Leg(cut_length_nm),
        Leg(width_nm - cut_width_nm),
    )


def room_outline(plan: RoomPlan) -> Outline:
    """Return the corners of the room and its closing error; raises nothing where the walls don't close."""
    return trace_walls(plan.legs, plan.balanced)


def spot_ring(shape: Outline, item: Footprint) -> tuple[Point, ...]:
    """Return the corners of something that stands free at a measured place, the near side first."""
    spot = item.spot
    assert spot is not None
    near, far = spot.off_nm, spot.off_nm + item.depth_nm
    ends = spot.along_nm, spot.along_nm + item.length_nm
    corners = ((ends[0], near), (ends[1], near), (ends[1], far), (ends[0], far))
    return tuple(shape.beside(spot.wall, along, into) for along, into in corners)


def floor_and_ceiling_nm2(plan: RoomPlan) -> tuple[Fraction, Fraction]:
    """Return the areas of floor and ceiling inside the walls, less columns.

    From the floor also what is deducted from it, and to it what runs into doorways and niches.
    """
    inside = Fraction(abs(room_outline(plan).signed_double_area_nm2), 2)
    ceiling = inside - sum(column.width_nm * column.depth_nm for column in plan.columns)
    floor = ceiling - sum(item.length_nm * item.depth_nm for item in plan.footprints if item.off_floor)
    floor += sum(opening.width_nm * opening.runs_in_nm for opening in plan.openings)
    return floor, ceiling
