"""Steps from the work itself: operations in order, coats one by one, and what must be done before what."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil

from catalog.assemblies.expansion import Requirement
from catalog.assemblies.specs import OperationSpec, nested_codes
from catalog.measures.room_measures import SHEET_MEASURES
from estimating.schedule.steps import HoursRange, Step, Wait
from estimating.takeoff.work import ZERO, ItemQuantities

PHASES = ("protect", "take_out", "rough", "board", "finish", "floor", "set", "trim", "close")
# Dust and dirt: all of it is done before what follows, and cleaning comes after everything (common practice).
DIRTY = frozenset({"protect", "take_out", "rough"})
LAST = "close"
# What stands on the floor and against the walls, as far as its measure doesn't say what it works on.
LEANS_ON_WALLS = frozenset({"set", "trim"})
SURFACE_OF = (
    dict.fromkeys(("floor", "floor_perimeter"), "floor")
    | dict.fromkeys(("wall_net", "wall_gross", "cut_in", "inside_corner", "outside_corner"), "walls")
    | dict.fromkeys(("ceiling", "ceiling_line"), "ceiling")
)


@dataclass(frozen=True)
class PlainWork:
    """Work of which only the hours are known, such as a line of a signed paper."""

    key: str
    title: str
    phase: str
    hours: Fraction


@dataclass
class _Chain:
    """The steps of one work item, one after the other."""

    phase: str
    code: str = ""
    holds: frozenset[str] = frozenset()
    rooms: frozenset[str] = frozenset()
    waits_for: frozenset[str] = frozenset()
    steps: list[Step] = field(default_factory=list)
    last_wait: int = 0

    def shares_a_room(self, other: "_Chain") -> bool:
        """Tell whether both are done in one room; what is in none concerns every room."""
        return not self.rooms or not other.rooms or bool(self.rooms & other.rooms)

    def add(self, step: Step, wait: int) -> None:
        if self.steps:
            step = replace(step, after=(Wait(self.steps[-1].key, self.last_wait),))
        self.steps.append(step)
        self.last_wait = wait


def steps_of_work(
    items: Iterable[ItemQuantities], job: str = "", plain: Iterable[PlainWork] = ()
) -> tuple[Step, ...]:
    """Return the steps of the work, with what each waits for.

    The operations of an assembly follow each other in its order, an operation that must dry or set once for
    each coat; hours typed on the item come last. Of two assemblies in one room of which the catalog has one
    done before the other, the second waits for the first; where it says nothing of the second, and for what
    makes dust and for cleaning in any case, phases follow one another. While it dries, a floor isn't walked
    on, and walls and a ceiling are not worked on; what is set or nailed on leans on the walls. Hours are
    rounded to quarters so that their sum stays right, what must dry is at least one. What is done a little
    each day lengthens all other work by its share.
    """
    items, plain = list(items), list(plain)
    rounding = _Quarters(_share_of_daily_work(items, plain))
    chains = [chain for item in items if (chain := _chain(item, job, rounding)).steps]
    for work in plain:
        chain = _Chain(work.phase)
        chain.add(Step(f"{work.key}/hours", work.title, rounding.of(work.hours), work.key, job), 0)
        chains.append(chain)
    waits = _waits_between(chains)
    return tuple(
        replace(step, after=(*step.after, *waits[position])) if step is chain.steps[0] else step
        for position, chain in enumerate(chains)
        for step in chain.steps
    )


class _Quarters:
    """Rounds hours to quarter hours, one after the other, so that no more than an eighth is lost in all.

    `share` is how much of them is done a little each day beside them; None where nothing else is done.
    """

    def __init__(self, share: Fraction | None) -> None:
        self.hours, self.given, self.share = ZERO, 0, share

    def of(self, hours: Fraction, least: int = 0) -> int:
        self.hours += hours * (1 + (self.share or ZERO))
        quarters = max(int(self.hours * 4 + Fraction(1, 2)) - self.given, least)
        self.given += quarters
        return quarters


def _share_of_daily_work(items: Sequence[ItemQuantities], plain: Sequence[PlainWork]) -> Fraction | None:
    """Return the hours of what is done a little each day for an hour of the rest."""
    daily = sum(
        (need.quantity for item in items for need in item.requirements if _is_daily(need)),
        ZERO,
    )
    rest = sum((item.hours for item in items), ZERO) + sum((work.hours for work in plain), ZERO) - daily
    return daily / rest if rest else None


def _is_daily(requirement: Requirement) -> bool:
    return isinstance(requirement.use, OperationSpec) and requirement.use.over_days == "daily"


def _chain(item: ItemQuantities, job: str, rounding: _Quarters) -> _Chain:
    work, assembly = item.work, item.work.assembly
    chain = _Chain(work.phase, rooms=frozenset(use.room for use in work.rooms))
    if assembly is not None:
        holds = nested_codes(assembly)
        chain.code, chain.holds, chain.waits_for = assembly.code, holds, frozenset(assembly.after) - holds
    used: dict[str, int] = defaultdict(int)
    for requirement in item.requirements:
        operation = requirement.use
        if not isinstance(operation, OperationSpec) or not requirement.quantity:
            continue
        if _is_daily(requirement) and rounding.share is not None:
            continue
        used[requirement.component] += 1
        key = f"{work.key}/{requirement.component}"
        if used[requirement.component] > 1:
            key += f".{used[requirement.component]}"
        _add_operation(chain, key, item, requirement, operation, job, rounding)
    if work.extra_hours:
        step = Step(f"{work.key}/hours", work.title, rounding.of(work.extra_hours), work.key, job)
        chain.add(replace(step, uses=_floors(chain.rooms)), 0)
    return chain


def _add_operation(
    chain: _Chain,
    key: str,
    item: ItemQuantities,
    requirement: Requirement,
    operation: OperationSpec,
    job: str,
    rounding: _Quarters,
) -> None:
    """Add the steps of one operation: one, or one for each coat where it must dry between them."""
    wait = ceil(operation.wait_hours * 4)
    coats = max(ceil(requirement.calculation.times), 1) if wait else 1
    surface = _surface(item, requirement, operation)
    on = frozenset(f"{surface}:{room}" for room in chain.rooms) if surface else frozenset[str]()
    leans = chain.phase in LEANS_ON_WALLS and not surface
    uses = _floors(chain.rooms) | on | {f"walls:{room}" for room in chain.rooms if leans}
    hours = requirement.quantity / coats
    for coat in range(1, coats + 1):
        chain.add(
            Step(
                key=key if coats == 1 else f"{key}-{coat}",
                name=operation.name if coats == 1 else f"{operation.name} ({coat} of {coats})",
                quarters=rounding.of(hours, least=1 if wait else 0),
                work_item=item.work.key,
                job=job,
                splittable=_splittable(operation),
                uses=uses,
                closes=on if wait else frozenset(),
                dries=wait if on else 0,
                hours=_range(hours, requirement.calculation.set_up / coats, operation),
            ),
            wait,
        )


def _floors(rooms: frozenset[str]) -> frozenset[str]:
    return frozenset(f"floor:{room}" for room in rooms)


def _surface(item: ItemQuantities, requirement: Requirement, operation: OperationSpec) -> str:
    """Return "floor", "walls", "ceiling" or nothing: as the operation says, else by what it scales with."""
    if operation.surface:
        return "" if operation.surface == "none" else operation.surface
    measure = requirement.calculation.measure
    if measure in SHEET_MEASURES and item.work.assembly is not None:
        measure = item.work.assembly.measure
    return SURFACE_OF.get(measure, "")


def _splittable(operation: OperationSpec) -> bool:
    """Tell whether work may go over two days: as the operation says, else where nothing dries after it."""
    return operation.over_days == "yes" if operation.over_days else not operation.wait_hours


def _range(hours: Fraction, set_up: Fraction, operation: OperationSpec) -> HoursRange | None:
    """Return best, likely and worst hours, of which those to set up are certain."""
    likely = operation.rate.per_unit
    if operation.low is None or operation.high is None or not likely:
        return None
    driven = hours - set_up
    return HoursRange(
        set_up + driven * operation.low / likely, hours, set_up + driven * operation.high / likely
    )


def _waits_between(chains: Sequence[_Chain]) -> list[list[Wait]]:
    """Return for each chain what its first step waits for outside of it."""
    holding: dict[str, list[int]] = defaultdict(list)
    for position, chain in enumerate(chains):
        for code in chain.holds:
            holding[code].append(position)
    order = _Order(len(chains))
    told: set[int] = set()
    for position, chain in enumerate(chains):
        for code in sorted(chain.waits_for):
            for earlier in holding[code]:
                if earlier != position and chain.shares_a_room(chains[earlier]):
                    order.add(earlier, position)
                    told.add(position)
    for position, chain in enumerate(chains):
        for earlier in _phase_before(chains, chain, everything=position not in told):
            order.add(earlier, position)
    return [
        [Wait(chains[earlier].steps[-1].key, chains[earlier].last_wait) for earlier in sorted(before)]
        for before in order.before
    ]


def _phase_before(chains: Sequence[_Chain], chain: _Chain, everything: bool) -> set[int]:
    """Return the work of earlier phases that a chain follows: that of the last one in each of its rooms."""
    own = _place(chain)
    by_room: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for position, earlier in enumerate(chains):
        place = _place(earlier)
        counts = everything or earlier.phase in DIRTY or chain.phase == LAST
        if place < own and counts and chain.shares_a_room(earlier):
            for room in (chain.rooms & earlier.rooms) or {""}:
                by_room[room].append((place, position))
    found: set[int] = set()
    for placed in by_room.values():
        if chain.phase == LAST:
            found |= {position for _, position in placed}
        else:
            last = max(place for place, _ in placed)
            found |= {position for place, position in placed if place == last}
    return found


def _place(chain: _Chain) -> int:
    return PHASES.index(chain.phase) if chain.phase in PHASES else len(PHASES)


class _Order:
    """What comes before what; a pair that would close a circle is left out."""

    def __init__(self, count: int) -> None:
        self.before: list[set[int]] = [set() for _ in range(count)]
        self.all_before = [1 << position for position in range(count)]

    def add(self, earlier: int, later: int) -> None:
        if self.all_before[earlier] >> later & 1 or earlier in self.before[later]:
            return
        self.before[later].add(earlier)
        gained = self.all_before[earlier]
        for position, known in enumerate(self.all_before):
            if known >> later & 1:
                self.all_before[position] |= gained
