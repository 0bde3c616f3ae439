"""Cut pieces packed into sheets by straight cuts from edge to edge.

A saw, or a scored line, goes right across what it cuts, so every plan here is made of such cuts. Of 48
ways to go about it (which piece first, which place, which cut first) the best plan is kept. Sizes are
whole nanometers.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import islice, product
from typing import NamedTuple

Size = tuple[int, int]


class Placed(NamedTuple):
    """Where a piece lies in its sheet: lower left corner, and whether it is cut turned a quarter."""

    piece: int
    x: int
    y: int
    turned: bool


class SheetCut(NamedTuple):
    """A straight cut: it starts at x, y and runs along the sheet's length, or across it.

    `offcut` is how much it cuts off (the kerf included) beside the piece that it frees. `fallen`: it is made
    in what fell out of a notched piece, and x and y are taken from the lower left corner of what is cut.
    """

    x: int
    y: int
    length: int
    lengthwise: bool
    offcut: int
    fallen: bool = False


class Packing(NamedTuple):
    """One tuple of pieces and one of cuts for each sheet."""

    sheets: tuple[tuple[Placed, ...], ...]
    cuts: tuple[tuple[SheetCut, ...], ...]

    @property
    def rank(self) -> tuple[int, int]:
        """Sheets, then cuts: less is better."""
        return len(self.sheets), sum(map(len, self.cuts))


class Stock(NamedTuple):
    """The sheet that pieces are cut from, the width of a cut, and whether pieces may be cut turned."""

    length: int
    width: int
    kerf: int
    may_turn: bool

    @property
    def capacity(self) -> int:
        """Area of a sheet, taken larger by the kerf as every piece is."""
        return (self.length + self.kerf) * (self.width + self.kerf)

    def least(self, sizes: Sequence[Size]) -> int:
        """Return a number of sheets that no way of packing can do without.

        By area, each piece taken with its kerf; and by the pieces of which no two lie side by side in a
        sheet, as each is more than half as wide (or long): they only lie one after another.
        """
        kerf, length, width = self.kerf, self.length + self.kerf, self.width + self.kerf
        total, in_rows, in_columns = 0, [], []
        for w, h in sizes:
            along, over = w + kerf, h + kerf
            total += along * over
            if self.may_turn:
                along, over = (along, over) if along > over else (over, along)
            if 2 * over > width:
                in_rows.append(over if self.may_turn and along <= width else along)
            if 2 * (over if self.may_turn and along <= width else along) > length:
                in_columns.append(over)
        by_area = -(-total // (length * width))
        return max(by_area, least_bins(in_rows, length), least_bins(in_columns, width))


def least_bins(sizes: Sequence[int], capacity: int) -> int:
    """Return a number of bins that no packing of these lengths can do without.

    The bound L2 of S. Martello and P. Toth, Knapsack Problems (1990), section 8.3: those longer than half
    take a bin each, and what they leave is filled with those that aren't too small to count.
    """
    best = 0
    for small in {0, *(size for size in sizes if 2 * size <= capacity)}:
        alone = large = spare = rest = 0
        for size in sizes:
            if size > capacity - small:
                alone += 1
            elif 2 * size > capacity:
                large += 1
                spare += capacity - size
            elif size >= small:
                rest += size
        best = max(best, alone + large + max(0, -(-(rest - spare) // capacity)))
    return best


Fit = Callable[[int, int, int, int], int]
Split = Callable[[int, int, int, int], bool]

_FIRST: tuple[Callable[[Size], tuple[int, int]], ...] = (
    lambda size: (max(size), min(size)),
    lambda size: (size[0] * size[1], max(size)),
    lambda size: (min(size), max(size)),
    lambda size: (size[0] + size[1], max(size)),
)
# How badly a piece fits a free rectangle, from what it spares each way and its own size.
_FIT: tuple[Fit, ...] = (
    lambda spare_w, spare_h, w, h: spare_w if spare_w < spare_h else spare_h,
    lambda spare_w, spare_h, w, h: (w + spare_w) * (h + spare_h),
    lambda spare_w, spare_h, w, h: spare_w if spare_w > spare_h else spare_h,
)
# Whether the first cut runs lengthwise, over the whole free rectangle.
_SPLIT: tuple[Split, ...] = (
    lambda spare_w, spare_h, w, h: spare_w <= spare_h,
    lambda spare_w, spare_h, w, h: spare_w > spare_h,
    lambda spare_w, spare_h, w, h: w * spare_h <= h * spare_w,
    lambda spare_w, spare_h, w, h: w * spare_h > h * spare_w,
)
PLAIN = len(_FIRST) * len(_FIT) * len(_SPLIT)
THOROUGH = PLAIN + 400

Free = tuple[int, int, int, int, int]  # sheet, x, y, width, height


class PackedPiece(NamedTuple):
    """A piece put into a free rectangle, and whether the first cut runs the rectangle's whole width."""

    piece: int
    turned: bool
    size: Size
    into: Free
    lengthwise: bool


def pack(sizes: Sequence[Size], stock: Stock, most: int, ways: int = PLAIN) -> Packing | None:
    """Return the best plan of at most `most` sheets by sheets, then cuts; nothing where no way finds one.

    More than the 48 plain ways are those with pieces out of order; they are tried only for fewer sheets.
    Raises ValueError where a piece doesn't fit the sheet.
    """
    best, best_cuts = None, 0
    room = stock.least(sizes)
    if room > most:
        return None
    for number, (split, fit, order) in enumerate(_ways(sizes, ways)):
        if number >= PLAIN and best and most == room:
            break
        laid = _lay(sizes, order, fit, split, stock, most if number < PLAIN or best is None else most - 1)
        if laid is None:
            continue
        sheets = 1 + max((placed.into[0] for placed in laid), default=-1)
        cuts = sum((placed.size[0] < placed.into[3]) + (placed.size[1] < placed.into[4]) for placed in laid)
        if best is None or (sheets, cuts) < (most, best_cuts):
            best, most, best_cuts = laid, sheets, cuts
            if cuts <= len(sizes) - sheets and sheets == room:
                break
    return None if best is None else _plan(best, most, stock.kerf)


def _ways(sizes: Sequence[Size], ways: int) -> Iterator[tuple[Split, Fit, list[int]]]:
    """Yield the plain ways, then as many more as are asked for, each with some pieces changed about."""
    numbers, orders = range(len(sizes)), list[list[int]]()
    plain = product(_SPLIT, _FIT, range(len(_FIRST)))
    for split, fit, first in islice(plain, ways):
        if first == len(orders):
            orders.append(sorted(numbers, key=lambda at: _FIRST[first](sizes[at]), reverse=True))
        yield split, fit, orders[first]
    draw = draws()
    for _ in range(ways - PLAIN if sizes else 0):
        way = next(draw) % PLAIN
        split, way = _SPLIT[way // 12], way % 12
        fit, changed = _FIT[way // 4], list(orders[way % 4])
        for _ in range(1 + next(draw) % 3):
            here, there = next(draw) % len(sizes), next(draw) % len(sizes)
            changed[here], changed[there] = changed[there], changed[here]
        yield split, fit, changed


def draws() -> Iterator[int]:
    """Yield pseudo-random numbers, always the same ones, by the generator of Knuth's MMIX."""
    state = 1
    while True:
        state = (6364136223846793005 * state + 1442695040888963407) % 2**64
        yield state >> 33


def _lay(
    sizes: Sequence[Size],
    order: Sequence[int],
    fit: Fit,
    split: Split,
    stock: Stock,
    most: int,
) -> list[PackedPiece] | None:
    """Pack pieces one by one where they fit best; return None where they need more sheets than `most`.

    Sheet and pieces are taken larger by the kerf, so that what is left is what remains.
    """
    kerf = stock.kerf
    length, width = stock.length + kerf, stock.width + kerf
    free: list[Free] = []
    laid: list[PackedPiece] = []
    sheets = 0
    for piece in order:
        w, h = sizes[piece][0] + kerf, sizes[piece][1] + kerf
        ways = ((w, h), (h, w)) if stock.may_turn and w != h else ((w, h),)
        place = _best_place(free, ways, fit)
        if place is None:
            if sheets == most:
                return None
            free.append((sheets, 0, 0, length, width))
            sheets += 1
            place = _best_place(free, ways, fit)
            if place is None:
                raise ValueError("A piece is larger than the sheet.")
        at, size = place
        into = free.pop(at)
        sheet, x, y, free_w, free_h = into
        spare_w, spare_h = free_w - size[0], free_h - size[1]
        lengthwise = split(spare_w, spare_h, *size)
        laid.append(PackedPiece(piece, size != (w, h), size, into, lengthwise))
        if spare_h > kerf:
            free.append((sheet, x, y + size[1], free_w if lengthwise else size[0], spare_h))
        if spare_w > kerf:
            free.append((sheet, x + size[0], y, spare_w, size[1] if lengthwise else free_h))
    return laid


def _best_place(free: Sequence[Free], ways: Sequence[Size], fit: Fit) -> tuple[int, Size] | None:
    """Return the free rectangle, and the way to lie in it, that fit best; the earliest of equals."""
    best, least = None, -1
    for at, (_, _, _, free_w, free_h) in enumerate(free):
        for size in ways:
            w, h = size
            if w <= free_w and h <= free_h:
                score = fit(free_w - w, free_h - h, w, h)
                if score < least or least < 0:
                    best, least = (at, size), score
    return best


def _plan(laid: Sequence[PackedPiece], sheets: int, kerf: int) -> Packing:
    placed: list[list[Placed]] = [[] for _ in range(sheets)]
    cuts: list[list[SheetCut]] = [[] for _ in range(sheets)]
    for piece, is_turned, (w, h), (sheet, x, y, free_w, free_h), lengthwise in laid:
        placed[sheet].append(Placed(piece, x, y, is_turned))
        along = SheetCut(x, y + h - kerf, (free_w if lengthwise else w) - kerf, True, free_h - h)
        over = SheetCut(x + w - kerf, y, (h if lengthwise else free_h) - kerf, False, free_w - w)
        made = (along, over) if lengthwise else (over, along)
        cuts[sheet] += (cut for cut in made if cut.offcut)
    return Packing(tuple(map(tuple, placed)), tuple(map(tuple, cuts)))
