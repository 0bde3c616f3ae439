"""Amounts that a room or other work already tells, proposed where they would be counted by hand.

Each rule names the assembly of the starting catalog that it is for. What a rule assumes is common practice or
from memory, as said beside it; every proposal says what it was made from, and he may type another.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm
from catalog.measures.room_measures import ALL_OPENINGS, BY_HAND, MeasureSet
from estimating.rooms.plan import Footprint, RoomPlan
from estimating.takeoff.takeoff import TakeOff
from estimating.takeoff.work import ZERO, ItemQuantities, Work

CABINET_FEET = Fraction(5, 2)  # 30 in, between the stock widths of 12 to 36 in (common practice)
WALL_CABINET_DEPTH = 16 * NM_PER_INCH  # a run no deeper hangs on the wall (common practice: 12 in)
TALL_CABINET_HEIGHT = 72 * NM_PER_INCH  # (common practice: 84 to 96 in)
PULLS_A_CABINET = 2  # a drawer and a door, or two doors (common practice)
DUMPSTER_CUBIC_FEET = 270  # 10 cubic yards
PICKUP_CUBIC_FEET = 54  # 2 cubic yards, a short bed filled to the rails (from memory)

# Cubic feet of debris, loose, for one of the unit that each piece of demolition scales with (from memory).
DEBRIS: Mapping[str, Fraction] = {
    "take-out-cabinets": Fraction(9),
    "take-off-counters": Fraction(1, 2),
    "take-out-drywall": Fraction(1, 12),
    "take-out-plaster": Fraction(1, 6),
    "take-out-ceiling": Fraction(1, 12),
    "take-out-floor": Fraction(1, 8),
    "take-out-vinyl": Fraction(1, 24),
    "take-out-carpet": Fraction(1, 6),
    "take-out-tile-floor": Fraction(1, 6),
    "take-out-tile-mud": Fraction(1, 4),
    "take-out-wall-tile": Fraction(1, 6),
    "take-out-trim": Fraction(1, 20),
    "take-out-doors": Fraction(6),
    "take-out-vanities": Fraction(12),
    "take-out-tubs": Fraction(25),
}
CABINETS = ("install-cabinets", "set-base-cabinets", "set-wall-cabinets", "set-tall-cabinets")


@dataclass(frozen=True)
class Proposal:
    """An amount for a piece of work, by the key of the work, and what it was made from."""

    work: str
    measure: str
    amount: Fraction
    why: str


@dataclass(frozen=True)
class _Known:
    """What the job tells: the rooms of the piece of work, and how much there is of the other work by code."""

    rooms: Sequence[RoomPlan]
    measures: Sequence[MeasureSet]
    amounts: Mapping[str, Fraction]

    def runs(self, fits: Callable[[Footprint], bool]) -> tuple[Fraction, int]:
        """Return the length in feet of the runs of cabinets that fit, and how many cabinets they are."""
        lengths = [
            feet_from_nm(item.length_nm)
            for room in self.rooms
            for item in room.footprints
            if item.kind == "cabinets" and fits(item)
        ]
        return sum(lengths, ZERO), sum(ceil(length / CABINET_FEET) for length in lengths)


Rule = Callable[[_Known], tuple[Fraction, str]]


def proposals(works: Iterable[Work], rooms: Mapping[str, RoomPlan], taken_off: TakeOff) -> list[Proposal]:
    """Return an amount for each piece of work that lacks one and that a rule is for.

    Later rules may go by the amounts proposed before them: pulls by cabinets, dumpsters by what is taken out.
    """
    works = list(works)
    amounts = _amounts(taken_off.items)
    found = []
    for code, rule in RULES.items():
        for work in works:
            assembly = work.assembly
            if assembly is None or assembly.code != code or assembly.measure not in BY_HAND:
                continue
            if assembly.measure in {override.measure for override in work.overrides}:
                continue
            keys = [use.room for use in work.rooms] or list(rooms)
            measured = [taken_off.room_measures[key] for key in keys if key in taken_off.room_measures]
            amount, why = rule(_Known([rooms[key] for key in keys if key in rooms], measured, amounts))
            if amount > 0:
                found.append(Proposal(work.key, assembly.measure, amount, why))
                amounts[code] = amounts.get(code, ZERO) + amount
    return found


def _amounts(items: Iterable[ItemQuantities]) -> dict[str, Fraction]:
    amounts: dict[str, Fraction] = {}
    for item in items:
        assembly, amount = item.work.assembly, item.amount(ALL_OPENINGS)
        if assembly is not None and amount is not None:
            amounts[assembly.code] = amounts.get(assembly.code, ZERO) + amount
    return amounts


def _barriers(known: _Known) -> tuple[Fraction, str]:
    count = sum(opening.kind in ("door", "cased") for room in known.rooms for opening in room.openings)
    return Fraction(count), "the doors and openings of the rooms"


def _trim(known: _Known) -> tuple[Fraction, str]:
    length = sum(
        (
            measures.amount(code, ALL_OPENINGS)
            for measures in known.measures
            for code in ("base", "opening_trim")
            if measures.has(code)
        ),
        ZERO,
    )
    return Fraction(ceil(length)), "the base and the trim of openings in the rooms"


def _cabinets(fits: Callable[[Footprint], bool]) -> Rule:
    def rule(known: _Known) -> tuple[Fraction, str]:
        length, count = known.runs(fits)
        why = f"{float(length):.1f} ft of cabinets on the plan, one for each 30 in"
        hung, _ = known.runs(_hangs)
        return Fraction(count), why if hung else f"{why}; no wall cabinets are drawn"

    return rule


def _is_tall(item: Footprint) -> bool:
    return (item.height_nm or 0) >= TALL_CABINET_HEIGHT


def _hangs(item: Footprint) -> bool:
    return item.depth_nm <= WALL_CABINET_DEPTH and not _is_tall(item)


def _pulls(known: _Known) -> tuple[Fraction, str]:
    count = sum((known.amounts.get(code, ZERO) for code in CABINETS), ZERO)
    return PULLS_A_CABINET * count, f"{count} cabinets, {PULLS_A_CABINET} pulls each"


def _loads(cubic_feet: int) -> Rule:
    def rule(known: _Known) -> tuple[Fraction, str]:
        volume = sum((known.amounts.get(code, ZERO) * bulk for code, bulk in DEBRIS.items()), ZERO)
        return Fraction(ceil(volume / cubic_feet)), f"about {ceil(volume)} cubic feet of what is removed"

    return rule


def _lights(known: _Known) -> tuple[Fraction, str]:
    count = sum(place.on_ceiling for room in known.rooms for place in room.electrical)
    return Fraction(count), "the ceiling lights that have their place on the plan"


RULES: Mapping[str, Rule] = {
    "dust-barrier": _barriers,
    "take-out-trim": _trim,
    "take-out-cabinets": _cabinets(lambda item: True),
    "install-cabinets": _cabinets(lambda item: True),
    "set-base-cabinets": _cabinets(lambda item: not _hangs(item) and not _is_tall(item)),
    "set-wall-cabinets": _cabinets(_hangs),
    "set-tall-cabinets": _cabinets(_is_tall),
    "cabinet-pulls": _pulls,
    "pulls-supplied": _pulls,
    "haul-away": _loads(DUMPSTER_CUBIC_FEET),
    "haul-by-load": _loads(PICKUP_CUBIC_FEET),
    "swap-ceiling-light": _lights,
}
