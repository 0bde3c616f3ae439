"""What documents say of a work item in plain words: how much of it, where, and what was assumed."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from catalog.measures.lengths import half_up
from catalog.measures.room_measures import MEASURES, SHEET_MEASURES, MeasureSet, MissingMeasure
from catalog.measures.units import format_amount
from estimating.plain_text import list_in_words
from estimating.rooms.outline import wall_letter
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.work import Conventions, ItemQuantities, RoomUse, main_amount

# The words after the amount: "142 sq ft of floor".
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
    "surround": "of tub and shower walls",
    "surround_edge": "of edges",
    "surround_joint": "of sealed joints",
    "backsplash": "of backsplash",
    "backsplash_edge": "of edges",
    "backsplash_joint": "of sealed joints",
}
# What is counted, as singular and plural.
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
    "each": ("", ""),
}
# What ends the name of the thing in a title: "Pulls on doors and drawers".
_ENDS_NAME = re.compile(
    r",|\b(?:on|in|of|for|to|at|by|with|over|behind|and|that|out|back|up|off|away|through|every|from)\b"
)
# Where a title counts by something else than what it works on: "Clean up every day", "by the pickup load".
_COUNTED_BY = re.compile(
    r"\b(?:every|by the|in an?|over an?) ([^,]+?)(?= (?:on|in|of|for|to|at|with|and)\b|,|$)"
)
# Things that titles name alone, without "a": "Interior door, prehung".
_THINGS = {"barrier", "cutout", "door", "light", "lockset", "permit", "rail", "threshold", "window"}


def amount_in_words(code: str, amount: Fraction, metric: bool = False, title: str = "") -> str:
    """Say an amount of a measure as a client reads it: "142 sq ft of floor", "6 ceiling lights".

    What is counted by itself is called as the title of the work calls it: "16 cabinets", "25 days"; where
    the title names nothing that can be counted, it is the number alone.

    Areas and lengths of ten units and more are rounded half-up to the whole unit, the rest to two decimals;
    for a metric firm all are rounded to two decimals. Empty for a count of rooms, which the rooms' names
    say, and for one thing, which its title says.
    """
    if code == "rooms" or (code == "each" and amount == 1):
        return ""
    unit = MEASURES[code].unit
    if code in _COUNTED:
        singular, plural = _COUNTED[code]
        number = format_amount(amount, "each")
        return f"{number} {(singular if amount == 1 else plural) or _named_in(title)}".strip()
    if unit in ("sq ft", "ft") and amount >= 10 and not metric:
        amount = Fraction(half_up(amount))
    return f"{format_amount(amount, unit, metric)} {_OF.get(code, '')}".strip()


def _named_in(title: str) -> str:
    """Return the things that a title names, in the plural; else nothing.

    "Remove cabinets" names cabinets, "Remove a toilet" toilets, "Clean up every day" days. A title that says
    neither how many nor "a", as "Plumbing in open walls", names none but where its last word is a thing.
    """
    title = title.lower()
    name = _ENDS_NAME.split(title, maxsplit=1)[0].split()
    last = name[-1] if name else ""
    if re.fullmatch(r"[a-z]{2,}[^su\W]s", last):
        return last
    if {"a", "an", "the"} & set(name[:-1]) or last in _THINGS:
        return _plural(last)
    by = _COUNTED_BY.search(title)
    return _plural(by[1].split()[-1]) if by else ""


def _plural(noun: str) -> str:
    if not re.fullmatch(r"[a-z]{3,}", noun):
        return ""
    if re.search(r"[^aeiou]y$", noun):
        return f"{noun[:-1]}ies"
    return f"{noun}es" if re.search(r"(?:s|x|ch|sh)$", noun) else f"{noun}s"


def quantity_in_words(item: ItemQuantities, conventions: Conventions, metric: bool = False) -> str:
    """Say how much there is of a work item; empty where it has no measure."""
    assembly, amount = item.work.assembly, item.amount(conventions.deduct)
    if assembly is None or amount is None:
        return ""
    code = assembly.plan_measure if item.from_plan else assembly.measure
    words = amount_in_words(code, amount, metric, item.work.title)
    return f"about {words}" if assembly.measure in item.measures.estimated else words


def quantity_in_room(
    item: ItemQuantities,
    use: RoomUse,
    use_measures: Mapping[RoomUse, MeasureSet],
    conventions: Conventions,
    metric: bool = False,
) -> str:
    """Say how much of a work item is in one of its rooms; empty where only the whole is known.

    `use_measures` are those of the take-off.
    """
    work = item.work
    if len(work.rooms) == 1:
        return quantity_in_words(item, conventions, metric)
    assembly = work.assembly
    if assembly is None or use not in use_measures:
        return ""
    if any(override.measure == assembly.measure for override in work.overrides):
        return ""
    try:
        amount = main_amount(assembly, use_measures[use], conventions.deduct)
    except MissingMeasure:
        return ""
    return amount_in_words(assembly.measure, amount, metric, work.title)


def places_in_words(uses: Iterable[RoomUse], rooms: Mapping[str, RoomPlan]) -> str:
    """Name rooms, each with its walls where the work is on some of them: "Kitchen, walls A and B; Hall"."""
    places = []
    for use in uses:
        walls = walls_in_words(use)
        places.append(f"{rooms[use.room].name}, {walls}" if walls else rooms[use.room].name)
    return "; ".join(places)


def walls_in_words(use: RoomUse) -> str:
    """Name the walls of a room that work is on: "walls A and B"; empty for all of them."""
    if use.walls is None:
        return ""
    letters = [wall_letter(wall) for wall in sorted(use.walls)]
    return f"{'wall' if len(letters) == 1 else 'walls'} {list_in_words(letters)}"


def measuring_assumptions(items: Sequence[ItemQuantities], metric: bool = False) -> list[str]:
    """Say what the quantities rest on: measures put in by hand, openings, and what was estimated."""
    by_hand = dict.fromkeys(sentence for item in items for sentence in _put_in_by_hand(item, metric))
    return [*by_hand, *_deducted_openings(items), *_estimated(items)]


def _put_in_by_hand(item: ItemQuantities, metric: bool) -> Iterator[str]:
    """Yield what was put in by hand, but for a count: the scope states it already."""
    for override in item.work.overrides:
        if override.measure == "each":
            continue
        measure = MEASURES[override.measure]
        amount = format_amount(override.amount, measure.unit, metric)
        why = f" ({override.reason.strip().rstrip('.')})" if override.reason.strip() else ""
        yield f"{item.work.title}: {measure.label.lower()} taken as {amount}{why}."


def _deducted_openings(items: Iterable[ItemQuantities]) -> list[str]:
    """Say the rule by which openings are deducted; the one for material where labor has another."""
    titles_by_rule: dict[str, dict[str, None]] = {}
    for item in items:
        for requirement in sorted(item.requirements, key=lambda requirement: requirement.is_labor):
            if requirement.calculation.deduct is not None:
                rule = requirement.calculation.deduct.in_words()
                titles_by_rule.setdefault(rule, {})[item.work.title] = None
                break
    if len(titles_by_rule) == 1:
        return [f"Walls: {rule}." for rule in titles_by_rule]
    return [f"Walls, {rule}: {', '.join(titles)}." for rule, titles in titles_by_rule.items()]


def _estimated(items: Iterable[ItemQuantities]) -> list[str]:
    titles_by_note: dict[str, dict[str, None]] = {}
    for item in items:
        calculations = [requirement.calculation for requirement in item.requirements]
        codes = dict.fromkeys(calculation.measure for calculation in calculations if calculation.estimated)
        labels = [MEASURES[code].label.lower() for code in codes]
        if labels:
            basis = "by a rule for its area" if SHEET_MEASURES.issuperset(codes) else "from the area"
            note = f"{list_in_words(labels)} estimated {basis}"
            titles_by_note.setdefault(note, {})[item.work.title] = None
    return [f"{list_in_words(list(titles))}: {note}." for note, titles in titles_by_note.items()]
