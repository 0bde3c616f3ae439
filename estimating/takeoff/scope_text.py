"""What the papers say of a work item in plain words: how much of it, where, and what was assumed."""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from catalog.measures.room_measures import MEASURES, SHEET_MEASURES, MissingMeasure
from catalog.measures.units import format_quantity, half_up
from estimating.plain_text import in_a_row
from estimating.rooms.measures import PlanError, RoomPlan, measure, wall_letter
from estimating.takeoff.takeoff import Conventions, RoomUse, Taken

# What follows the figure: "142 sq ft of floor".
_OF = {
    "floor": "of floor",
    "ceiling": "of ceiling",
    "wall_gross": "of wall",
    "wall_net": "of wall",
    "floor_perimeter": "along the floor",
    "ceiling_line": "along the ceiling",
    "base": "of base",
    "inside_corner": "of inside corner",
    "outside_corner": "of outside corner",
    "opening_trim": "of trim round openings",
    "cut_in": "of cutting in",
    "joint": "of joints",
    "joint_volume": "of joints",
    "area": "",
    "length": "",
}
# What is counted: one, several.
_COUNTED = {
    "inside_corners": ("inside corner", "inside corners"),
    "outside_corners": ("outside corner", "outside corners"),
    "doors": ("door", "doors"),
    "windows": ("window", "windows"),
    "device_boxes": ("switch or outlet", "switches and outlets"),
    "ceiling_lights": ("ceiling light", "ceiling lights"),
    "sheets": ("sheet", "sheets"),
    "cut_pieces": ("cut piece", "cut pieces"),
    "fasteners": ("fastener", "fasteners"),
    "each": ("each", "each"),
}


def amount_in_words(code: str, amount: Fraction, metric: bool = False) -> str:
    """An amount of a measure as a client reads it: "142 sq ft of floor", "6 ceiling lights".

    Areas and lengths of ten units and more go to the whole unit half-up, the rest to two decimals; for a
    metric firm all go to two decimals. A count of rooms says nothing that the rooms' names don't, nor one
    thing that its title doesn't.
    """
    if code == "rooms" or (code == "each" and amount == 1):
        return ""
    unit = MEASURES[code].unit
    if code in _COUNTED:
        one, several = _COUNTED[code]
        number = format_quantity(amount, "each").removesuffix(" each")
        return f"{number} {one if amount == 1 else several}"
    if unit in ("sq ft", "ft") and amount >= 10 and not metric:
        amount = Fraction(half_up(amount))
    return f"{format_quantity(amount, unit, metric)} {_OF[code]}".strip()


def quantity_in_words(taken: Taken, conventions: Conventions, metric: bool = False) -> str:
    """How much there is of a work item; empty where it has no measure."""
    assembly = taken.work.assembly
    if assembly is None or not taken.measures.has(assembly.measure):
        return ""
    amount = taken.measures.amount(assembly.measure, assembly.deduct_material or conventions.deduct)
    words = amount_in_words(assembly.measure, amount, metric)
    return f"about {words}" if assembly.measure in taken.measures.estimated else words


def quantity_in_room(
    taken: Taken, use: RoomUse, plan: RoomPlan, conventions: Conventions, metric: bool = False
) -> str:
    """How much of a work item is in one of its rooms; empty where only the whole is known."""
    work = taken.work
    if len(work.rooms) == 1:
        return quantity_in_words(taken, conventions, metric)
    assembly = work.assembly
    if assembly is None or any(each.measure == assembly.measure for each in work.overrides):
        return ""
    try:
        measures = measure(plan, use.walls, conventions.cabinets_hide_walls)
        amount = measures.amount(assembly.measure, assembly.deduct_material or conventions.deduct)
    except (MissingMeasure, PlanError):
        return ""
    return amount_in_words(assembly.measure, amount, metric)


def place_in_words(use: RoomUse, rooms: Mapping[str, RoomPlan]) -> str:
    """A room, and its walls where the work is on some of them: "Kitchen, walls A and B"."""
    walls = walls_in_words(use)
    return f"{rooms[use.room].name}, {walls}" if walls else rooms[use.room].name


def walls_in_words(use: RoomUse) -> str:
    """The walls of a room that work is on: "walls A and B"; empty for all of them."""
    if use.walls is None:
        return ""
    letters = [wall_letter(wall) for wall in sorted(use.walls)]
    return f"{'wall' if len(letters) == 1 else 'walls'} {in_a_row(letters)}"


def measuring_assumptions(taken: Iterable[Taken], metric: bool = False) -> list[str]:
    """What the quantities rest on: measures put in by hand, openings, and what was estimated."""
    works = list(taken)
    return [
        *dict.fromkeys(words for each in works for words in _put_in_by_hand(each, metric)),
        *_openings(works),
        *_estimated(works),
    ]


def _put_in_by_hand(taken: Taken, metric: bool) -> Iterator[str]:
    """A count is left out: the scope states it already."""
    for each in taken.work.overrides:
        if each.measure == "each":
            continue
        label = MEASURES[each.measure].label.lower()
        amount = format_quantity(each.amount, MEASURES[each.measure].unit, metric)
        why = f" ({each.reason.strip().rstrip('.')})" if each.reason.strip() else ""
        yield f"{taken.work.title}: {label} taken as {amount}{why}."


def _openings(works: list[Taken]) -> list[str]:
    """The rule by which walls are counted; the one for material where labor has another."""
    rules: dict[str, dict[str, None]] = {}
    for one in works:
        for each in sorted(one.requirements, key=lambda each: each.is_labor):
            if each.working.deduct is not None:
                rules.setdefault(each.working.deduct.in_words(), {})[one.work.title] = None
                break
    if len(rules) == 1:
        return [f"Walls are measured with {rule}." for rule in rules]
    return [f"Walls are measured with {rule} for: {', '.join(titles)}." for rule, titles in rules.items()]


def _estimated(works: list[Taken]) -> list[str]:
    found: dict[str, dict[str, None]] = {}
    for one in works:
        codes = dict.fromkeys(each.working.measure for each in one.requirements if each.working.estimated)
        labels = [MEASURES[code].label.lower() for code in codes]
        if labels:
            basis = "by a rule for its area" if SHEET_MEASURES.issuperset(codes) else "from the area"
            found.setdefault(f"{in_a_row(labels)} estimated {basis}", {})[one.work.title] = None
    return [f"{in_a_row(list(titles))}: {words}." for words, titles in found.items()]
