"""The named quantities of a room that work scales with: the only interface between geometry and catalog.

The geometry of a room produces them; the components of an assembly name them. A quantity is an exact
`Fraction` in the unit of its measure.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import isqrt
from types import MappingProxyType

from catalog.measures.units import format_number


@dataclass(frozen=True)
class Measure:
    """A named quantity: its code, its label, its unit, and a sentence on how it is measured."""

    code: str
    label: str
    unit: str
    meaning: str


def _by_code(*rows: tuple[str, str, str, str]) -> Mapping[str, Measure]:
    return MappingProxyType({row[0]: Measure(*row) for row in rows})


MEASURES: Mapping[str, Measure] = _by_code(
    (
        "floor",
        "Floor",
        "sq ft",
        "area inside the walls and in doorways, less footprints that are deducted from the floor",
    ),
    (
        "ceiling",
        "Ceiling",
        "sq ft",
        "area inside the walls along its slopes, undersides of soffits included, less columns",
    ),
    (
        "wall_gross",
        "Walls, openings not deducted",
        "sq ft",
        "length of wall times ceiling height, with the faces of soffits, steps and niches",
    ),
    ("wall_net", "Walls", "sq ft", "length times height, less the openings that the rule in force deducts"),
    ("floor_perimeter", "Floor perimeter", "ft", "length of all walls at the floor, columns included"),
    ("ceiling_line", "Ceiling line", "ft", "length of the line where walls and soffits meet the ceiling"),
    ("base", "Base", "ft", "floor perimeter less door and cased openings and fixed cabinets"),
    (
        "inside_corner",
        "Inside corners, length",
        "ft",
        "ceiling height at each inside corner, with those at soffits and in niches, and bends of the ceiling",
    ),
    (
        "outside_corner",
        "Outside corners, length",
        "ft",
        "ceiling height at each outside corner, with the edges of soffits, steps and niches",
    ),
    ("opening_trim", "Opening trim", "ft", "two sides and head of doors; four sides of windows; one face"),
    (
        "cut_in",
        "Cut-in",
        "ft",
        "ceiling line, base line, both sides of every corner, every opening and every device box",
    ),
    ("inside_corners", "Inside corners", "each", "corners that turn into the room"),
    ("outside_corners", "Outside corners", "each", "corners that stand out into the room"),
    ("doors", "Doors", "each", "openings with a door"),
    ("windows", "Windows", "each", "openings with a window"),
    ("device_boxes", "Device boxes", "each", "switches and outlets"),
    ("ceiling_lights", "Ceiling lights", "each", "lights in or on the ceiling"),
    ("rooms", "Rooms", "each", "rooms that the work is done in"),
    ("base_cabinets", "Base cabinets", "each", "cabinets on the floor in the plan's lists, an island's too"),
    ("wall_cabinets", "Wall cabinets", "each", "cabinets on the wall in the lists of the plan"),
    ("tall_cabinets", "Tall cabinets", "each", "cabinets from the floor up in the lists of the plan"),
    ("cabinet_fillers", "Cabinet fillers", "each", "fillers in the runs, and what cabinets leave of a run"),
    ("filler_length", "Cabinet fillers, length", "ft", "height of the cabinets at each filler"),
    ("end_panels", "Finished end panels", "each", "finished ends of runs, and panels between cabinets"),
    (
        "toe_kick",
        "Toe kick",
        "ft",
        "fronts of cabinets and fillers on the floor, appliances and hidden corners left out",
    ),
    (
        "cabinet_crown",
        "Crown on cabinets",
        "ft",
        "fronts of wall and tall cabinets, and the depth of finished ends",
    ),
    ("pulls", "Cabinet pulls", "each", "one a door or drawer: two doors above 21 in, a drawer in a base"),
    ("counter", "Counter", "sq ft", "counter over base cabinets with its overhang, corners counted once"),
    ("counter_edge", "Counter edge", "ft", "front of the counter and its finished ends, all round an island"),
    (
        "backsplash_length",
        "Backsplash, length",
        "ft",
        "wall behind counters and ranges, less doors and windows down to the counter",
    ),
    (
        "backsplash",
        "Backsplash",
        "sq ft",
        "wall between counter and wall cabinets, beside them as high, less doors and windows",
    ),
    ("backsplash_edge", "Edges of a backsplash", "ft", "ends on the open wall, and outside corners"),
    ("backsplash_joint", "Sealed joints of a backsplash", "ft", "along the counter and in inside corners"),
    (
        "surround",
        "Tub and shower walls",
        "sq ft",
        "walls behind and beside tubs and showers from rim to top, with niches and the returns of windows",
    ),
    (
        "surround_edge",
        "Edges of tub and shower tile",
        "ft",
        "ends on the open wall, outside corners, round niches and windows with a return",
    ),
    (
        "surround_joint",
        "Sealed joints of tub and shower tile",
        "ft",
        "along tub or floor, in inside corners and niches, and where a return meets its window",
    ),
    ("sink_cutouts", "Sink cutouts", "each", "sinks set into a counter"),
    ("cooktop_cutouts", "Cooktop cutouts", "each", "cooktops set into a counter"),
    ("appliances", "Appliances", "each", "appliances in the runs of the plan"),
    ("sheets", "Sheets", "each", "whole sheets that cover the surface"),
    ("cut_pieces", "Cut pieces", "each", "pieces that are cut from a sheet"),
    ("joint", "Joints between sheets", "ft", "length of the joints between sheets, perimeter not counted"),
    (
        "butt_joint",
        "Butt joints",
        "ft",
        "length of the joints across the courses, where ends of sheets meet; part of the joints",
    ),
    (
        "tapered_joint",
        "Tapered joints",
        "ft",
        "length of the joints between courses, where long edges meet, tapered in drywall; part of the joints",
    ),
    ("fasteners", "Fasteners", "each", "screws or nails that hold the sheets"),
    ("joint_volume", "Joint filler", "cu in", "volume of the gaps between sheets"),
    ("each", "Count", "each", "a count that is entered by hand"),
    ("length", "Length", "ft", "a length that is entered by hand"),
    ("area", "Area", "sq ft", "an area that is entered by hand"),
)

SHEET_MEASURES = frozenset(
    {"sheets", "cut_pieces", "joint", "butt_joint", "tapered_joint", "fasteners", "joint_volume"}
)
BY_HAND = frozenset({"each", "length", "area"})
# What the plan may give where an area or a length isn't typed by hand.
WALL_TILE_MEASURES = tuple(
    f"{kind}{part}" for kind in ("surround", "backsplash") for part in ("", "_edge", "_joint")
)


def by_what(code: str) -> str:
    """Say how work is priced: "by the sq ft of floor", "by the number of doors"; of what is typed, "each"."""
    measure = MEASURES[code]
    if code in BY_HAND:
        return "each" if measure.unit == "each" else f"by the {measure.unit}"
    unit = "number" if measure.unit == "each" else measure.unit
    return f"by the {unit} of {measure.label[0].lower()}{measure.label[1:].removesuffix(', length')}"


@dataclass(frozen=True)
class DeductRule:
    """Which openings are deducted from a wall: all of them, those of at least a size, or none.

    Conventions of the painting trade don't deduct small openings; the size is the firm's setting.
    """

    kind: str = "all"  # "all", "above" or "none"
    above_sqft: Fraction = Fraction(0)

    def deducted_sqft(self, openings_sqft: Iterable[Fraction]) -> Fraction:
        """Return the area that this rule deducts; an opening of exactly the least size is deducted."""
        if self.kind == "none":
            return Fraction(0)
        least = self.above_sqft if self.kind == "above" else Fraction(0)
        return sum((area for area in openings_sqft if area >= least), Fraction(0))

    def in_words(self) -> str:
        """Return the rule in the words printed beside a wall area."""
        if self.kind == "none":
            return "openings not deducted"
        if self.kind == "above":
            return f"openings of {format_number(self.above_sqft)} sq ft and more deducted"
        return "every opening deducted at its own size"


ALL_OPENINGS = DeductRule()


class MissingMeasure(LookupError):
    """The chosen rooms have no such measure; the message says so in a plain sentence."""


@dataclass(frozen=True)
class MeasureSet:
    """Measures of one room, some of its walls, or several rooms together.

    `values` maps a measure's code to its quantity. It has no `wall_net`, which depends on the deduct rule and
    is calculated from `wall_gross` and `openings_sqft` when asked for, unless one is typed by hand.
    `estimated` holds the codes that come from a stated rule instead of from geometry.
    """

    values: Mapping[str, Fraction] = field(default_factory=dict)
    openings_sqft: tuple[Fraction, ...] = ()
    estimated: frozenset[str] = frozenset()

    def has(self, code: str) -> bool:
        """Tell whether the quantity of a measure is known."""
        return code in self.values or (code == "wall_net" and "wall_gross" in self.values)

    def amount(self, code: str, deduct: DeductRule = ALL_OPENINGS) -> Fraction:
        """Return the quantity of a measure in its own unit. Raises MissingMeasure where it isn't known."""
        if code in self.values:
            return self.values[code]
        if code == "wall_net" and "wall_gross" in self.values:
            return self.values["wall_gross"] - deduct.deducted_sqft(self.openings_sqft)
        raise MissingMeasure(f"{MEASURES[code].label} isn't known here: type it in by hand.")

    def __add__(self, other: "MeasureSet") -> "MeasureSet":
        """Return the measures of both together: quantities are summed, openings listed one after another."""
        values = dict(self.values)
        for code, amount in other.values.items():
            values[code] = values.get(code, Fraction(0)) + amount
        return MeasureSet(values, self.openings_sqft + other.openings_sqft, self.estimated | other.estimated)

    def with_values(self, values: Mapping[str, Fraction], estimated: Iterable[str] = ()) -> "MeasureSet":
        """Return a copy with these values added or replaced; they count as measured unless `estimated`."""
        still_estimated = (self.estimated - frozenset(values)) | frozenset(estimated)
        return MeasureSet({**self.values, **values}, self.openings_sqft, still_estimated)


def square_room(area_sqft: Fraction, height_ft: Fraction = Fraction(8)) -> MeasureSet:
    """Return the measures of a square room, for a quick quote that knows only a floor area.

    The side is the square root of the area, rounded down to 1/1000 ft. All but floor, ceiling and the count
    of rooms are marked as estimated.
    """
    side = Fraction(isqrt(int(area_sqft * 1_000_000)), 1000)
    around = 4 * side
    values = {
        "floor": area_sqft,
        "ceiling": area_sqft,
        "wall_gross": around * height_ft,
        "floor_perimeter": around,
        "ceiling_line": around,
        "base": around,
        "inside_corner": 4 * height_ft,
        "inside_corners": Fraction(4),
        "cut_in": 2 * around + 8 * height_ft,
        "rooms": Fraction(1),
    }
    return MeasureSet(values, estimated=frozenset(values) - {"floor", "ceiling", "rooms"})


def quick_measures(by_hand: Mapping[str, Fraction], height_ft: Fraction = Fraction(8)) -> MeasureSet:
    """Return the measures of a quick quote: those of a square room with the first amount that is known.

    The room follows from a floor or ceiling area, from a wall area (divided by the ceiling height, taken as
    8 ft) or from a length around the room. Amounts put in by hand stay as they are; the rest is marked as
    estimated. Nothing is estimated from a count.
    """
    for code in ("floor", "ceiling", "wall_gross", "wall_net", "floor_perimeter", "ceiling_line"):
        amount = by_hand.get(code)
        if not amount:
            continue
        if code in ("floor", "ceiling"):
            room = square_room(amount, height_ft)
        else:
            around = amount / height_ft if code.startswith("wall") else amount
            room = square_room((around / 4) ** 2, height_ft)
        estimated = frozenset(room.values) - {"rooms"}
        return MeasureSet(room.values, estimated=estimated).with_values(by_hand)
    return MeasureSet(dict(by_hand))
