"""What the order of work says of an estimate: what lacks before a piece of work, and what stands too late."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import product

# What isn't there needn't be taken out, and cabinets, counters and fixtures may stand there already.
NOT_ASKED_FOR = ("take_out", "set")


@dataclass(frozen=True)
class Pair:
    """What the catalog says of two assemblies, by their codes: where a job has both, `earlier` is done
    before `work`. `phase` is that of `earlier`."""

    work: str
    earlier: str
    phase: str
    reason: str = ""


@dataclass(frozen=True)
class Placed:
    """A work item as it stands in the estimate.

    `holds` are the codes of its assembly and of all nested in it; `rooms` are empty for work that is in
    none, which is then taken to concern every room.
    """

    title: str
    code: str
    phase: str
    holds: frozenset[str]
    rooms: frozenset[str] = frozenset()

    def shares_a_room(self, other: "Placed") -> bool:
        return not self.rooms or not other.rooms or bool(self.rooms & other.rooms)


@dataclass(frozen=True)
class Lacking:
    """What a piece of work wants before it and the estimate doesn't have."""

    pair: Pair
    title: str


@dataclass(frozen=True)
class TooLate:
    """Titles of two work items of which the first stands after the second and belongs before it."""

    earlier: str
    work: str
    reason: str


def lacking(placed: Iterable[Placed], pairs: Iterable[Pair], answered: frozenset[str]) -> tuple[Lacking, ...]:
    """What is wanted before the work and isn't in the estimate, each piece once.

    Only pieces of the work's own phase are asked for: an earlier phase may well be done, or not be wanted
    at all. Neither are those to take out or to set. Several of them are ways to the same end (this
    underlayment or that one), so one is enough.
    `answered` are codes that were set aside or are asked for already.
    """
    placed = tuple(placed)
    there = answered.union(*(each.holds for each in placed))
    ways: dict[str, list[Pair]] = defaultdict(list)
    for pair in pairs:
        ways[pair.work].append(pair)
    found: dict[str, Lacking] = {}
    for each in placed:
        near = [pair for pair in ways[each.code] if pair.phase == each.phase not in NOT_ASKED_FOR]
        if not any(pair.earlier in there for pair in near):
            for pair in near:
                found.setdefault(pair.earlier, Lacking(pair, each.title))
    return tuple(found.values())


def too_late(placed: Sequence[Placed], pairs: Iterable[Pair]) -> tuple[TooLate, ...]:
    """Work items, in the order of the estimate, that stand after what has to wait for them, in one room.

    What holds the earlier piece itself waits for no other.
    """
    found: dict[tuple[str, str], TooLate] = {}
    for earlier, work, reason in _belonging(placed, pairs):
        if work < earlier:
            titles = (placed[earlier].title, placed[work].title)
            found.setdefault(titles, TooLate(*titles, reason))
    return tuple(found.values())


def in_order(count: int, before: Collection[tuple[int, int]]) -> tuple[int, ...]:
    """The places 0 to count - 1, so ordered that the first of each pair stands before the second, and
    otherwise as they were. Where the pairs go round in a loop, the loop stays as it was."""
    after: dict[int, list[int]] = defaultdict(list)
    holders = [0] * count
    for first, second in set(before):
        after[first].append(second)
        holders[second] += 1
    free = [each for each in range(count) if not holders[each]]  # in rising order, so a heap already
    waiting = dict.fromkeys(range(count))
    order: list[int] = []
    while waiting:
        place = heappop(free) if free else next(iter(waiting))
        if place not in waiting:  # a loop that was broken set it free a second time
            continue
        del waiting[place]
        order.append(place)
        for each in after[place]:
            holders[each] -= 1
            if not holders[each]:
                heappush(free, each)
    return tuple(order)


def put_in_order(placed: Sequence[Placed], pairs: Iterable[Pair]) -> tuple[int, ...]:
    """The places of the work in an order in which nothing stands too late, as far as one phase goes; the
    phases follow one another as they do."""
    before = {
        (first, second)
        for first, second, _ in _belonging(placed, pairs)
        if placed[first].phase == placed[second].phase
    }
    return in_order(len(placed), before)


def _belonging(placed: Sequence[Placed], pairs: Iterable[Pair]) -> Iterator[tuple[int, int, str]]:
    """Places of work that belongs before other work in one of its rooms, with the reason."""
    holding: dict[str, list[int]] = defaultdict(list)
    for place, each in enumerate(placed):
        for code in each.holds:
            holding[code].append(place)
    for pair in pairs:
        for work, earlier in product(holding[pair.work], holding[pair.earlier]):
            if pair.earlier not in placed[work].holds and placed[work].shares_a_room(placed[earlier]):
                yield earlier, work, pair.reason
