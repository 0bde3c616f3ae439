"""Rectilinear regions as bands: exact areas, edges, parts and rings on integers.

A region is cut along every level at which its outline turns; each band between two levels has runs,
which are the stretches of x inside it. Bands lie one above another, and neighboring bands with the same
runs are one. All numbers are whole nanometers.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from operator import attrgetter
from typing import NamedTuple

Point = tuple[int, int]
Run = tuple[int, int]
Runs = tuple[Run, ...]
Ring = tuple[Point, ...]


class Band(NamedTuple):
    """The part of a region between two levels: `runs` are sorted, disjoint, never touching."""

    low: int
    high: int
    runs: Runs


Region = tuple[Band, ...]


class Box(NamedTuple):
    """The least rectangle round a region."""

    left: int
    low: int
    right: int
    high: int


def unite(runs: Iterable[Run]) -> Runs:
    """Return the runs that cover all that any of these covers."""
    merged: list[Run] = []
    for left, right in sorted(runs):
        if merged and left <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(right, merged[-1][1]))
        elif left < right:
            merged.append((left, right))
    return tuple(merged)


def overlap(runs: Runs, other: Runs) -> Runs:
    """Return the runs that both cover."""
    both = ((max(a, c), min(b, d)) for a, b in runs for c, d in other if a < d and c < b)
    return tuple(sorted(both))


def without(runs: Runs, taken: Runs) -> Runs:
    """Return what is left of `runs` where `taken` is taken away."""
    for a, b in taken:
        pieces = ((c, d) for left, right in runs for c, d in ((left, min(right, a)), (max(left, b), right)))
        runs = tuple((c, d) for c, d in pieces if c < d)
    return runs


def length(runs: Runs) -> int:
    return sum(right - left for left, right in runs)


def covers(runs: Runs, left: int, right: int) -> bool:
    """Tell whether one run holds the whole of left..right; a single point must lie inside, not on an end."""
    if left == right:
        return any(a < left < b for a, b in runs)
    return any(a <= left and right <= b for a, b in runs)


def stack(bands: Iterable[Band]) -> Region:
    """Return a region of bands in rising order: empty ones left out, equal neighbors joined."""
    joined: list[Band] = []
    for band in bands:
        if not band.runs or band.low >= band.high:
            continue
        if joined and joined[-1].high == band.low and joined[-1].runs == band.runs:
            joined[-1] = Band(joined[-1].low, band.high, band.runs)
        else:
            joined.append(band)
    return tuple(joined)


def area(region: Region) -> int:
    return sum((band.high - band.low) * length(band.runs) for band in region)


def bounds(region: Region) -> Box:
    """Return the box round a region that isn't empty."""
    left = min(band.runs[0][0] for band in region)
    right = max(band.runs[-1][1] for band in region)
    return Box(left, region[0].low, right, region[-1].high)


def levels(region: Region) -> Iterator[tuple[int, Runs, Runs]]:
    """Yield each level where the runs change, with the runs just below and just above it."""
    below: Runs = ()
    at: int | None = None
    for band in region:
        if at is not None and at != band.low:
            yield at, below, ()
            below = ()
        yield band.low, below, band.runs
        at, below = band.high, band.runs
    if at is not None:
        yield at, below, ()


def perimeter(region: Region) -> int:
    """Return the length of all edges, those of holes included."""
    sides = sum(2 * len(band.runs) * (band.high - band.low) for band in region)
    return sides + sum(
        length(without(below, above)) + length(without(above, below)) for _, below, above in levels(region)
    )


def between(region: Region, low: int, high: int) -> Region:
    """Return the part of a region between two levels."""
    first = bisect_right(region, low, key=attrgetter("high"))
    last = bisect_left(region, high, lo=first, key=attrgetter("low"))
    return tuple(Band(max(a, low), min(b, high), runs) for a, b, runs in region[first:last])


def across(region: Region, low: int, high: int) -> Runs:
    """Return the stretches of x that lie in the region all the way from low to high.

    Where low and high are one level, those with the region on both sides of it.
    """
    if low == high:
        low, high = low - 1, high + 1
    parts = between(region, low, high)
    if not parts or parts[0].low > low or parts[-1].high < high:
        return ()
    if any(below.high != above.low for below, above in pairwise(parts)):
        return ()
    runs = parts[0].runs
    for band in parts[1:]:
        runs = overlap(runs, band.runs)
    return runs


def shrink(region: Region, by: int) -> Region:
    """Return the region less a margin along all its edges, corners mitered (holes grow)."""
    if not by:
        return region
    steps = sorted({level + side for band in region for level in (band.low, band.high) for side in (-by, by)})
    bands = []
    for low, high in pairwise(steps):
        runs = across(region, low - by, high + by)
        narrowed = tuple((left + by, right - by) for left, right in runs if right - left > 2 * by)
        bands.append(Band(low, high, narrowed))
    return stack(bands)


def parts(region: Region, left: int, right: int) -> list[Region]:
    """Return the connected parts of a region between two x, those that touch at a corner alone apart."""
    rows = [
        Band(band.low, band.high, ((max(a, left), min(b, right)),))
        for band in region
        for a, b in band.runs
        if a < right and left < b
    ]
    if all(_meet(below, above) for below, above in pairwise(rows)):
        return [stack(rows)] if rows else []
    group = list(range(len(rows)))
    for i, above in enumerate(rows):
        for j, below in enumerate(rows[:i]):
            if group[i] != group[j] and _meet(below, above):
                old, new = group[i], group[j]
                group = [new if label == old else label for label in group]
    found: dict[int, list[Band]] = defaultdict(list)
    for row, key in zip(rows, group, strict=True):
        shape = found[key]
        if shape and shape[-1].low == row.low:
            shape[-1] = Band(row.low, row.high, shape[-1].runs + row.runs)
        else:
            shape.append(row)
    return [stack(shape) for shape in found.values()]


def _meet(below: Band, above: Band) -> bool:
    """Tell whether two bands of one run each meet along a level."""
    (a, b), (c, d) = below.runs[0], above.runs[0]
    return below.high == above.low and a < d and c < b


def outlines(region: Region) -> tuple[Ring, ...]:
    """Return the rings round a region, counterclockwise, and clockwise round its holes; the longest first."""
    onward: dict[Point, list[Point]] = defaultdict(list)
    for band in region:
        for left, right in band.runs:
            onward[left, band.high].append((left, band.low))
            onward[right, band.low].append((right, band.high))
    for level, below, above in levels(region):
        for left, right in without(above, below):
            onward[left, level].append((right, level))
        for left, right in without(below, above):
            onward[right, level].append((left, level))
    rings = []
    while onward:
        start = min(onward)
        ring, here = [start], _leave(onward, None, start)
        while here != start:
            ring.append(here)
            here = _leave(onward, ring[-2], here)
        rings.append(straightened(ring))
    return tuple(sorted(rings, key=_around, reverse=True))


def straightened(ring: Sequence[Point]) -> Ring:
    """Return the ring without points that repeat or at which it runs straight on."""
    distinct = [point for point, after in pairwise((*ring, ring[0])) if point != after]
    ahead = (*distinct[1:], *distinct[:1])
    behind = (*distinct[-1:], *distinct[:-1])
    return tuple(point for before, point, after in zip(behind, distinct, ahead, strict=True)
                 if turn(before, point, after))  # fmt: skip


def turn(a: Point, b: Point, c: Point) -> int:
    """Return a number above zero where the way a, b, c turns left, below where it turns right, else zero."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def has_thin_leg(rings: Sequence[Ring], least: int) -> bool:
    """Tell whether a notched piece has a leg narrower than the least, where its box has no side so short."""
    outer = rings[0]
    xs, ys = zip(*outer, strict=True)
    notched = len(rings) > 1 or len(outer) > 4
    if not notched or min(max(xs) - min(xs), max(ys) - min(ys)) < least:
        return False
    return any(abs(bx - ax) + abs(by - ay) < least for (ax, ay), (bx, by) in tips(outer))


def tips(ring: Ring) -> Iterator[tuple[Point, Point]]:
    """Yield the edges that end what they bound: at both their ends the outline turns round the piece."""
    points = (ring[-1], *ring, ring[0], ring[1])
    turns = [turn(*three) for three in zip(points, points[1:], points[2:], strict=False)]
    round_left = sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise((*ring, ring[0]))) > 0
    for edge, (at, after) in zip(pairwise(points[1:-1]), pairwise(turns), strict=True):
        if (at > 0) == (after > 0) == round_left:
            yield edge


def standing_corners(region: Region) -> tuple[Point, ...]:
    """Return the corners that stand out into the region: three of the four quarters round them lie in it."""
    found = []
    for level, below, above in levels(region):
        for x in sorted({end for run in below + above for end in run}):
            quarters = [any(a < x <= b for a, b in runs) + any(a <= x < b for a, b in runs)
                        for runs in (below, above)]  # fmt: skip
            if sum(quarters) == 3:
                found.append((x, level))
    return tuple(found)


def _leave(onward: dict[Point, list[Point]], before: Point | None, here: Point) -> Point:
    """Take the edge away that leads on from here; where two do, the one that turns left."""
    ways = onward[here]
    best = max(ways, key=lambda way: turn(before, here, way)) if before and len(ways) > 1 else ways[0]
    ways.remove(best)
    if not ways:
        del onward[here]
    return best


def _around(ring: Ring) -> int:
    return sum(abs(b[0] - a[0]) + abs(b[1] - a[1]) for a, b in pairwise((*ring, ring[0])))
