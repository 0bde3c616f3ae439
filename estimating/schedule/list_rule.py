"""A plan at once: at each moment the step of the longest tail, then the same with changed tails.

The changes come from a row of numbers that is always the same, so a plan is too.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from estimating.schedule.network import Network, rough_tails, tails

# What holds for the cost of the search: runs of the list rule times steps.
RUNS_TIMES_STEPS = 12_000
MOST_RUNS = 300
RUNS_FOR_A_PRICE = 6
# How far tails are changed, in 64ths, and one in how many steps is held.
SPREADS = (16, 32, 64, 64)
HELD_ONE_IN = 12


@dataclass(frozen=True)
class Found:
    """The start of every step as a working index, how long it takes, and the pins that it breaks."""

    starts: tuple[int, ...]
    makespan: int
    broken: tuple[int, ...] = ()

    @property
    def rank(self) -> tuple[int, int]:
        """Fewer broken pins first, then the earlier end."""
        return len(self.broken), self.makespan


def improved_plan(net: Network, runs: int | None = None) -> Found:
    """Return the best plan of the list rule and of a fixed number of runs with changed tails.

    In some runs a few steps that could go over two days are held back to the next morning instead: the rule
    itself never leaves an hour unused, and the best plan sometimes does.
    """
    bound = net.lower_bound()
    bases = (_ranks(net, tails(net, bound)), _ranks(net, rough_tails(net)))
    runs = min(MOST_RUNS, RUNS_TIMES_STEPS // max(len(net.steps), 1)) if runs is None else runs
    best, best_ranks, best_held = _run(net, bases[0]), bases[0], frozenset[int]()
    numbers = _Numbers()
    for number in range(runs + 1):
        if best.rank == (0, bound):
            break
        if number == 0:
            ranks, held = bases[1], best_held
        else:
            base = best_ranks if number % 4 else bases[number // 4 % 2]
            spread = SPREADS[number % len(SPREADS)]
            ranks = [rank * (64 - spread // 2) // 64 + rank * numbers.below(spread) // 64 for rank in base]
            held = best_held
            if number % 2:
                held ^= frozenset(place for place in range(len(ranks)) if not numbers.below(HELD_ONE_IN))
        found = _run(net, ranks, held)
        if found.rank <= best.rank:
            best, best_ranks, best_held = found, ranks, held
    return best


def _ranks(net: Network, tails: list[int]) -> list[int]:
    """Return the tails in fine parts; those of pinned steps and what they wait for above all others."""
    ranks = [tail * 1024 for tail in tails]
    last = {position: window[1] for position, window in net.pins.items()}
    if not last:
        return ranks
    for position in reversed(net.order):
        by = [last[later] for later, _ in net.follows[position] if later in last]
        if by:
            last[position] = min(last.get(position, by[0]), *by)
    top, latest = max(ranks) + 1, max(last.values())
    for position, day in last.items():
        ranks[position] += top + (latest - day) * 1024
    return ranks


class _Numbers:
    """A fixed row of numbers that look drawn by lot (a linear congruence, Knuth's MMIX constants)."""

    def __init__(self) -> None:
        self.state = 1

    def below(self, limit: int) -> int:
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % limit


def plan_by_ranks(net: Network, ranks: Sequence[int]) -> Found:
    """Return the plan of the list rule with given ranks: the highest that can start goes first."""
    return _run(net, ranks)


def _run(net: Network, ranks: Sequence[int], held: frozenset[int] = frozenset()) -> Found:
    return _ListRule(net, ranks, held).run()


class _ListRule:
    """One run: the state of the work at one moment, moved on step by step."""

    def __init__(self, net: Network, ranks: Sequence[int], held: frozenset[int]) -> None:
        self.net, self.ranks, self.held = net, ranks, held
        self.starts = [-1] * len(net.steps)
        self.left = [len(waits) for waits in net.before]
        self.ready_at = list(net.earliest)
        self.coming: list[tuple[int, int]] = []
        self.startable: list[tuple[int, int]] = []
        self.closed = dict(net.closed)
        self.pinned = dict(net.pins)
        for position, count in enumerate(self.left):
            if not count:
                self._announce(position)

    def run(self) -> Found:
        net, now, end = self.net, 0, 0
        broken = []
        while self.coming or self.startable:
            while self.coming and self.coming[0][0] <= now:
                _, position = heappop(self.coming)
                heappush(self.startable, (-self.ranks[position], position))
            chosen = self._choose(now)
            if chosen is None:
                now = max(now, self.coming[0][0])
                continue
            self.starts[chosen] = now
            window = self.pinned.pop(chosen, None)
            if window is not None and not window[0] <= now <= window[1]:
                broken.append(chosen)
            self._finish(chosen, now)
            now += net.steps[chosen].quarters
            end = max(end, now)
        return Found(tuple(self.starts), end, tuple(broken))

    def _choose(self, now: int) -> int | None:
        while self.startable:
            rank, position = heappop(self.startable)
            later = self._not_before(position, now)
            if later <= now:
                return position
            heappush(self.coming, (later, position))
        return None

    def _not_before(self, position: int, now: int) -> int:
        """Return the first index at which a step may start as far as is known now."""
        net, step = self.net, self.net.steps[position]
        index = net.fits(position, now, held=position in self.held)
        if self.closed:
            clock = max((self.closed[surface] for surface in step.uses if surface in self.closed), default=0)
            if clock > net.time.start_clock(index):
                index = max(index, net.time.index_from(clock))
        if self.pinned and step.quarters and position not in self.pinned:
            for pinned, (_, last) in self.pinned.items():
                if index <= last < index + step.quarters:
                    index = last + max(net.steps[pinned].quarters, 1)
        return index

    def _finish(self, position: int, start: int) -> None:
        net, step = self.net, self.net.steps[position]
        if step.closes:
            until = net.time.clock_after(net.end_clock(position, start), step.dries)
            for surface in step.closes:
                self.closed[surface] = max(self.closed.get(surface, 0), until)
        for later, wait in net.follows[position]:
            self.ready_at[later] = max(self.ready_at[later], net.ready_after(position, start, wait))
            self.left[later] -= 1
            if not self.left[later]:
                self._announce(later)

    def _announce(self, position: int) -> None:
        ready = self.ready_at[position]
        if position in self.pinned:
            ready = max(ready, self.pinned[position][0])
        heappush(self.coming, (ready, position))
