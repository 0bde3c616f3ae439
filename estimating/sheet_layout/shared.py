"""Cut pieces of many surfaces packed into the same sheets, so that what one leaves serves another.

Like `packing`, every plan is made of straight cuts from edge to edge. What it knows beside that: a piece
that meets its neighbor along a long edge with a taper has to keep such an edge of its sheet, so it is cut
from the side of a sheet and never from the middle. A piece may be turned by half a turn, which changes no
size here; none is ever turned over. What falls out of a notched piece serves pieces that are hung after it:
parts come in the order of hanging. Work is bounded by counts, never by the clock.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import nsmallest
from typing import NamedTuple

from estimating.sheet_layout.layout import Part, Parts
from estimating.sheet_layout.packing import SheetCut, Size, Stock, draws
from estimating.sheet_layout.regions import Box


class Laid(NamedTuple):
    """A part in its sheet: where its box lies, and the free rectangle that it was cut from.

    Sizes are those taken from the sheet, the kerf included. `lengthwise` says that the first cut runs along
    the sheet's length. A part that lies in the box of another is cut from what falls out of that.
    """

    part: int
    turned: bool
    x: int
    y: int
    w: int
    h: int
    free_x: int
    free_y: int
    free_w: int
    free_h: int
    lengthwise: bool


Bin = tuple[Laid, ...]
Plan = tuple[Bin, ...]


class Choice(NamedTuple):
    """A way to lay one surface: how many whole sheets it takes, and the parts to be cut."""

    whole: int
    parts: tuple[Part, ...]

    @classmethod
    def of(cls, pieces: Parts) -> "Choice":
        parts = tuple(piece for piece in pieces if piece)
        return cls(len(pieces) - len(parts), parts)


class Shared(NamedTuple):
    """Which choice each surface takes, and all their parts packed; parts count on over the surfaces."""

    chosen: tuple[int, ...]
    plan: Plan


class Work(NamedTuple):
    """How much a search may do, in counts of pieces put in place by way of trial."""

    placings: int  # over the whole job
    repacks: int  # of a few sheets at a time


FIRST = Work(placings=600, repacks=40)
BEST = Work(placings=6_000, repacks=1_000)


@lru_cache(maxsize=64)
def share(surfaces: tuple[tuple[Choice, ...], ...], stock: Stock, work: Work, least: int) -> Shared:
    """Pack the parts of all surfaces into shared sheets; never more than each surface alone would take.

    Each surface comes with the ways to lay it, its own best first; another is taken only where that saves a
    sheet, and none is looked for once there are no more than `least` sheets in all.
    """
    search = _Search(surfaces, stock, [0] * len(surfaces), [])
    search.begin(work)
    search.improve(work, least)
    return search.shared()


@lru_cache(maxsize=1024)
def alone(choice: Choice, stock: Stock) -> int:
    """Return how many sheets a surface takes that shares with none."""
    return choice.whole + len(_alone(choice.parts, stock))


def cuts_of(sheet: Bin, kerf: int) -> tuple[SheetCut, ...]:
    """Return the straight cuts of a sheet in the order in which they are made."""
    fallen = hosts(sheet)
    made: list[SheetCut] = []
    for laid in sheet:
        low = laid.y == laid.free_y
        level = laid.y + laid.h - kerf if low else laid.y - kerf
        spare_w, spare_h = laid.free_w - laid.w, laid.free_h - laid.h
        start = laid.y if laid.lengthwise else laid.free_y
        x, y = (laid.free_x, laid.free_y) if laid.part in fallen else (0, 0)
        long = (laid.free_w if laid.lengthwise else laid.w) - kerf
        high = (laid.h if laid.lengthwise else laid.free_h) - kerf
        along = SheetCut(laid.free_x - x, level - y, long, True, spare_h, laid.part in fallen)
        over = SheetCut(laid.x + laid.w - kerf - x, start - y, high, False, spare_w, laid.part in fallen)
        made += (cut for cut in ((along, over) if laid.lengthwise else (over, along)) if cut.offcut)
    return tuple(made)


def hosts(sheet: Bin) -> dict[int, int]:
    """Return the notched part out of which another fell, by that other: the one in whose box it lies."""
    found: dict[int, int] = {}
    for laid in sheet:
        round_it = [
            other
            for other in sheet
            if other.part != laid.part
            and other.x <= laid.x
            and other.y <= laid.y
            and laid.x + laid.w <= other.x + other.w
            and laid.y + laid.h <= other.y + other.h
        ]
        if round_it:
            found[laid.part] = min(round_it, key=lambda other: other.w * other.h).part
    return found


class _Named(NamedTuple):
    """A sheet with its parts, each by its surface and its number there, and the area they take."""

    parts: list[tuple[tuple[int, int], Laid]]
    used: int

    @classmethod
    def of(cls, names: Sequence[tuple[int, int]], sheet: Bin) -> "_Named":
        return cls([(names[laid.part], laid) for laid in sheet], sum(laid.w * laid.h for laid in sheet))


@dataclass
class _Search:
    """A plan of shared sheets that is made better step by step."""

    surfaces: tuple[tuple[Choice, ...], ...]
    stock: Stock
    chosen: list[int]
    bins: list["_Named"]

    def begin(self, work: Work) -> None:
        """Take the plan of each surface alone, or what whole passes over all parts find better."""
        names = [
            (at, number)
            for at, choices in enumerate(self.surfaces)
            for number in range(len(choices[0].parts))
        ]
        parts = [self.surfaces[at][0].parts[number] for at, number in names]
        self.bins = []
        for at, choices in enumerate(self.surfaces):
            own = [(at, number) for number in range(len(choices[0].parts))]
            self.bins += [_Named.of(own, sheet) for sheet in _alone(choices[0].parts, self.stock)]
        if len(self.surfaces) < 2:
            return
        passes = max(1, min(len(_WAYS), work.placings // max(1, len(parts))))
        orders = _orders(parts)
        for way in _WAYS[:passes]:
            found = _pass(parts, orders, self.stock, way, len(self.bins))
            if found and len(found) < len(self.bins):
                self.bins = [_Named.of(names, sheet) for sheet in found]

    @property
    def sheets(self) -> int:
        return len(self.bins) + sum(
            choices[at].whole for choices, at in zip(self.surfaces, self.chosen, strict=True)
        )

    def improve(self, work: Work, least: int) -> None:
        """Pack a few sheets anew, or lay a surface otherwise, again and again; keep what isn't worse."""
        draw = draws()
        turns = work.repacks if len(self.surfaces) > 1 else 0
        for turn in range(turns):
            if self.sheets <= least or len(self.bins) < 2:
                return
            if turn % 3 == 2 and self._lay_otherwise(draw, least):
                continue
            self._repack(self._some(draw))

    def _some(self, draw: Iterator[int]) -> list[int]:
        """Return a few sheets, an empty one mostly among them."""
        emptiest = nsmallest(3, range(len(self.bins)), key=self._used)
        first = emptiest[next(draw) % len(emptiest)]
        picked = {first}
        for _ in range(1 + next(draw) % 4):
            picked.add(next(draw) % len(self.bins))
        return sorted(picked)

    def _used(self, at: int) -> int:
        return self.bins[at].used

    def _repack(self, picked: list[int], otherwise: tuple[int, int] | None = None) -> bool:
        """Pack these sheets anew, one surface laid otherwise where that is said; keep what isn't worse."""
        names = [name for at in picked for name, _ in self.bins[at].parts]
        spared = 0
        if otherwise:
            surface, choice = otherwise
            before, after = self.surfaces[surface][self.chosen[surface]], self.surfaces[surface][choice]
            names = [name for name in names if name[0] != surface]
            names += [(surface, number) for number in range(len(after.parts))]
            spared = before.whole - after.whole
        most = len(picked) + spared
        if most < 0:
            return False
        names.sort()  # in the order of hanging
        chosen = list(self.chosen)
        if otherwise:
            chosen[otherwise[0]] = otherwise[1]
        parts = [self.surfaces[at][chosen[at]].parts[number] for at, number in names]
        least = _least(parts, self.stock)
        if least > most or (otherwise and least == most):
            return False
        worth_before = sum(self._used(at) ** 2 for at in picked)
        best: Plan | None = None
        best_worth = 0
        orders = _orders(parts)
        for way in _WAYS[: _FEW if least < most else _FEWER]:
            found = _pass(parts, orders, self.stock, way, most)
            if found is None:
                continue
            worth = sum(sum(laid.w * laid.h for laid in sheet) ** 2 for sheet in found)
            if best is None or (len(found), -worth) < (len(best), -best_worth):
                best, best_worth = found, worth
        if best is None:
            return False
        fewer = len(best) < most
        if otherwise and not fewer:
            return False
        if not fewer and best_worth <= worth_before:
            return False
        kept = [sheet for at, sheet in enumerate(self.bins) if at not in set(picked)]
        self.bins = kept + [_Named.of(names, sheet) for sheet in best]
        self.chosen = chosen
        return True

    def _lay_otherwise(self, draw: Iterator[int], least: int) -> bool:
        """Try another layout of some surface, with the sheets that its parts come from and one more."""
        open_to_it = [at for at, choices in enumerate(self.surfaces) if len(choices) > 1]
        if not open_to_it:
            return False
        surface = open_to_it[next(draw) % len(open_to_it)]
        choice = next(draw) % len(self.surfaces[surface])
        if choice == self.chosen[surface]:
            return False
        picked = {
            at for at, sheet in enumerate(self.bins) if any(name[0] == surface for name, _ in sheet.parts)
        }
        picked.add(min(range(len(self.bins)), key=self._used))
        picked.add(next(draw) % len(self.bins))
        return self._repack(sorted(picked), (surface, choice))

    def shared(self) -> Shared:
        """Return the plan with its parts counted over all surfaces, sheets in the order of their use."""
        offset, offsets = 0, []
        for choices, at in zip(self.surfaces, self.chosen, strict=True):
            offsets.append(offset)
            offset += len(choices[at].parts)
        sheets = [
            tuple(laid._replace(part=offsets[at] + number) for (at, number), laid in sheet.parts)
            for sheet in self.bins
        ]
        sheets.sort(key=lambda sheet: min(laid.part for laid in sheet))
        return Shared(tuple(self.chosen), tuple(sheets))


# A way to pack: which part first, which place fits best (by its shorter side to spare, its area, its longer
# side to spare), which cut comes first.
_FIRST: tuple[Callable[[Part], tuple[int, int]], ...] = (
    lambda part: (part.over, part.along),
    lambda part: (max(part.along, part.over), min(part.along, part.over)),
    lambda part: (part.along * part.over, part.along),
    lambda part: (part.along, part.over),
)
_WAYS = [(first, fit, split) for split in (2, 0, 1, 3) for fit in (0, 1, 2) for first in range(4)]
_FEW, _FEWER = 12, 4


def _least(parts: Sequence[Part], stock: Stock) -> int:
    """Return a number of sheets that no way of packing can do without.

    At best what falls out of notched parts is filled with those that fit there; the others come from sheets.
    """
    kerf = stock.kerf
    holes = [(right - left, high - low) for part in parts for left, low, right, high in part.cutouts]
    sizes = [(part.along, part.over) for part in parts]
    if not holes:
        return stock.least(sizes)
    if stock.may_turn:
        holes += [(over, along) for along, over in holes]

    def area(sizes: Iterable[Size]) -> int:
        return sum((along + kerf) * (over + kerf) for along, over in sizes)

    inside = [size for size in sizes if any(size[0] <= w and size[1] <= h for w, h in holes)]
    others = [size for size in sizes if not any(size[0] <= w and size[1] <= h for w, h in holes)]
    left = area(inside) - area(holes[: len(holes) // (1 + stock.may_turn)])
    return max(stock.least(others), -(-(area(others) + max(0, left)) // stock.capacity))


def _orders(parts: Sequence[Part]) -> list[list[int]]:
    """Return the parts in the order of each rule for which comes first."""
    return [sorted(range(len(parts)), key=lambda at: first(parts[at]), reverse=True) for first in _FIRST]


def _split(rule: int, spare_w: int, spare_h: int, w: int, h: int) -> bool:
    if rule == 0:
        return spare_w <= spare_h
    if rule == 1:
        return spare_w > spare_h
    if rule == 2:
        return w * spare_h <= h * spare_w
    return w * spare_h > h * spare_w


@lru_cache(maxsize=1024)
def _alone(parts: tuple[Part, ...], stock: Stock) -> Plan:
    """Return the best plan for the parts of one surface."""
    best: Plan | None = None
    room = _least(parts, stock)
    orders = _orders(parts)
    for way in _WAYS:
        found = _pass(parts, orders, stock, way, len(parts))
        if found is not None and (best is None or len(found) < len(best)):
            best = found
        if best is not None and len(best) <= room:
            break
    return best or ()


def _pass(
    parts: Sequence[Part], orders: Sequence[Sequence[int]], stock: Stock, way: tuple[int, int, int], most: int
) -> Plan | None:
    """Pack parts one by one where they fit best; None where they need more sheets than `most`."""
    first, fit, split = way
    kerf, length, width = stock.kerf, stock.length + stock.kerf, stock.width + stock.kerf
    free: list[tuple[int, int, int, int, int, int]] = []  # sheet, place and size, the part it fell out of
    sheets: list[list[Laid]] = []
    for number in orders[first]:
        along, over, edge, cutouts = parts[number]
        w, h = along + kerf, over + kerf
        ways = ((w, h), (h, w)) if stock.may_turn and w != h else ((w, h),)
        best, best_size, least = -1, (w, h), -1
        for at, (_, _, y, free_w, free_h, after) in enumerate(free):
            if number < after or (edge and y and y + free_h != width):
                continue
            for size in ways:
                spare_w, spare_h = free_w - size[0], free_h - size[1]
                if spare_w >= 0 and spare_h >= 0:
                    if fit == 1:
                        score = free_w * free_h
                    elif (spare_w < spare_h) == (fit == 0):
                        score = spare_w
                    else:
                        score = spare_h
                    if score < least or least < 0:
                        best, best_size, least = at, size, score
        if best < 0:
            if len(sheets) == most:
                return None
            free.append((len(sheets), 0, 0, length, width, -1))
            sheets.append([])
            best = len(free) - 1
            best_size = next((size for size in ways if size[0] <= length and size[1] <= width), (0, 0))
            if not best_size[0]:
                raise ValueError("A piece is larger than the sheet.")
        sheet, x, y, free_w, free_h, after = free.pop(best)
        pw, ph = best_size
        spare_w, spare_h = free_w - pw, free_h - ph
        lengthwise = _split(split, spare_w, spare_h, pw, ph)
        at_top = bool(edge and y)
        py = y + spare_h if at_top else y
        sheets[sheet].append(
            Laid(number, best_size != (w, h), x, py, pw, ph, x, y, free_w, free_h, lengthwise)
        )
        if spare_h > kerf:
            low = y if at_top else y + ph
            free.append((sheet, x, low, free_w if lengthwise else pw, spare_h, after))
        if spare_w > kerf:
            beside = py if lengthwise else y
            free.append((sheet, x + pw, beside, spare_w, ph if lengthwise else free_h, after))
        for box in cutouts:
            left, low, right, high = box if best_size == (w, h) else turned(box, over)
            free.append((sheet, x + left, py + low, right - left + kerf, high - low + kerf, number))
    return tuple(map(tuple, sheets))


def turned(box: Box, over: int) -> Box:
    """Return a box in a part `over` high, once that has made a quarter turn counterclockwise."""
    left, low, right, high = box
    return Box(over - high, left, over - low, right)
