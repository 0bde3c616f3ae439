"""Courses of sheets across a region, and what one course comes to for a given first piece.

Everything is seen from a view in which courses run along x and the first starts at the lower left.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.packing import Size, Stock
from estimating.sheet_layout.regions import (
    Band,
    Box,
    Point,
    Region,
    across,
    area,
    between,
    bounds,
    covers,
    has_thin_leg,
    length,
    outlines,
    parts,
    stack,
    standing_corners,
)
from estimating.sheet_layout.rules import SheetRules

BEARING_NM = 3 * NM_PER_INCH // 8  # a joint at most so far from the middle of a stud is on it: see `Framing`


class Framing(NamedTuple):
    """Studs or joists as they are seen: across the courses, or along them.

    A stud is 1-1/2 in wide, and fasteners keep 3/8 in from the edge of a board: both boards that meet on a
    stud can be fastened to it where their joint is at most 3/8 in from its middle. Ends on framing: GA-216
    and ASTM C840, from memory.
    """

    at: int
    spacing: int
    across: bool

    def misses(self, start: int, end: int) -> bool:
        """Tell whether a joint between these places is on no stud."""
        off = (start + end - 2 * self.at) % (2 * self.spacing)
        return min(off, 2 * self.spacing - off) > 2 * BEARING_NM

    def between(self, start: int, end: int) -> range:
        """Return the middles of the studs from one place to another, both included."""
        return range(start + (self.at - start) % self.spacing, end + 1, self.spacing)


class Cut(NamedTuple):
    """One course cut into pieces: the sums that a search compares, and the pieces that need cutting."""

    pieces: int
    slivers: int  # pieces with a side below the least
    full: int  # pieces that take a whole sheet
    sizes: tuple[Size, ...]  # boxes of the other pieces, along and across the course
    needed: int  # area of all boxes, each with its kerf
    joint_nm: int  # joints across the course
    low_joints: tuple[int, ...]  # x of the joints that reach the lower edge
    high_joints: tuple[int, ...]  # and the upper edge
    notched: tuple[Region, ...]  # pieces that aren't their whole box
    near_corners: int  # joints too near to a corner that stands out
    off_framing: int  # joints that fall between studs
    thin_legs: int  # notched pieces with a leg that breaks


class Course(NamedTuple):
    """A course between two levels: its part of the region, moved so that the course starts at level 0."""

    low: int
    high: int
    region: Region
    corners: tuple[Point, ...]  # corners that stand out, at level 0 to high - low, a gap included


@dataclass(frozen=True)
class Ground:
    """A region to lay, seen from one side, with the sheet and the rules.

    `oblique` says that the region stands for a surface with slanting edges. `vertices` are then the corners
    of the surface itself, where they are known: the steps that stand for its slants are none. `trimmed` says
    that sheets are cut shorter along a course, so that all its joints fall on studs alike.
    """

    region: Region
    sheet: Sheet
    rules: SheetRules
    oblique: bool = False
    vertices: tuple[Point, ...] = ()
    framing: Framing | None = None
    trimmed: bool = False
    clear_of: Framing | None = None

    @cached_property
    def standing(self) -> tuple[Point, ...]:
        """The corners that stand out into the region, as far as joints are to keep clear of them."""
        if not self.rules.corner_clear_nm:
            return ()
        corners, near = standing_corners(self.region), self.rules.perimeter_gap_nm + 1
        if not self.vertices:
            return corners
        return tuple(
            (x, y)
            for x, y in corners
            if any(abs(x - a) <= near and abs(y - b) <= near for a, b in self.vertices)
        )

    @cached_property
    def long(self) -> int:
        return max(self.sheet.length_nm, self.sheet.width_nm)

    @cached_property
    def short(self) -> int:
        return min(self.sheet.length_nm, self.sheet.width_nm)

    @cached_property
    def reach(self) -> int:
        """How long a piece along a course is at most: a sheet, or what goes from stud to stud."""
        if not self.framing or not self.trimmed:
            return self.long
        return (
            self.long + self.rules.gap_nm
        ) // self.framing.spacing * self.framing.spacing - self.rules.gap_nm

    @cached_property
    def period(self) -> int:
        """From one joint across a course to the next."""
        return self.reach + self.rules.gap_nm

    @cached_property
    def box(self) -> Box:
        return bounds(self.region)

    @cached_property
    def stock(self) -> Stock:
        return Stock(self.long, self.short, self.rules.kerf_nm, self.rules.may_turn)

    def cells(self, first: int, left: int, right: int) -> range:
        """Return the left ends of a course's sheets; the first shows `first` at the region's left."""
        start = self.box.left + first - self.reach
        skipped = (left - start) // self.period
        return range(start + skipped * self.period, right, self.period)


def courses(ground: Ground, first_width: int) -> tuple[Course, ...]:
    """Return the courses upward from the region's foot, the first `first_width` wide."""
    foot, head = ground.box.low, ground.box.high
    gap, corners = ground.rules.gap_nm, ground.standing
    found = []
    for top in range(foot + first_width, head + ground.short, ground.short + gap):
        low, high = max(foot, top - ground.short), min(head, top)
        near = tuple((x, y - low) for x, y in corners if low - gap <= y <= high + gap)
        moved = (Band(a - low, b - low, runs) for a, b, runs in between(ground.region, low, high))
        if low < high:
            found.append(Course(low, high, stack(moved), near))
    return tuple(found)


class Seams(NamedTuple):
    """The joints between courses: their length, and how many run near a corner or between studs."""

    length_nm: int
    near_corners: int
    off_framing: int


def strips(ground: Ground, laid: tuple[Course, ...]) -> Seams:
    """Return what the joints between courses come to."""
    total, near, off, clear = 0, 0, 0, ground.rules.corner_clear_nm
    corners, framing = ground.standing, ground.framing
    for lower, upper in pairwise(laid):
        runs = across(ground.region, lower.high, upper.low)
        total += length(runs)
        if runs and framing and not framing.across:
            off += framing.misses(lower.high, upper.low)
        middle = lower.high + upper.low  # twice
        near += sum(
            abs(2 * y - middle) < 2 * clear and any(a < x + clear and x - clear < b for a, b in runs)
            for x, y in corners
        )
    return Seams(total, near, off)


def cut_course(ground: Ground, course: Course, first: int) -> Cut:
    """Return what a course comes to when its first sheet shows `first` at the region's left."""
    rules, region = ground.rules, course.region
    tall = course.high - course.low
    pieces = slivers = full = needed = joint_nm = 0
    sizes: list[Size] = []
    low_joints: list[int] = []
    high_joints: list[int] = []
    notched: list[Region] = []
    near = off = 0
    framing = ground.framing if ground.framing and ground.framing.across else None
    if not region:
        return Cut(0, 0, 0, (), 0, 0, (), (), (), 0, 0, 0)
    left, right = bounds(region)[::2]
    plain = len(region) == 1
    for start in ground.cells(first, left, right):
        end = start + ground.reach
        if plain:
            shapes = [(max(a, start), min(b, end)) for a, b in region[0].runs if a < end and start < b]
            boxes: list[tuple[int, int, Region | None]] = [
                (b - a, region[0].high - region[0].low, None) for a, b in shapes
            ]
        else:
            boxes = [_box(part) for part in parts(region, start, end)]
        for w, h, shape in boxes:
            pieces += 1
            slivers += min(w, h) < rules.min_piece_nm
            needed += (w + rules.kerf_nm) * (h + rules.kerf_nm)
            if shape:
                notched.append(shape)
            if w == ground.long and h == ground.short:
                full += 1
            else:
                sizes.append((w, h))
        reach = [(band.low, band.high) for band in region if covers(band.runs, end, end + rules.gap_nm)]
        if reach:
            joint_nm += sum(high - low for low, high in reach)
            near += any(abs(2 * (x - end) - rules.gap_nm) < 2 * rules.corner_clear_nm
                        for x, _ in course.corners)  # fmt: skip
            off += bool(framing and framing.misses(end, end + rules.gap_nm))
            if reach[0][0] == 0:
                low_joints.append(end)
            if reach[-1][1] == tall:
                high_joints.append(end)
    return Cut(pieces, slivers, full, tuple(sizes), needed, joint_nm,
               tuple(low_joints), tuple(high_joints), tuple(notched), near, off,
               sum(thin_leg(ground, shape) for shape in notched))  # fmt: skip


def close_joints(ground: Ground, lower: Cut, upper: Cut) -> int:
    """Count the joints of two neighboring courses that come nearer to each other than the offset."""
    least = ground.rules.min_offset_nm
    return sum(abs(a - b) < least for a in lower.high_joints for b in upper.low_joints)


def notch_count(ground: Ground, shape: Region) -> int:
    """Return how many cuts a notch takes; one where steps stand for a slanting edge."""
    return 1 if ground.oblique else len(notch_lengths(shape))


def thin_leg(ground: Ground, shape: Region) -> bool:
    """Tell whether a notched piece has a leg that breaks; steps that stand for a slanting edge have none."""
    return not ground.oblique and _thin_leg(shape, ground.rules.min_piece_nm)


@lru_cache(maxsize=1024)
def _thin_leg(shape: Region, least: int) -> bool:
    return has_thin_leg(outlines(shape), least)


@lru_cache(maxsize=1024)
def notch_lengths(shape: Region) -> tuple[int, ...]:
    """Return the lengths of a piece's edges inside its box: a corner has two, a side three, a hole four."""
    left, low, right, high = bounds(shape)
    sides = (edge for ring in outlines(shape) for edge in pairwise((*ring, ring[0])))
    return tuple(
        abs(bx - ax) + abs(by - ay)
        for (ax, ay), (bx, by) in sides
        if not (ax == bx and ax in (left, right)) and not (ay == by and ay in (low, high))
    )


def _box(part: Region) -> tuple[int, int, Region | None]:
    left, low, right, high = bounds(part)
    w, h = right - left, high - low
    return w, h, None if area(part) == w * h else part
