"""The order of work in an estimate: which earlier work is missing, and which stands after what needs it."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import product

# Phases whose work is never missing: what isn't there needn't be taken out, and cabinets, counters and
# fixtures may stand there already.
NEVER_MISSING = ("take_out", "set")


@dataclass(frozen=True)
class PrecedencePair:
    """Two assemblies by their codes: where a job has both, the catalog has `earlier` done before `work`.

    `phase` is that of `earlier`.
    """

    work: str
    earlier: str
    phase: str
    reason: str = ""


@dataclass(frozen=True)
class PlacedWork:
    """A work item as it stands in the estimate.

    `holds` are the codes of its assembly and of all nested in it; `rooms` are empty for work that is in
    none, which is then taken to concern every room.
    """

    title: str
    code: str
    phase: str
    holds: frozenset[str]
    rooms: frozenset[str] = frozenset()

    def shares_a_room(self, other: "PlacedWork") -> bool:
        """Tell whether both work items are done in one room, as far as their rooms are known."""
        return not self.rooms or not other.rooms or bool(self.rooms & other.rooms)


@dataclass(frozen=True)
class MissingEarlierWork:
    """Earlier work that the estimate doesn't have, and the title of the work that needs it first."""

    pair: PrecedencePair
    title: str


@dataclass(frozen=True)
class OutOfOrder:
    """The titles of two work items: `earlier` stands after `work` in the estimate and belongs before it."""

    earlier: str
    work: str
    reason: str


def missing_earlier_work(
    items: Sequence[PlacedWork], pairs: Iterable[PrecedencePair], answered: frozenset[str]
) -> tuple[MissingEarlierWork, ...]:
    """Return the work that is needed before other work and isn't in the estimate, each assembly once.

    Only assemblies of the work's own phase are asked for: an earlier phase may well be done, or not be
    wanted at all. Those to take out or to set aren't asked for either. Several of them are ways to the same
    end (this underlayment or that one), so one is enough. `answered` are codes that were set aside or are
    asked for already.
    """
    there = answered.union(*(item.holds for item in items))
    pairs_of: dict[str, list[PrecedencePair]] = defaultdict(list)
    for pair in pairs:
        pairs_of[pair.work].append(pair)
    missing: dict[str, MissingEarlierWork] = {}
    for item in items:
        ways = [pair for pair in pairs_of[item.code] if pair.phase == item.phase not in NEVER_MISSING]
        if not any(pair.earlier in there for pair in ways):
            for pair in ways:
                missing.setdefault(pair.earlier, MissingEarlierWork(pair, item.title))
    return tuple(missing.values())


def out_of_order(items: Sequence[PlacedWork], pairs: Iterable[PrecedencePair]) -> tuple[OutOfOrder, ...]:
    """Return the work items that stand after work that has to wait for them, in one room.

    `items` are in the order of the estimate. Two items of the same titles are named once.
    """
    late: dict[tuple[str, str], OutOfOrder] = {}
    for earlier, work, reason in _ordered_positions(items, pairs):
        if work < earlier:
            titles = (items[earlier].title, items[work].title)
            late.setdefault(titles, OutOfOrder(*titles, reason))
    return tuple(late.values())


def stable_order(count: int, before: Collection[tuple[int, int]]) -> tuple[int, ...]:
    """Order the positions 0 to count - 1 so that the first of each pair stands before the second.

    Otherwise they stay as they were (a stable topological order). Where the pairs form a cycle, the cycle
    stays as it was.
    """
    followers: dict[int, list[int]] = defaultdict(list)
    waits_for = [0] * count
    for first, second in set(before):
        followers[first].append(second)
        waits_for[second] += 1
    free = [position for position in range(count) if not waits_for[position]]  # rising: a heap already
    waiting = dict.fromkeys(range(count))
    order: list[int] = []
    while waiting:
        position = heappop(free) if free else next(iter(waiting))
        if position not in waiting:  # a cycle that was broken set it free a second time
            continue
        del waiting[position]
        order.append(position)
        for follower in followers[position]:
            waits_for[follower] -= 1
            if not waits_for[follower]:
                heappush(free, follower)
    return tuple(order)


def suggested_order(items: Sequence[PlacedWork], pairs: Iterable[PrecedencePair]) -> tuple[int, ...]:
    """Return the positions of the work in an order in which nothing stands too late within its phase.

    Work of different phases isn't reordered.
    """
    before = {
        (first, second)
        for first, second, _ in _ordered_positions(items, pairs)
        if items[first].phase == items[second].phase
    }
    return stable_order(len(items), before)


def _ordered_positions(
    items: Sequence[PlacedWork], pairs: Iterable[PrecedencePair]
) -> Iterator[tuple[int, int, str]]:
    """Yield the positions of two work items of which the first belongs before the second, with the reason.

    They share a room. Work that holds the earlier assembly itself waits for no other.
    """
    positions: dict[str, list[int]] = defaultdict(list)
    for position, item in enumerate(items):
        for code in item.holds:
            positions[code].append(position)
    for pair in pairs:
        for work, earlier in product(positions[pair.work], positions[pair.earlier]):
            if pair.earlier not in items[work].holds and items[work].shares_a_room(items[earlier]):
                yield earlier, work, pair.reason
