"""Cut pieces packed into sheets by straight cuts from edge to edge.

A saw, or a scored line, goes right across what it cuts, so every plan here is made of such cuts. Of 48
ways to go about it (which piece first, which place, which cut first) the best plan is kept. Sizes are
whole nanometres.
"""

from collections.abc import Callable, Iterator, Sequence
from itertools import product
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

    `offcut` is how much it cuts off (the kerf included) beside the piece that it frees.
    """

    x: int
    y: int
    length: int
    lengthwise: bool
    offcut: int


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

    def room_for(self, sizes: Sequence[Size]) -> int:
        """Least number of sheets by area, each piece taken with its kerf."""
        return -(-sum((w + self.kerf) * (h + self.kerf) for w, h in sizes) // self.capacity)


_FIRST: tuple[Callable[[Size], tuple[int, int]], ...] = (
    lambda size: (size[0] * size[1], max(size)),
    lambda size: (max(size), min(size)),
    lambda size: (min(size), max(size)),
    lambda size: (size[0] + size[1], max(size)),
)
_FIT: tuple[Callable[[int, int, int, int], int], ...] = (
    lambda spare_w, spare_h, w, h: min(spare_w, spare_h),
    lambda spare_w, spare_h, w, h: (w + spare_w) * (h + spare_h) - w * h,
    lambda spare_w, spare_h, w, h: max(spare_w, spare_h),
)
# Whether the first cut runs lengthwise, over the whole free rectangle.
_SPLIT: tuple[Callable[[int, int, int, int], bool], ...] = (
    lambda spare_w, spare_h, w, h: spare_w <= spare_h,
    lambda spare_w, spare_h, w, h: spare_w > spare_h,
    lambda spare_w, spare_h, w, h: w * spare_h <= h * spare_w,
    lambda spare_w, spare_h, w, h: w * spare_h > h * spare_w,
)
RUNS = len(_FIRST) * len(_FIT) * len(_SPLIT)


def packings(sizes: Sequence[Size], stock: Stock) -> Iterator[Packing]:
    """The plans of the 48 ways, one after another. Every size must fit the sheet."""
    orders = [sorted(range(len(sizes)), key=lambda i: key(sizes[i]), reverse=True) for key in _FIRST]
    for split, fit, order in product(_SPLIT, _FIT, orders):
        yield _pack(sizes, order, fit, split, stock)


def pack(sizes: Sequence[Size], stock: Stock, enough: tuple[int, int] = (0, 0)) -> Packing:
    """The best of the 48 plans by sheets, then cuts; a plan as good as `enough` ends the search."""
    best: Packing | None = None
    for plan in packings(sizes, stock):
        if best is None or plan.rank < best.rank:
            best = plan
            if best.rank <= enough:
                break
    return best or Packing((), ())


def _pack(
    sizes: Sequence[Size],
    order: Sequence[int],
    fit: Callable[[int, int, int, int], int],
    split: Callable[[int, int, int, int], bool],
    stock: Stock,
) -> Packing:
    """One plan. Sheet and pieces are taken larger by the kerf, so that what is left is what remains."""
    kerf = stock.kerf
    whole = (0, 0, stock.length + kerf, stock.width + kerf)
    free: list[tuple[int, int, int, int, int]] = []
    sheets: list[list[Placed]] = []
    cuts: list[list[SheetCut]] = []
    for piece in order:
        w, h = sizes[piece][0] + kerf, sizes[piece][1] + kerf
        ways = ((w, h, False), (h, w, True)) if stock.may_turn and w != h else ((w, h, False),)
        best = _best_place(free, ways, fit)
        if best is None:
            free.append((len(sheets), *whole))
            sheets.append([])
            cuts.append([])
            best = _best_place(free, ways, fit)
        if best is None:
            raise ValueError("A piece is larger than the sheet.")
        at, (w, h, is_turned) = best
        sheet, x, y, free_w, free_h = free.pop(at)
        sheets[sheet].append(Placed(piece, x, y, is_turned))
        spare_w, spare_h = free_w - w, free_h - h
        lengthwise = split(spare_w, spare_h, w, h)
        if spare_h:
            run = free_w if lengthwise else w
            cuts[sheet].append(SheetCut(x, y + h - kerf, run - kerf, True, spare_h))
        if spare_w:
            run = h if lengthwise else free_h
            cuts[sheet].append(SheetCut(x + w - kerf, y, run - kerf, False, spare_w))
        if spare_h > kerf:
            free.append((sheet, x, y + h, free_w if lengthwise else w, spare_h))
        if spare_w > kerf:
            free.append((sheet, x + w, y, spare_w, h if lengthwise else free_h))
    return Packing(tuple(map(tuple, sheets)), tuple(map(tuple, cuts)))


def _best_place(
    free: Sequence[tuple[int, int, int, int, int]],
    ways: Sequence[tuple[int, int, bool]],
    fit: Callable[[int, int, int, int], int],
) -> tuple[int, tuple[int, int, bool]] | None:
    """The free rectangle, and the way to lie in it, that fit best; the earliest of equals."""
    best, best_score = None, None
    for at, (_, _, _, free_w, free_h) in enumerate(free):
        for way in ways:
            w, h, _ = way
            if w <= free_w and h <= free_h:
                score = fit(free_w - w, free_h - h, w, h)
                if best_score is None or score < best_score:
                    best, best_score = (at, way), score
    return best
