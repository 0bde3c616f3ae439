"""How much painted surface the work of an old house disturbs in each room, beside the size that counts.

Minor repair, to which the rules of lead-safe work don't apply, disturbs at most 6 sq ft of painted surface in
a room inside; jobs in the same room within the same 30 days are one job, windows that are replaced and
painted surface that is demolished count at any size, and of what is removed the whole surface counts
(40 CFR 745.83, as EPA's answer on "minor repair and maintenance activities" quotes it; the 30 days also in
EPA's answer 23002-14294, read 29 Nov 2026). The sum cautions; it decides nothing.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from catalog.measures.room_measures import BY_HAND, MEASURES, DeductRule, MissingMeasure
from catalog.measures.units import format_quantity
from estimating.plain_text import list_in_words
from estimating.takeoff.cautions import cites_lead
from estimating.takeoff.takeoff import TakeOff
from estimating.takeoff.work import ZERO, ItemQuantities

MINOR_SQFT = 6
_SAFEGUARDS = ("protect", "close")  # phases whose work keeps dust in, tests or cleans
_NEW_WINDOWS = "replace-windows"  # the assembly that replaces windows


@dataclass(frozen=True)
class Disturbed:
    """Painted surface by the name of the room, in square feet, with the titles of work that isn't counted,
    and of demolition and new windows, which count at any size."""

    rooms: Mapping[str, Fraction] = field(default_factory=dict)
    not_counted: tuple[str, ...] = ()
    at_any_size: tuple[str, ...] = ()

    def __add__(self, other: "Disturbed") -> "Disturbed":
        """Return both together; rooms of one name, in whichever letters, are one room."""
        rooms = dict(self.rooms)
        names = {name.casefold(): name for name in rooms}
        for name, area in other.rooms.items():
            known = names.setdefault(name.casefold(), name)
            rooms[known] = rooms.get(known, ZERO) + area
        return Disturbed(
            rooms,
            tuple(dict.fromkeys((*self.not_counted, *other.not_counted))),
            tuple(dict.fromkeys((*self.at_any_size, *other.at_any_size))),
        )


def disturbed(found: TakeOff, names: Mapping[str, str], deduct: DeductRule) -> Disturbed:
    """Return what the work in the sum disturbs; `names` are those of the rooms by their keys.

    Work is counted that the catalog cautions of lead and that goes by the square foot, but for floors, where
    the caution is about what stands on them. Work on one surface counts each time.
    """
    rooms: dict[str, Fraction] = {}
    not_counted: list[str] = []
    at_any_size: list[str] = []
    for item in found.items_in_sum:
        work = item.work
        if work.assembly is None:
            not_counted += [work.title] if work.phase == "take_out" else []
            continue
        if work.phase in _SAFEGUARDS or not cites_lead(work.assembly):
            continue
        if work.phase == "take_out" or work.assembly.code == _NEW_WINDOWS:
            at_any_size.append(work.title)
        areas = _areas(item, found, deduct)
        if areas is None:
            not_counted += [work.title] if work.assembly.code != _NEW_WINDOWS else []
            continue
        for room, area in areas.items():
            name = names[room]
            rooms[name] = rooms.get(name, ZERO) + area
    return Disturbed(rooms, tuple(dict.fromkeys(not_counted)), tuple(dict.fromkeys(at_any_size)))


def _areas(item: ItemQuantities, found: TakeOff, deduct: DeductRule) -> dict[str, Fraction] | None:
    """Return the square feet that work covers, by the key of the room; None where that isn't known."""
    work = item.work
    assembly = work.assembly
    assert assembly is not None  # asked only of such
    code = assembly.plan_measure if item.from_plan else assembly.measure
    if item.problem or MEASURES[code].unit != "sq ft" or code == "floor":
        return None
    rule = assembly.deduct_material or deduct
    by_hand = {override.measure for override in work.overrides} & {code}
    try:
        if by_hand or code in BY_HAND:
            (use,) = work.rooms  # an area for several rooms doesn't say how much is in which
            return {use.room: item.measures.amount(code, rule)}
        areas: dict[str, Fraction] = {}
        for use in work.rooms:
            areas[use.room] = areas.get(use.room, ZERO) + found.use_measures[use].amount(code, rule)
    except (KeyError, MissingMeasure, ValueError):
        return None
    return areas or None


def in_words(found: Disturbed, others: Sequence[str] = (), metric: bool = False) -> list[str]:
    """Return the sums in sentences; `others` are names of further jobs that are counted with them."""
    limit = format_quantity(Fraction(MINOR_SQFT), "sq ft", metric)
    words = []
    rooms = {name: area for name, area in found.rooms.items() if area}
    if rooms:
        sums = [
            f"{name} {format_quantity(area, 'sq ft', metric)}, {_beside_limit(area)} {limit}"
            for name, area in sorted(rooms.items())
        ]
        words.append(f"Painted surface that this work disturbs, by room: {'; '.join(sums)}.")
    if others:
        words.append(f"Counted with it, as within 30 days at this address: {list_in_words(list(others))}.")
    if found.at_any_size:
        words.append(
            f"Counts at any size, as demolition or a new window: {list_in_words(found.at_any_size)}."
        )
    if found.not_counted:
        words.append(f"Not counted, as no area is known: {list_in_words(found.not_counted)}.")
    return words


def _beside_limit(area_sqft: Fraction) -> str:
    return "more than" if area_sqft > MINOR_SQFT else "within"
