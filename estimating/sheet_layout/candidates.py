"""A surface seen from one side: what plans come to there before their pieces are packed into sheets."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain
from typing import NamedTuple

from estimating.sheet_layout.courses import (
    Course,
    Cut,
    Ground,
    Seams,
    close_joints,
    courses,
    cut_course,
    strips,
)
from estimating.sheet_layout.packing import Size
from estimating.sheet_layout.regions import Point, Region
from estimating.sheet_layout.surface import View


class Rank(NamedTuple):
    """What layouts are compared by, in this order; less is better."""

    slivers: int
    poor_joints: int  # near corners that stand out, or between studs
    sheets: int
    thin_legs: int  # notched pieces with a leg that breaks
    pieces: int
    cuts: int
    joint_nm: int


class Trial(NamedTuple):
    """A plan with the least it could come to, before its pieces are packed."""

    least: Rank
    side: "Side"
    first_width: int
    firsts: tuple[int, ...]
    cuts: tuple[Cut, ...]

    @property
    def sizes(self) -> tuple[Size, ...]:
        """Boxes of the cut pieces in order of size, the longer side first where they may be turned."""
        sizes = chain.from_iterable(cut.sizes for cut in self.cuts)
        if self.side.ground.rules.may_turn:
            return tuple(sorted((w, h) if w > h else (h, w) for w, h in sizes))
        return tuple(sorted(sizes))

    def least_in(self, sheets: int) -> Rank:
        """Return the least rank that this trial can come to in so many sheets."""
        return self.least._replace(sheets=sheets, cuts=self.least.cuts + self.least.sheets - sheets)


Cost = Callable[[Cut], tuple[int, ...]]

# What a course may cost, slivers and joints near corners first.
COSTS: tuple[Cost, ...] = (
    lambda cut: (cut.slivers, cut.near_corners + cut.off_framing, cut.pieces, cut.needed, len(cut.notched)),
    lambda cut: (cut.slivers, cut.near_corners + cut.off_framing, cut.needed, cut.pieces, len(cut.notched)),
    lambda cut: (cut.slivers, cut.near_corners + cut.off_framing, len(cut.notched), cut.pieces, cut.needed),
)


@dataclass(eq=False)
class Side:
    """A ground seen from one side, and what is already known of its courses."""

    view: View
    ground: Ground
    first_width: int | None = None  # where it is wished for
    first_piece: int | None = None
    cells: int = 0  # stretches of sheet cut to the region so far
    summed: int = 0  # courses summed up so far
    _laid: dict[int, tuple[tuple[Course, ...], list[dict[int, Cut]], Seams]] = field(default_factory=dict)
    _known: dict[tuple[Region, int, tuple[Point, ...]], dict[int, Cut]] = field(default_factory=dict)

    def laid(self, first_width: int) -> tuple[tuple[Course, ...], list[dict[int, Cut]], Seams]:
        """Return the courses, what is known of each, and the joints between them."""
        if first_width not in self._laid:
            found = courses(self.ground, first_width)
            known = [self._known.setdefault((c.region, c.high - c.low, c.corners), {}) for c in found]
            self._laid[first_width] = found, known, strips(self.ground, found)
        return self._laid[first_width]

    def cut(self, course: Course, known: dict[int, Cut], first: int) -> Cut:
        if first not in known:
            known[first] = cut_course(self.ground, course, first)
            self.cells += (1 + len(course.region)) * (1 + known[first].pieces)
        return known[first]

    def meet(self, first: int, lower: Cut, after: int, upper: Cut) -> bool:
        """Tell whether joints of one course stand too near to those of the next."""
        least = self.ground.rules.min_offset_nm
        if least <= (after - first) % self.ground.period <= self.ground.period - least:
            return False
        return close_joints(self.ground, lower, upper) > 0

    def trial(self, first_width: int, firsts: tuple[int, ...]) -> Trial | None:
        """Return the plan with the least rank it can come to; None where joints come too near."""
        found, known, seams = self.laid(first_width)
        joint_nm, poor = seams.length_nm, seams.near_corners + seams.off_framing
        self.summed += len(found)
        cuts: list[Cut] = []
        slivers = needed = thin = pieces = notched = 0
        for course, row, first in zip(found, known, firsts, strict=True):
            cut = row.get(first) or self.cut(course, row, first)
            if cuts and self.meet(firsts[len(cuts) - 1], cuts[-1], first, cut):
                return None
            cuts.append(cut)
            pieces += cut.pieces
            slivers += cut.slivers
            needed += cut.needed
            poor += cut.near_corners + cut.off_framing
            joint_nm += cut.joint_nm
            thin += cut.thin_legs
            notched += len(cut.notched)
        sheets = -(-needed // self.ground.stock.capacity)
        least = Rank(slivers, poor, sheets, thin, pieces, pieces - sheets + notched, joint_nm)
        return Trial(least, self, first_width, firsts, tuple(cuts))

    def offcut_starts(self, firsts: Sequence[int], count: int) -> Iterator[tuple[int, ...]]:
        """Yield row-by-row starts: what is left of one course's last sheet starts the next course."""
        ground, rules = self.ground, self.ground.rules
        span, period = ground.box.right - ground.box.left, ground.period
        least = rules.min_offset_nm
        for start in firsts:
            row = [start]
            while len(row) < count:
                here = row[-1]
                offcut = ground.long - (span - here - rules.gap_nm) % period - rules.kerf_nm
                wanted = (
                    first
                    for first in (offcut, *firsts)
                    if max(1, rules.min_piece_nm) <= first <= ground.reach
                )
                fit = (first for first in wanted if least <= (first - here) % period <= period - least)
                row.append(next(fit, min((here + least) % period or period, ground.reach)))
            yield tuple(row)

    def calmest(self, first_width: int, firsts: Sequence[int], cost: Cost) -> tuple[int, ...] | None:
        """Return the least costly sequence that keeps the offset; every course is free to start anywhere."""
        found, known, _ = self.laid(first_width)
        ways: list[tuple[tuple[int, ...], tuple[int, ...], Cut]] = []
        for course, row in zip(found, known, strict=True):
            onward = []
            for first in firsts:
                cut = self.cut(course, row, first)
                spent = cost(cut)
                before = [way for way in ways if not self.meet(way[1][-1], way[2], first, cut)]
                if before:
                    least = min(before, key=lambda way: way[0])
                    total = tuple(map(sum, zip(least[0], spent, strict=True)))
                    onward.append((total, (*least[1], first), cut))
                elif not ways:
                    onward.append((spent, (first,), cut))
            ways = onward
            if not ways:
                return None
        return min(ways, key=lambda way: way[0])[1]
