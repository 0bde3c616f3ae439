"""The cheapest sticks that yield given pieces.

Purchases are tried from the cheapest up. Some can't hold the pieces by their values and are passed over,
some are searched through; the first that can be cut is the answer. It is the best there is, unless a
cheaper purchase had to be left undecided because the work is bounded.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from estimating.linear_stock.lower_bound import (
    Cutting,
    DualValues,
    OutOfSteps,
    Pattern,
    Steps,
    Verdict,
    try_to_refute,
    weighted_sum,
)
from estimating.linear_stock.packing import Cut, Search, best_fit, fill_up

# A step takes some microseconds. The kitchens and houses tried need a tenth of these at most.
_MOST_STEPS = 250_000
_STEPS_TO_REFUTE = 120_000
_STEPS_TO_FINISH = 3_000
_STEPS_TO_SEARCH = 40_000
_MOST_KINDS = 120  # of lengths; more are cut by a rule of thumb
_VALUES_USED = 3


class Cheapest(NamedTuple):
    """The cuts found, and the cost that no cuts can go below: their own, where they are the best."""

    cuts: tuple[Cut, ...]
    bound: int


def cheapest(cutting: Cutting) -> Cheapest:
    """Cut the pieces from the sticks that cost least. Every piece must fit in the longest stick."""
    return _Buying(cutting).run()


class _Buying:
    def __init__(self, cutting: Cutting) -> None:
        self._cutting = cutting
        self._values = [DualValues(cutting.widths, cutting.rooms)]
        self._value_of_all = [weighted_sum(cutting.widths, cutting.counts)]
        self._steps = Steps(_MOST_STEPS)
        self._steps_to_refute = Steps(_STEPS_TO_REFUTE)

    def run(self) -> Cheapest:
        counts = self._cutting.counts
        thumb = self._by_thumb()
        cost_of_thumb = self._cost(thumb)
        bound = self._least_by_length()
        if bound == cost_of_thumb or len(counts) > _MOST_KINDS:
            return Cheapest(tuple(thumb), bound)
        undecided: int | None = None
        try:
            for cost, bought in self._purchases(cost_of_thumb):
                bound = cost if undecided is None else undecided
                if self._refuted(bought):
                    continue
                try:
                    cuts = self._cut(bought)
                except OutOfSteps:
                    undecided = bound
                    continue
                if cuts is not None:
                    return Cheapest(tuple(cuts), bound)
        except OutOfSteps:
            return Cheapest(tuple(thumb), bound)
        return Cheapest(tuple(thumb), cost_of_thumb if undecided is None else undecided)

    def _refuted(self, bought: Sequence[int]) -> bool:
        return any(
            weighted_sum(values.sticks, bought) < of_all
            for values, of_all in zip(self._values, self._value_of_all, strict=True)
        )

    def _by_thumb(self) -> list[Cut]:
        """Return the best cuts that the rules of thumb find."""
        sticks = range(len(self._cutting.rooms))
        return min((best_fit(self._cutting, stick) for stick in sticks), key=self._cost)

    def _least_by_length(self) -> int:
        """Return what the pieces' length costs at the price of the stick that gives most for its cost."""
        total = self._value_of_all[0]
        rooms_and_costs = zip(self._cutting.rooms, self._cutting.costs, strict=True)
        return min(-(-total * cost // room) for room, cost in rooms_and_costs)

    def _purchases(self, below: int) -> list[tuple[int, tuple[int, ...]]]:
        """Return every purchase that is long enough and costs less than `below`, the cheapest first."""
        rooms, costs = self._cutting.rooms, self._cutting.costs
        total = self._value_of_all[0]
        found: list[tuple[int, tuple[int, ...]]] = []

        def add(stick: int, cost: int, length: int, numbers: tuple[int, ...]) -> None:
            self._steps.take()
            if stick < 0:
                found.append((cost, numbers))
                return
            number = max(0, -(-(total - length) // rooms[0])) if stick == 0 else 0
            while (spent := cost + number * costs[stick]) < below:
                add(stick - 1, spent, length + number * rooms[stick], (number, *numbers))
                number += 1

        add(len(rooms) - 1, 0, 0, ())
        return sorted(found)

    def _cut(self, bought: Sequence[int]) -> list[Cut] | None:
        """Return cuts by which this purchase yields every piece, None without any. Raises OutOfSteps."""
        cuts = fill_up(self._cutting, bought, False) or fill_up(self._cutting, bought, True)
        if cuts is not None:
            return cuts
        verdict = self._try_to_refute(bought)
        if verdict.proof is not None:
            self._values.append(verdict.proof)
            self._value_of_all.append(weighted_sum(verdict.proof.pieces, self._cutting.counts))
            return None
        return self._finish(bought, verdict.whole) or self._search(bought)

    def _try_to_refute(self, bought: Sequence[int]) -> Verdict:
        if self._steps_to_refute.left <= 0:
            return Verdict(None)
        try:
            return try_to_refute(self._cutting, bought, self._steps_to_refute)
        except OutOfSteps:
            return Verdict(None)

    def _finish(self, bought: Sequence[int], whole: Sequence[tuple[int, Pattern]]) -> list[Cut] | None:
        """Cut the sticks that the linear program cuts whole, and search for the rest."""
        if not whole:
            return None
        left, sticks = list(self._cutting.counts), list(bought)
        cuts = []
        for stick, pattern in whole:
            if sticks[stick] and all(left[kind] >= number for kind, number in pattern):
                sticks[stick] -= 1
                for kind, number in pattern:
                    left[kind] -= number
                cuts.append(Cut(stick, pattern))
        rest = self._cutting._replace(counts=tuple(left))
        try:
            found = self._within(_STEPS_TO_FINISH, rest, sticks, self._values[:1])
        except OutOfSteps:
            return None
        return None if found is None else cuts + found

    def _search(self, bought: Sequence[int]) -> list[Cut] | None:
        """Search with the values that leave the purchase the least slack."""
        counts = self._cutting.counts

        def share_of_slack(values: DualValues) -> Fraction:
            holds = values.slack([0] * len(counts), bought)
            return Fraction(values.slack(counts, bought), holds)

        tightest = sorted(self._values, key=share_of_slack)[:_VALUES_USED]
        return self._within(_STEPS_TO_SEARCH, self._cutting, bought, tightest)

    def _within(
        self, most: int, cutting: Cutting, bought: Sequence[int], values: Sequence[DualValues]
    ) -> list[Cut] | None:
        steps = Steps(min(most, self._steps.left))
        given = steps.left
        try:
            return Search(cutting, bought, values, steps).run()
        finally:
            self._steps.left -= given - max(0, steps.left)

    def _cost(self, cuts: Sequence[Cut]) -> int:
        return sum(self._cutting.costs[cut.stick] for cut in cuts)
