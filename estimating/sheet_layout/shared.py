"""Cut pieces of many surfaces packed into the same sheets, so that what one leaves serves another.

Like `packing`, every plan is made of straight cuts from edge to edge. What it knows beside that: a piece
that meets its neighbor along a long edge with a taper has to keep such an edge of its sheet, so it is cut
from the side of a sheet and never from the middle. A piece may be turned by half a turn, which changes no
size here; none is ever turned over. Work is bounded by counts, never by the clock.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from estimating.sheet_layout.layout import Layout, Piece
from estimating.sheet_layout.packing import SheetCut, Stock, draws


class Part(NamedTuple):
    """A cut piece that waits for its sheet: its box along the course and across it.

    `edge`: one of its long sides meets a neighbor there, and has to be an edge of the sheet as made.
    """

    along: int
    over: int
    edge: bool


Pieces = tuple[Part | None, ...]


class Laid(NamedTuple):
    """A part in its sheet: where its box lies, and the free rectangle that it was cut from.

    Sizes are those taken from the sheet, the kerf included. `lengthwise` says that the first cut runs along
    the sheet's length.
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
    def of(cls, pieces: Pieces) -> "Choice":
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


def pieces_of(layout: Layout) -> Pieces:
    """Return the pieces of a layout in the order of laying: the part to be cut, or None for a whole sheet."""
    return tuple(None if piece.whole else _part(layout, piece) for piece in layout.pieces)


def _part(layout: Layout, piece: Piece) -> Part:
    swap = layout.given.courses_along == "y"
    along, over = piece.width_nm, piece.height_nm
    start, low = piece.x_nm, piece.y_nm
    if swap:
        along, over, start, low = over, along, low, start
    short = min(layout.sheet.length_nm, layout.sheet.width_nm)
    if not tapers(layout) or over >= short:
        return Part(along, over, False)
    for joint in layout.joints:
        if joint.across:
            continue
        box = (joint.x_nm, joint.y_nm, joint.width_nm, joint.height_nm)
        x, y, w, h = (box[1], box[0], box[3], box[2]) if swap else box
        meets = y + h == low or y == low + over
        if meets and x < start + along and start < x + w:
            return Part(along, over, True)
    return Part(along, over, False)


def tapers(layout: Layout) -> bool:
    """Whether the sheets' long edges are tapered for a joint: boards that are butted and never turned."""
    return not layout.rules.gap_nm and not layout.rules.may_turn


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
    made: list[SheetCut] = []
    for laid in sheet:
        low = laid.y == laid.free_y
        level = laid.y + laid.h - kerf if low else laid.y - kerf
        spare_w, spare_h = laid.free_w - laid.w, laid.free_h - laid.h
        along = SheetCut(
            laid.free_x, level, (laid.free_w if laid.lengthwise else laid.w) - kerf, True, spare_h
        )
        start = laid.y if laid.lengthwise else laid.free_y
        over = SheetCut(
            laid.x + laid.w - kerf,
            start,
            (laid.h if laid.lengthwise else laid.free_h) - kerf,
            False,
            spare_w,
        )
        made += (cut for cut in ((along, over) if laid.lengthwise else (over, along)) if cut.offcut)
    return tuple(made)


@dataclass
class _Search:
    """A plan of shared sheets that is made better step by step."""

    surfaces: tuple[tuple[Choice, ...], ...]
    stock: Stock
    chosen: list[int]
    bins: list[list[tuple[tuple[int, int], Laid]]]  # each part by its surface and its number there

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
            for sheet in _alone(choices[0].parts, self.stock):
                self.bins.append([((at, laid.part), laid) for laid in sheet])
        if len(self.surfaces) < 2:
            return
        passes = max(1, min(len(_WAYS), work.placings // max(1, len(parts))))
        for way in _WAYS[:passes]:
            found = _pass(parts, range(len(parts)), self.stock, way, len(self.bins))
            if found and len(found) < len(self.bins):
                self.bins = [[(names[laid.part], laid) for laid in sheet] for sheet in found]

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
        by_use = sorted(range(len(self.bins)), key=lambda at: self._used(at))
        first = by_use[next(draw) % min(3, len(by_use))]
        picked = {first}
        for _ in range(1 + next(draw) % 4):
            picked.add(next(draw) % len(self.bins))
        return sorted(picked)

    def _used(self, at: int) -> int:
        return sum(laid.w * laid.h for _, laid in self.bins[at])

    def _repack(self, picked: list[int], otherwise: tuple[int, int] | None = None) -> bool:
        """Pack these sheets anew, one surface laid otherwise where that is said; keep what isn't worse."""
        names = [name for at in picked for name, _ in self.bins[at]]
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
        chosen = list(self.chosen)
        if otherwise:
            chosen[otherwise[0]] = otherwise[1]
        parts = [self.surfaces[at][chosen[at]].parts[number] for at, number in names]
        if self.stock.room_for([(part.along, part.over) for part in parts]) > most:
            return False
        worth_before = sum(self._used(at) ** 2 for at in picked)
        best: Plan | None = None
        best_worth = 0
        for way in _WAYS[:_FEW]:
            found = _pass(parts, range(len(parts)), self.stock, way, most)
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
        self.bins = kept + [[(names[laid.part], laid) for laid in sheet] for sheet in best]
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
        picked = {at for at, sheet in enumerate(self.bins) if any(name[0] == surface for name, _ in sheet)}
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
            tuple(laid._replace(part=offsets[at] + number) for (at, number), laid in sheet)
            for sheet in self.bins
        ]
        sheets.sort(key=lambda sheet: min(laid.part for laid in sheet))
        return Shared(tuple(self.chosen), tuple(sheets))


# A way to pack: which part first, which place fits best, which cut comes first.
_FIRST: tuple[Callable[[Part], tuple[int, int]], ...] = (
    lambda part: (part.over, part.along),
    lambda part: (max(part.along, part.over), min(part.along, part.over)),
    lambda part: (part.along * part.over, part.along),
    lambda part: (part.along, part.over),
)
_WAYS = [(first, fit, split) for split in (2, 0, 1, 3) for fit in (0, 1, 2) for first in range(4)]
_FEW = 12


def _fit(rule: int, spare_w: int, spare_h: int, w: int, h: int) -> int:
    if rule == 0:
        return spare_w if spare_w < spare_h else spare_h
    if rule == 1:
        return (w + spare_w) * (h + spare_h)
    return spare_w if spare_w > spare_h else spare_h


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
    room = stock.room_for([(part.along, part.over) for part in parts])
    for way in _WAYS:
        found = _pass(parts, range(len(parts)), stock, way, len(parts))
        if found is not None and (best is None or len(found) < len(best)):
            best = found
        if best is not None and len(best) <= room:
            break
    return best or ()


def _pass(
    parts: Sequence[Part], which: Sequence[int], stock: Stock, way: tuple[int, int, int], most: int
) -> Plan | None:
    """Pack parts one by one where they fit best; None where they need more sheets than `most`."""
    first, fit, split = way
    key = _FIRST[first]
    kerf, length, width = stock.kerf, stock.length + stock.kerf, stock.width + stock.kerf
    free: list[tuple[int, int, int, int, int]] = []
    sheets: list[list[Laid]] = []
    for number in sorted(which, key=lambda at: key(parts[at]), reverse=True):
        part = parts[number]
        w, h = part.along + kerf, part.over + kerf
        ways = ((w, h), (h, w)) if stock.may_turn and w != h else ((w, h),)
        best, best_size, least = -1, (w, h), -1
        for at, (_, _, y, free_w, free_h) in enumerate(free):
            if part.edge and y and y + free_h != width:
                continue
            for size in ways:
                if size[0] <= free_w and size[1] <= free_h:
                    score = _fit(fit, free_w - size[0], free_h - size[1], *size)
                    if score < least or least < 0:
                        best, best_size, least = at, size, score
        if best < 0:
            if len(sheets) == most:
                return None
            free.append((len(sheets), 0, 0, length, width))
            sheets.append([])
            best = len(free) - 1
            best_size = next((size for size in ways if size[0] <= length and size[1] <= width), (0, 0))
            if not best_size[0]:
                raise ValueError("A piece is larger than the sheet.")
        sheet, x, y, free_w, free_h = free.pop(best)
        pw, ph = best_size
        spare_w, spare_h = free_w - pw, free_h - ph
        lengthwise = _split(split, spare_w, spare_h, pw, ph)
        at_top = bool(part.edge and y)
        py = y + spare_h if at_top else y
        sheets[sheet].append(
            Laid(number, best_size != (w, h), x, py, pw, ph, x, y, free_w, free_h, lengthwise)
        )
        if spare_h > kerf:
            low = y if at_top else y + ph
            free.append((sheet, x, low, free_w if lengthwise else pw, spare_h))
        if spare_w > kerf:
            free.append((sheet, x + pw, py if lengthwise else y, spare_w, ph if lengthwise else free_h))
    return tuple(map(tuple, sheets))
