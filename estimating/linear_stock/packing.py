"""Pieces packed into sticks: by rules of thumb that answer at once, and by a search that misses nothing."""

from collections.abc import Sequence
from typing import NamedTuple

from estimating.linear_stock.lower_bound import Cutting, DualValues, Pattern, Steps

_STEPS_A_STICK = 300


class Cut(NamedTuple):
    """One stick, by the index of its length, and what is cut from it."""

    stick: int
    pattern: Pattern


def best_fit(cutting: Cutting, stick: int) -> list[Cut]:
    """Cut the longest pieces first, each from the stick where the least is left over.

    New sticks are of one length if the piece fits it. In the end every stick is changed for the cheapest
    that holds the same pieces.
    """
    open_sticks: list[tuple[int, dict[int, int]]] = []
    for kind, (width, count) in enumerate(zip(cutting.widths, cutting.counts, strict=True)):
        for _ in range(count):
            fit = [index for index, (left, _) in enumerate(open_sticks) if left >= width]
            if fit:
                index = min(fit, key=lambda index: open_sticks[index][0])
            else:
                index = len(open_sticks)
                open_sticks.append((max(cutting.rooms[stick], cutting.rooms[_shortest(cutting, width)]), {}))
            left, held = open_sticks[index]
            held[kind] = held.get(kind, 0) + 1
            open_sticks[index] = (left - width, held)
    patterns = [tuple(sorted(held.items())) for _, held in open_sticks]
    return [Cut(_shortest(cutting, taken_up(cutting, pattern)), pattern) for pattern in patterns]


def fill_up(cutting: Cutting, bought: Sequence[int], longest_first: bool) -> list[Cut] | None:
    """Cut stick by stick: the longest piece that is left, and with it the pieces that fill the stick best."""
    left = list(cutting.counts)
    cuts = []
    sticks = [stick for stick, number in enumerate(bought) for _ in range(number)]
    for stick in reversed(sticks) if longest_first else sticks:
        room = cutting.rooms[stick]
        fit = (kind for kind, width in enumerate(cutting.widths) if left[kind] and width <= room)
        if (first := next(fit, None)) is None:
            continue
        pattern = _fullest_with(cutting, left, first, room)
        for kind, number in pattern:
            left[kind] -= number
        cuts.append(Cut(stick, pattern))
    return None if any(left) else cuts


def taken_up(cutting: Cutting, pattern: Pattern) -> int:
    return sum(cutting.widths[kind] * number for kind, number in pattern)


def _shortest(cutting: Cutting, width: int) -> int:
    return next(stick for stick, room in enumerate(cutting.rooms) if room >= width)


def _fullest_with(cutting: Cutting, left: Sequence[int], first: int, room: int) -> Pattern:
    """Return the first piece and the pieces that, by a short search, fill the rest of the stick best."""
    widths, kinds = cutting.widths, len(cutting.widths)
    best: Pattern = ()
    least_free, steps = room, 0
    taken: list[tuple[int, int]] = []

    def dig(kind: int, free: int) -> None:
        nonlocal best, least_free, steps
        steps += 1
        if taken and free < least_free:
            best, least_free = tuple(taken), free
        while kind < kinds and (widths[kind] > free or not left[kind]):
            kind += 1
        if kind == kinds:
            return
        for number in range(min(left[kind], free // widths[kind]), -1 if taken else 0, -1):
            if steps > _STEPS_A_STICK or not least_free:
                return
            if number:
                taken.append((kind, number))
            dig(kind + 1, free - number * widths[kind])
            if number:
                taken.pop()

    dig(first, room)
    return best


class _Filling(NamedTuple):
    """One stick filled: how many pieces, what is left free, and what it loses by each set of values."""

    pieces: int
    free: int
    lost: tuple[int, ...]
    cut: Cut


class Search:
    """Whether these sticks yield these pieces: every way that counts is tried.

    A stick is opened for the longest piece that is left, and filled: a piece that still fits is never
    better elsewhere. Fillings of few pieces are tried first, since small pieces are the easy ones to
    place later. Dual values keep the search short: a stick that holds less than it could spends some of what
    the sticks can spare in all.
    """

    def __init__(
        self, cutting: Cutting, bought: Sequence[int], values: Sequence[DualValues], steps: Steps
    ) -> None:
        self._cutting = cutting
        self._left = list(cutting.counts)
        self._sticks = list(bought)
        self._values = values
        self._steps = steps
        self._failed: set[tuple[int, ...]] = set()
        self._cuts: list[Cut] = []

    def run(self) -> list[Cut] | None:
        """Return the cuts, or None where no cuts yield every piece. Raises OutOfSteps."""
        slack = tuple(values.slack(self._left, self._sticks) for values in self._values)
        if min(slack) < 0:
            return None
        return self._cuts if self._go(0, slack) else None

    def _go(self, first: int, slack: tuple[int, ...]) -> bool:
        left, sticks = self._left, self._sticks
        while first < len(left) and not left[first]:
            first += 1
        if first == len(left):
            return True
        key = (*left, *sticks)
        if key in self._failed:
            return False
        found: list[_Filling] = []
        densest = [self._densest(values.pieces) for values in self._values]
        self._steps.take(len(left) * len(densest) // 20)
        for stick, room in enumerate(self._cutting.rooms):
            if sticks[stick] and room >= self._cutting.widths[first]:
                found += self._fillings(first, stick, slack, densest)
        for filling in sorted(found):
            cut = filling.cut
            self._take(cut, -1)
            if self._go(first, tuple(a - b for a, b in zip(slack, filling.lost, strict=True))):
                return True
            self._take(cut, 1)
        self._failed.add(key)
        return False

    def _take(self, cut: Cut, sign: int) -> None:
        for kind, number in cut.pattern:
            self._left[kind] += sign * number
        self._sticks[cut.stick] += sign
        if sign < 0:
            self._cuts.append(cut)
        else:
            self._cuts.pop()

    def _fillings(
        self, first: int, stick: int, slack: tuple[int, ...], densest: Sequence[Sequence[tuple[int, int]]]
    ) -> list[_Filling]:
        """Return all ways to fill a stick with the first piece that lose no more than can be spared."""
        widths, left = self._cutting.widths, self._left
        kinds = len(widths)
        pieces = [values.pieces for values in self._values]
        holds = [values.sticks[stick] for values in self._values]
        found: list[_Filling] = []
        taken: list[tuple[int, int]] = []

        def dig(kind: int, free: int, missing: list[int]) -> None:
            """Go on from a kind with what is free; `missing`, by set of values, must still be put in."""
            self._steps.take()
            while kind < kinds and (widths[kind] > free or not left[kind]):
                kind += 1
            for need, dense in zip(missing, densest, strict=True):
                value, width = dense[kind]
                if need * width > free * value:
                    return
            if kind == kinds:
                if self._holds_no_more(taken, free):
                    lost = tuple(a + b for a, b in zip(missing, slack, strict=True))
                    number = sum(number for _, number in taken)
                    found.append(_Filling(number, free, lost, Cut(stick, tuple(taken))))
                return
            for number in range(min(left[kind], free // widths[kind]), -1, -1):
                if kind == first and not number:
                    return
                if number:
                    taken.append((kind, number))
                rest = [need - number * values[kind] for need, values in zip(missing, pieces, strict=True)]
                dig(kind + 1, free - number * widths[kind], rest)
                if number:
                    taken.pop()

        dig(first, self._cutting.rooms[stick], [a - b for a, b in zip(holds, slack, strict=True)])
        return found

    def _densest(self, pieces: Sequence[int]) -> list[tuple[int, int]]:
        """Return, for each kind, the densest of it and those after it: (value, width)."""
        best = (0, 1)
        by_kind = [best]
        for kind in range(len(pieces) - 1, -1, -1):
            value, width = pieces[kind], self._cutting.widths[kind]
            if self._left[kind] and value * best[1] > best[0] * width:
                best = (value, width)
            by_kind.append(best)
        return by_kind[::-1]

    def _holds_no_more(self, taken: Sequence[tuple[int, int]], free: int) -> bool:
        used = dict(taken)
        for kind in range(len(self._left) - 1, -1, -1):
            if self._cutting.widths[kind] > free:
                return True
            if self._left[kind] > used.get(kind, 0):
                return False
        return True
