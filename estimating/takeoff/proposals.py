"""Amounts that a room or other work already tells, proposed where they would be counted by hand.

Each rule names the assembly of the starting catalog that it is for. What a rule assumes is common practice or
from memory, as said beside it; every proposal says what it was made from, and he may type another.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from catalog.measures.lengths import feet_from_nm
from catalog.measures.room_measures import ALL_OPENINGS, BY_HAND, MeasureSet
from estimating.rooms.cabinet_runs import runs_of
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.takeoff import TakeOff
from estimating.takeoff.work import ZERO, ItemQuantities, Work

CABINET_FEET = Fraction(5, 2)  # 30 in, between the stock widths of 12 to 36 in (common practice)
PULLS_A_CABINET = 2  # where no cabinets are listed: a drawer and a door, or two doors (common practice)
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
_CABINETS_OF = {"base": "base_cabinets", "hung": "wall_cabinets", "tall": "tall_cabinets"}
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

    def unlisted(self, layers: Sequence[str]) -> tuple[Fraction, int]:
        """Return the length in feet of the runs whose cabinets aren't listed, and how many these may be."""
        lengths = [
            feet_from_nm(item.length_nm)
            for room in self.rooms
            for item in room.footprints
            if item.kind in ("cabinets", "hung", "tall") and not item.units and item.layer in layers
        ]
        return sum(lengths, ZERO), sum(ceil(length / CABINET_FEET) for length in lengths)

    @property
    def are_listed(self) -> bool:
        """Whether cabinets are listed on the plan of a room."""
        return any(item.is_run for room in self.rooms for item in room.footprints)

    def measured(self, *codes: str) -> Fraction:
        """Return measures of the rooms summed up, nothing for what they don't have."""
        amounts = (
            measures.amount(code, ALL_OPENINGS)
            for measures in self.measures
            for code in codes
            if measures.has(code)
        )
        return sum(amounts, ZERO)


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
    length = known.measured("base", "opening_trim")
    return Fraction(ceil(length)), "the base and the trim of openings in the rooms"


def _cabinets(*layers: str) -> Rule:
    """Propose the cabinets that are listed on the plan, and for each 30 in of other runs one."""

    def rule(known: _Known) -> tuple[Fraction, str]:
        listed = known.measured(*(_CABINETS_OF[layer] for layer in layers))
        length, count = known.unlisted(layers)
        parts = [f"{listed} cabinets listed on the plan"] if listed else []
        if length or not listed:
            parts.append(f"{float(length):.1f} ft of cabinets on the plan, one for each 30 in")
        hung = known.measured("wall_cabinets") or known.unlisted(["hung"])[0]
        if not hung:
            parts.append("no wall cabinets are drawn")
        return listed + count, "; ".join(parts)

    return rule


def _listed(said: str, *codes: str) -> Rule:
    """Propose measures of the runs whose cabinets are listed; lengths as whole feet, rounded up."""

    def rule(known: _Known) -> tuple[Fraction, str]:
        return Fraction(ceil(known.measured(*codes))), f"{said}, by the cabinets listed on the plan"

    return rule


def _counter_area(known: _Known) -> tuple[Fraction, str]:
    area = known.measured("counter")
    return Fraction(ceil(4 * area), 4), "the counter over the cabinets listed on the plan, corners once"


def _counter_length(known: _Known) -> tuple[Fraction, str]:
    spans = [span for room in known.rooms for run in runs_of(room) for span in run.counters]
    length = feet_from_nm(sum(end - begin for begin, end in spans))
    return Fraction(ceil(length)), "the counters along the runs listed on the plan"


def _old_wall_tile(known: _Known) -> tuple[Fraction, str]:
    area = known.measured("surround")
    return Fraction(ceil(area)), "the walls of tub and shower on the plan; old tile may reach further"


def _old_cabinets(known: _Known) -> tuple[Fraction, str]:
    """Propose how many cabinets may stand there now: those that are listed are the new ones."""
    lengths = [
        feet_from_nm(item.length_nm)
        for room in known.rooms
        for item in room.footprints
        if item.kind in ("cabinets", "hung", "tall")
    ]
    hung = any(item.layer == "hung" for room in known.rooms for item in room.footprints)
    why = f"{float(sum(lengths)):.1f} ft of cabinets on the plan, one for each 30 in"
    count = sum(ceil(length / CABINET_FEET) for length in lengths)
    return Fraction(count), why if hung else f"{why}; no wall cabinets are drawn"


def _set_by_kind(kind: str) -> Rule:
    def rule(known: _Known) -> tuple[Fraction, str]:
        count = sum(
            unit.kind == kind for room in known.rooms for item in room.footprints for unit in item.units
        )
        return Fraction(count), "the appliances listed on the plan"

    return rule


def _microwaves(known: _Known) -> tuple[Fraction, str]:
    count = sum(
        unit.kind == "microwave" and item.layer == "hung"
        for room in known.rooms
        for item in room.footprints
        for unit in item.units
    )
    return Fraction(count), "the microwave ovens among the wall cabinets of the plan"


def _pulls(known: _Known) -> tuple[Fraction, str]:
    if known.are_listed:
        return known.measured("pulls"), "the doors and drawers of the cabinets listed on the plan"
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
    "take-out-wall-tile": _old_wall_tile,
    "take-out-trim": _trim,
    "take-out-cabinets": _old_cabinets,
    "receive-cabinets": _cabinets("base", "hung", "tall"),
    "install-cabinets": _cabinets("base", "hung", "tall"),
    "set-base-cabinets": _cabinets("base"),
    "set-wall-cabinets": _cabinets("hung"),
    "set-tall-cabinets": _cabinets("tall"),
    "cabinet-fillers": _listed("toe kick, and fillers by their height", "toe_kick", "filler_length"),
    "fillers-supplied": _listed("toe kick, and fillers by their height", "toe_kick", "filler_length"),
    "cabinet-pulls": _pulls,
    "pulls-supplied": _pulls,
    "end-panels": _listed("finished ends and panels", "end_panels"),
    "cabinet-crowns": _listed("fronts of wall and tall cabinets with finished ends", "cabinet_crown"),
    "counter-by-others": _counter_area,
    "counter-laminate": _counter_length,
    "counter-wood": _counter_length,
    "sink-cutout-laminate": _listed("the sinks", "sink_cutouts"),
    "dishwashers-set": _set_by_kind("dishwasher"),
    "ranges-set": _set_by_kind("range"),
    "range-hoods": _set_by_kind("hood"),
    "microwaves-over-range": _microwaves,
    "haul-away": _loads(DUMPSTER_CUBIC_FEET),
    "haul-by-load": _loads(PICKUP_CUBIC_FEET),
    "swap-ceiling-light": _lights,
}
