"""A lower bound for cutting stock: the proof that some sticks can't yield some pieces.

Give every piece a value. A stick can hold pieces of a certain total value and no more; pieces that are
together worth more than these sticks can hold never come out of them, however they are cut. The values
that prove most are the dual values (shadow prices) of a linear program over all ways to cut a stick
(Gilmore and Gomory, 1961). The simplex method finds them here in whole numbers: it keeps the inverse of
the basis times its determinant, so that every division is exact and no rounding can spoil a proof. (A
solver in floating point could find the same values, but not prove anything by them.)
"""

from collections.abc import Sequence
from fractions import Fraction
from math import prod
from operator import mul
from typing import NamedTuple

# One piece in the program. Each length is given a little more, and none the same, so that no two rows
# are ever used up together: the method would then walk on the spot.
_WHOLE = 1 << 20
_STEPS_A_STICK = 5_000  # of looking for the pieces of the highest value

Pattern = tuple[tuple[int, int], ...]  # which lengths are cut from one stick, and how many of each


class Cutting(NamedTuple):
    """Pieces to be cut and sticks to cut them from, in whole numbers.

    A piece takes up its length and a kerf; a stick has room for its own length and a kerf, since none is
    lost behind the last piece. Pieces of one length are counted together.
    """

    widths: tuple[int, ...]  # longest first
    counts: tuple[int, ...]
    rooms: tuple[int, ...]  # shortest first
    costs: tuple[int, ...]  # above zero, and the longer stick costs more


class OutOfSteps(Exception):
    """The work was stopped before it knew the answer."""


class Steps:
    """How much work may be done; a step takes some microseconds."""

    def __init__(self, left: int) -> None:
        self.left = left

    def take(self, number: int = 1) -> None:
        """Use up some steps. Raises OutOfSteps once there are none left."""
        self.left -= number
        if self.left < 0:
            raise OutOfSteps


class DualValues(NamedTuple):
    """The value of a piece of each length, and the most that a stick of each length can hold."""

    pieces: tuple[int, ...]
    sticks: tuple[int, ...]

    def slack(self, counts: Sequence[int], bought: Sequence[int]) -> int:
        """Return what the sticks can hold beyond these pieces; below zero, they can't yield them."""
        return weighted_sum(self.sticks, bought) - weighted_sum(self.pieces, counts)


class Verdict(NamedTuple):
    """What the linear program says of a purchase: the proof that it won't do, or how to begin to cut it.

    `whole` holds sticks, by length, and the patterns that the linear program cuts them to.
    """

    proof: DualValues | None
    whole: tuple[tuple[int, Pattern], ...] = ()


def try_to_refute(cutting: Cutting, bought: Sequence[int], steps: Steps) -> Verdict:
    """Try to prove that these sticks won't do. Raises OutOfSteps."""
    basis = _Basis(cutting, bought)
    work = basis.size**2 // 20 + 1
    while True:
        steps.take(work)
        values, fills = basis.dual_values(steps)
        if values.slack(cutting.counts, bought) < 0:
            return Verdict(values)
        if not basis.improve(fills):
            return Verdict(None, basis.whole())


class _Fill(NamedTuple):
    """The best pattern found for a stick, its value, and a value that none can exceed."""

    pattern: Pattern
    value: int
    most: int


def _fullest(cutting: Cutting, value: Sequence[int], room: int, steps: Steps) -> _Fill:
    """Return the pieces of the highest value that one stick yields; tries the densest in value first."""
    widths = cutting.widths
    order = [kind for kind in range(len(widths)) if value[kind] > 0 and widths[kind] <= room]
    # 80 bits behind the point tell all densities apart that matter: no stick is 2**40 parts long.
    order.sort(key=lambda kind: (value[kind] << 80) // widths[kind], reverse=True)
    kinds = [(widths[kind], value[kind], cutting.counts[kind], kind) for kind in order]
    best: Pattern = ()
    best_value = most = done = 0
    taken: list[tuple[int, int]] = []

    def dig(index: int, left: int, so_far: int) -> None:
        nonlocal best, best_value, most, done
        if so_far > best_value:
            best, best_value = tuple(taken), so_far
        while index < len(kinds) and kinds[index][0] > left:
            index += 1
        if index == len(kinds):
            return
        width, piece_value, count, kind = kinds[index]
        if left * piece_value <= (best_value - so_far) * width:
            return
        if done >= _STEPS_A_STICK:
            most = max(most, so_far + left * piece_value // width)
            return
        done += 1
        for number in range(min(count, left // width), 0, -1):
            taken.append((kind, number))
            dig(index + 1, left - number * width, so_far + number * piece_value)
            taken.pop()
        dig(index + 1, left, so_far)

    dig(0, room, 0)
    steps.take(done)
    return _Fill(best, best_value, max(best_value, most))


class _Column(NamedTuple):
    """A column of the program: what it puts in which rows, what it costs; patterns name their stick."""

    entries: Pattern
    cost: int = 0
    stick: int | None = None
    pattern: Pattern = ()


class _Basis:
    """The simplex method on: cut all pieces, using as few sticks beyond the purchase as can be.

    One row for each length of piece (so many must be cut) and one for each length of stick (so many
    are bought; more are a shortage, at their cost). Everything is kept times `scale`, the determinant.
    """

    def __init__(self, cutting: Cutting, bought: Sequence[int]) -> None:
        """Begin with every stick cut into pieces of one length."""
        widths, counts, rooms, costs = self._cutting = cutting
        kinds, sticks = len(widths), len(rooms)
        own = [_cheapest_for_one_kind(cutting, kind) for kind in range(kinds)]
        numbers = [min(counts[kind], rooms[own[kind]] // widths[kind]) for kind in range(kinds)]
        self.scale = scale = prod(numbers)
        parts = [scale // number for number in numbers]
        self._rows = [[0] * (kinds + sticks) for _ in range(kinds + sticks)]
        self._amounts = [(counts[kind] * _WHOLE + pow(3, kind, 1009)) * parts[kind] for kind in range(kinds)]
        self.prices = [0] * (kinds + sticks)
        self._columns = [self._cut(own[kind], ((kind, numbers[kind]),)) for kind in range(kinds)]
        for kind in range(kinds):
            self._rows[kind][kind] = parts[kind]
        for stick in range(sticks):
            users = [kind for kind in range(kinds) if own[kind] == stick]
            over = sum(self._amounts[kind] for kind in users) - bought[stick] * scale * _WHOLE
            sign = -1 if over > 0 else 1
            row = self._rows[kinds + stick]
            row[kinds + stick] = sign * scale
            for kind in users:
                row[kind] = -sign * parts[kind]
            self._amounts.append(abs(over))
            self._columns.append(self._short(stick) if over > 0 else self._spare(stick))
            if over > 0:
                self.prices = [a + costs[stick] * b for a, b in zip(self.prices, row, strict=True)]

    @property
    def size(self) -> int:
        return len(self._rows)

    def whole(self) -> tuple[tuple[int, Pattern], ...]:
        """Return the sticks that are cut by one pattern a whole number of times."""
        return tuple(
            (column.stick, column.pattern)
            for column, amount in zip(self._columns, self._amounts, strict=True)
            if column.stick is not None
            for _ in range(amount // (self.scale * _WHOLE))
        )

    def dual_values(self, steps: Steps) -> tuple[DualValues, list[_Fill]]:
        """Return the values at the present prices, and the fullest patterns that show what sticks hold."""
        kinds = len(self._cutting.widths)
        value = [max(0, price) for price in self.prices[:kinds]]
        fills = [_fullest(self._cutting, value, room, steps) for room in self._cutting.rooms]
        return DualValues(tuple(value), tuple(fill.most for fill in fills)), fills

    def improve(self, fills: Sequence[_Fill]) -> bool:
        """Bring columns into the basis that lessen the shortage; whether there was one."""
        kinds, sticks = len(self._cutting.widths), len(self._cutting.rooms)
        improved = False
        for stick in range(sticks):
            improved |= self._enter(self._cut(stick, fills[stick].pattern))
        if improved:
            return True
        others = [_Column(((kind, -1),)) for kind in range(kinds)]
        others += [column(stick) for stick in range(sticks) for column in (self._short, self._spare)]
        return self._enter(max(others, key=self._gain))

    def _cut(self, stick: int, pattern: Pattern) -> _Column:
        return _Column((*pattern, (len(self._cutting.widths) + stick, 1)), 0, stick, pattern)

    def _short(self, stick: int) -> _Column:
        return _Column(((len(self._cutting.widths) + stick, -1),), self._cutting.costs[stick])

    def _spare(self, stick: int) -> _Column:
        return _Column(((len(self._cutting.widths) + stick, 1),))

    def _gain(self, column: _Column) -> int:
        return sum(self.prices[row] * entry for row, entry in column.entries) - self.scale * column.cost

    def _enter(self, column: _Column) -> bool:
        """Pivot, if the column lessens the shortage; every division is exact."""
        gain = self._gain(column)
        if gain <= 0:
            return False
        change = [sum(row[index] * entry for index, entry in column.entries) for row in self._rows]
        leaving = -1
        for index, step in enumerate(change):
            if step > 0 and (
                leaving < 0 or self._amounts[index] * change[leaving] < self._amounts[leaving] * step
            ):
                leaving = index
        pivot, scale = change[leaving], self.scale
        row, amount = self._rows[leaving], self._amounts[leaving]
        for index, step in enumerate(change):
            if index != leaving:
                self._rows[index] = _eliminated(self._rows[index], row, pivot, step, scale)
                self._amounts[index] = (self._amounts[index] * pivot - step * amount) // scale
        self.prices = _eliminated(self.prices, row, pivot, gain, scale)
        self._columns[leaving] = column
        self.scale = pivot
        return True


def _eliminated(line: list[int], by: list[int], pivot: int, factor: int, scale: int) -> list[int]:
    if not factor:
        return line if pivot == scale else [entry * pivot // scale for entry in line]
    return [(entry * pivot - factor * other) // scale for entry, other in zip(line, by, strict=True)]


def _cheapest_for_one_kind(cutting: Cutting, kind: int) -> int:
    """Return the stick that gives pieces of one length at the least cost apiece."""
    width, count = cutting.widths[kind], cutting.counts[kind]
    fit = [stick for stick, room in enumerate(cutting.rooms) if room >= width]
    return min(
        fit, key=lambda stick: Fraction(cutting.costs[stick], min(count, cutting.rooms[stick] // width))
    )


def weighted_sum(weights: Sequence[int], numbers: Sequence[int]) -> int:
    """Return the sum of the numbers, each times its weight."""
    return sum(map(mul, weights, numbers))
