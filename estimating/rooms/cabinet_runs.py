"""What follows from runs of cabinets: how many there are, fillers, lengths and areas, counters, appliances.

A counter is laid where the units of a base run carry one, over neighbors that touch as one stretch. The area
of all counters together counts every corner once; an edge or toe kick that another run hides isn't counted.
Exact: corners are whole nanometers, areas fractions.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import combinations, islice, pairwise

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, format_length, sqft_from_nm2
from estimating.cabinets.units import (
    LAYERS,
    MOST_FILLER_NM,
    PlacedUnit,
    Unit,
    pulls_of,
    set_in_run,
    unit_in_words,
    units_in_words,
    width_in_words,
)
from estimating.rooms.outline import Outline, wall_letter
from estimating.rooms.plan import (
    COUNTER_NM,
    OVERHANG_NM,
    Footprint,
    Opening,
    RoomPlan,
    room_outline,
)

XY = tuple[Fraction | int, Fraction | int]
Ring = tuple[XY, ...]
Span = tuple[int, int]
MOST_SAID = 5  # pairs of runs in one place
CORNER_NM = NM_PER_INCH  # an end as near as this to a corner runs into it


@dataclass(frozen=True)
class Run:
    """A run of cabinets in its place: from `begin_nm` to `end_nm` along a wall, `off_nm` away from it.

    `wall` is None for an island whose place isn't measured. `number` is its place among the footprints.
    """

    number: int
    item: Footprint
    wall: int | None
    begin_nm: int
    off_nm: int
    units: tuple[PlacedUnit, ...]

    @property
    def end_nm(self) -> int:
        return self.begin_nm + self.item.length_nm

    @property
    def stands_free(self) -> bool:
        return self.item.wall is None

    @property
    def layer(self) -> str:
        assert self.item.layer is not None
        return self.item.layer

    @property
    def counter_top_nm(self) -> int:
        return self.item.tall_nm + COUNTER_NM

    @property
    def finished(self) -> tuple[bool, bool]:
        """Whether its start and its end are finished."""
        ends = self.item.finished_ends
        return ends in ("start", "both"), ends in ("end", "both")

    @property
    def overhang_nm(self) -> int:
        return OVERHANG_NM if self.item.overhang_nm is None else self.item.overhang_nm

    @property
    def back_overhang_nm(self) -> int:
        seats = self.item.seat_overhang_nm
        return self.overhang_nm if seats is None else seats

    def stretches(self, *kinds: str) -> list[Span]:
        """Return the stretches along its wall of its units of these kinds, joined where they touch."""
        return self._joined(unit for unit in self.units if unit.unit.kind in kinds)

    @property
    def counters(self) -> list[Span]:
        """Return the stretches of counter, the overhang at free ends included."""
        if self.layer != "base":
            return []
        spans = self._joined(unit for number, unit in enumerate(self.units) if self._has_counter(number))
        reach = [self.stands_free or finished for finished in self.finished]
        return [
            (
                begin - self.overhang_nm * (reach[0] and begin == self.begin_nm),
                end + self.overhang_nm * (reach[1] and end == self.end_nm),
            )
            for begin, end in spans
        ]

    def _has_counter(self, number: int) -> bool:
        """Tell whether the counter runs over a unit: over a filler or panel where it does over a neighbor."""
        unit = self.units[number].unit
        if unit.kind not in ("filler", "panel"):
            return unit.traits.counter
        beside = (self.units[number + 1 :], self.units[:number][::-1])
        return any(
            next(
                (each.unit.traits.counter for each in side if each.unit.kind not in ("filler", "panel")),
                False,
            )
            for side in beside
        )

    @property
    def solid(self) -> list[Span]:
        """Return the stretches that aren't left to something else, such as the run across a corner."""
        return self._joined(unit for unit in self.units if unit.unit.kind != "space")

    @property
    def fronts(self) -> list[Span]:
        """Return the stretches of cabinets, fillers and panels: what has a toe kick, or a crown over it."""
        return self._joined(
            unit
            for unit in self.units
            if unit.unit.traits.cabinet or unit.unit.kind in ("filler", "panel", "microwave")
            if self.layer != "base" or unit.unit.kind != "microwave"
        )

    def _joined(self, units: Iterable[PlacedUnit]) -> list[Span]:
        spans: list[Span] = []
        for unit in units:
            begin, end = self.begin_nm + unit.begin_nm, self.begin_nm + unit.end_nm
            if spans and spans[-1][1] == begin:
                begin = spans.pop()[0]
            spans.append((begin, end))
        return spans


@dataclass(frozen=True)
class Appliance:
    """An appliance and the opening that it takes, with its run."""

    name: str
    width_nm: int
    run: Run


def runs_of(plan: RoomPlan) -> tuple[Run, ...]:
    """Return the runs whose cabinets are listed, in the order of the plan.

    Without a measured place, runs follow one another from the start of their wall, those on the wall apart
    from those on the floor; as they are drawn.
    """
    return tuple(_runs_of(plan))


def _runs_of(plan: RoomPlan) -> Iterator[Run]:
    for number, item, wall, begin, off in placed_along(plan):
        if item.is_run:
            yield run_of(number, item, wall, begin, off)


def placed_along(plan: RoomPlan) -> Iterator[tuple[int, Footprint, int | None, int, int]]:
    """Yield what is fixed in a room with its number, its wall, where it begins and how far off it stands."""
    reached: Counter[tuple[int, bool]] = Counter()
    for number, item in enumerate(plan.footprints):
        wall, begin, off = item.wall, item.offset_nm or 0, 0
        if item.spot is not None:
            wall, begin, off = item.spot.wall, item.spot.along_nm, item.spot.off_nm
        elif wall is not None:
            row = wall, item.layer == "hung"
            begin = reached[row] if item.offset_nm is None else item.offset_nm
            reached[row] = begin + item.length_nm
        yield number, item, wall, begin, off


def run_of(
    number: int,
    item: Footprint,
    wall: int | None,
    begin: int,
    off: int,
    units: tuple[Unit, ...] | None = None,
) -> Run:
    """Return a run in its place, of its own units or others."""
    return Run(number, item, wall, begin, off, set_in_run(units or item.units, item.length_nm))


def openings_on(plan: RoomPlan, wall: int) -> list[tuple[int, Opening, int]]:
    """Return the openings of a wall, each with its number and where it begins, spread if not measured."""
    here = [each for each in enumerate(plan.openings) if each[1].wall == wall]
    unplaced = [opening.width_nm for _, opening in here if opening.offset_nm is None]
    gap = (room_outline(plan).lengths_nm[wall] - sum(unplaced)) // (len(unplaced) + 1)
    reached, placed = 0, []
    for number, opening in here:
        begin = opening.offset_nm
        if begin is None:
            begin = reached + gap
            reached = begin + opening.width_nm
        placed.append((number, opening, begin))
    return sorted(placed, key=lambda each: each[2])


@dataclass(frozen=True)
class Cabinets:
    """The runs of a room, or those along some of its walls, and what follows from them together."""

    plan: RoomPlan
    runs: tuple[Run, ...]

    @cached_property
    def shape(self) -> Outline:
        return room_outline(self.plan)

    @property
    def appliances(self) -> tuple[Appliance, ...]:
        """The appliances, a cooktop or a wall oven in its cabinet too."""
        return tuple(
            Appliance(placed.unit.traits.words[0], placed.unit.width_nm, run)
            for run in self.runs
            for placed in run.units
            if placed.unit.traits.appliance
        )

    def amounts(self) -> dict[str, Fraction]:
        """Return every measure that the runs give, by its code; empty without runs."""
        if not self.runs:
            return {}
        return {
            **{code: Fraction(count) for code, count in self._counts().items()},
            **{code: feet_from_nm(length) for code, length in self._lengths_nm().items()},
            "counter": sqft_from_nm2(area_together(self._counter_rings())),
        }

    def _counts(self) -> dict[str, int]:
        placed = [(run, each.unit) for run in self.runs for each in run.units]
        of_layer = Counter(run.layer for run, unit in placed if unit.traits.cabinet)
        kinds = Counter(unit.kind for _, unit in placed)
        cut_outs = Counter(unit.traits.cut_out for _, unit in placed)
        return {
            "base_cabinets": of_layer["base"],
            "wall_cabinets": of_layer["hung"],
            "tall_cabinets": of_layer["tall"],
            "cabinet_fillers": kinds["filler"],
            "end_panels": kinds["panel"] + sum(sum(run.finished) for run in self.runs),
            "pulls": sum(pulls_of(unit, run.layer) for run, unit in placed),
            "sink_cutouts": cut_outs["sink"],
            "cooktop_cutouts": cut_outs["cooktop"],
            "appliances": len(self.appliances),
        }

    def _lengths_nm(self) -> dict[str, Fraction]:
        on_floor = [run for run in self.runs if run.layer != "hung"]
        high = [run for run in self.runs if run.layer != "base"]
        fillers = sum(
            run.item.tall_nm for run in self.runs for each in run.units if each.unit.kind == "filler"
        )
        returns = sum(sum(run.finished) * run.item.depth_nm for run in high)
        return {
            "filler_length": Fraction(fillers),
            "toe_kick": self._front_nm(on_floor),
            "cabinet_crown": self._front_nm(high) + returns,
            "counter_edge": self._edge_nm(),
            "backsplash_length": Fraction(sum(end - begin for _, begin, end in self.backsplash)),
        }

    def _front_nm(self, runs: Sequence[Run]) -> Fraction:
        """Return the length of the fronts of runs, less what is hidden behind another of them."""
        total = Fraction(0)
        for run in runs:
            others = [ring for other in runs if other is not run for ring in self._solid_rings(other)]
            depth = run.off_nm + run.item.depth_nm
            for begin, end in run.fronts:
                total += self._seen_nm(run, (begin, depth), (end, depth), others)
        return total

    def _edge_nm(self) -> Fraction:
        """Return the length of counter edge that is seen: fronts, finished ends, and all round an island."""
        total = Fraction(0)
        rings = {
            (run.number, span): self._counter_ring(run, span) for run in self.runs for span in run.counters
        }
        for run in self.runs:
            near, far = self._counter_depths(run)
            for span in run.counters:
                others = [ring for key, ring in rings.items() if key != (run.number, span)]
                begin, end = span
                sides = [((begin, far), (end, far))]
                if run.stands_free:
                    sides.append(((begin, near), (end, near)))
                if begin < run.begin_nm or (run.stands_free or run.finished[0]) and begin == run.begin_nm:
                    sides.append(((begin, near), (begin, far)))
                if end > run.end_nm or (run.stands_free or run.finished[1]) and end == run.end_nm:
                    sides.append(((end, near), (end, far)))
                total += sum(self._seen_nm(run, start, stop, others) for start, stop in sides)
        return total

    def _counter_depths(self, run: Run) -> Span:
        """Return how far from the wall the counter of a run begins and ends."""
        far = run.off_nm + run.item.depth_nm + run.overhang_nm
        return (run.off_nm - run.back_overhang_nm if run.stands_free else 0), far

    def _counter_rings(self) -> list[Ring]:
        return [self._counter_ring(run, span) for run in self.runs for span in run.counters]

    def _counter_ring(self, run: Run, span: Span) -> Ring:
        near, far = self._counter_depths(run)
        return self._box(run, *span, near, far)

    def _solid_rings(self, run: Run) -> list[Ring]:
        near, far = run.off_nm, run.off_nm + run.item.depth_nm
        return [self._box(run, *span, near, far) for span in run.solid]

    def _box(self, run: Run, begin: int, end: int, near: int, far: int) -> Ring:
        corners = ((begin, near), (end, near), (end, far), (begin, far))
        return tuple(self._at(run, corner) for corner in corners)

    def _at(self, run: Run, place: tuple[int, int]) -> XY:
        """Return a point of the plan; of what has no place, one far outside where nothing else is."""
        if run.wall is None:
            aside = 10**15 * (run.number + 1)
            return place[0] + aside, place[1] + aside
        return self.shape.beside(run.wall, *place)

    def _seen_nm(
        self, run: Run, start: tuple[int, int], stop: tuple[int, int], others: Sequence[Ring]
    ) -> Fraction:
        """Return the length of a line, given in its run's own directions, that lies in none of the others."""
        a, b = self._at(run, start), self._at(run, stop)
        hidden = sorted(share for ring in others if (share := share_inside(a, b, ring)))
        length = abs(stop[0] - start[0]) + abs(stop[1] - start[1])
        return length * (1 - _covered(hidden))

    def in_each_others_way(self) -> Iterator[tuple[Run, Run]]:
        """Yield the runs of one height that take up the same place, as two that both take a corner do."""
        for first, second in combinations(self.runs, 2):
            if (first.layer == "hung") == (second.layer == "hung"):
                rings = [(a, b) for a in self._solid_rings(first) for b in self._solid_rings(second)]
                if any(_area(shared) for a, b in rings if (shared := _shared(a, b))):
                    yield first, second

    @cached_property
    def backsplash(self) -> tuple[tuple[int, int, int], ...]:
        """The stretches of wall behind counters and ranges: the wall, from where to where.

        Doors and openings are left out, and windows that reach down to the counter.
        """
        found: list[tuple[int, int, int]] = []
        for wall, length in enumerate(self.shape.lengths_nm):
            spans, top = [], 0
            for run in self.runs:
                if run.layer != "base" or run.stands_free or run.wall is None:
                    continue
                if here := list(self.spans_at(run, wall)):
                    spans += here
                    top = max(top, run.counter_top_nm)
            taken = [
                (begin, begin + opening.width_nm)
                for _, opening, begin in openings_on(self.plan, wall)
                if not opening.is_niche and opening.sill_nm <= top
            ]
            found += [(wall, *span) for span in _without(_merged(spans, length), taken)]
        return tuple(found)

    def spans_at(self, run: Run, wall: int) -> Iterator[Span]:
        """Yield where along a wall the counter of a run, or a range in it, touches that wall."""
        ranges = run.stretches("range")
        if wall == run.wall:
            yield from (*run.counters, *ranges)
            return
        assert run.wall is not None
        count, own = len(self.shape.lengths_nm), self.shape.lengths_nm[run.wall]
        depth = run.item.depth_nm + run.overhang_nm
        spans = [*run.counters, *ranges]
        before, after = (run.wall - 1) % count, (run.wall + 1) % count
        if wall == before and self.shape.corner(before) > 0 and min(spans, default=(own,))[0] <= CORNER_NM:
            yield self.shape.lengths_nm[wall] - depth, self.shape.lengths_nm[wall]
        ends = max((end for _, end in spans), default=0)
        if wall == after and self.shape.corner(run.wall) > 0 and ends >= own - CORNER_NM:
            yield 0, depth


def cabinets_of(plan: RoomPlan, walls: frozenset[int] | None = None) -> Cabinets:
    """Return the runs of a plan whose walls are right: all, or those along the given walls."""
    runs = runs_of(plan)
    if walls is not None and not walls >= frozenset(range(len(plan.legs))):
        runs = tuple(run for run in runs if not run.stands_free and run.wall in walls)
    return Cabinets(plan, runs)


def run_place(run: Run) -> str:
    """Return where a run is and what it is, such as "wall A, base cabinets"."""
    if run.item.kind == "island":
        return "island"
    where = "standing free" if run.wall is None else f"wall {wall_letter(run.wall)}"
    return f"{where}, {LAYERS[run.layer]}"


def run_place_first(run: Run) -> str:
    """Return the same as it begins a sentence."""
    place = run_place(run)
    return f"{place[0].upper()}{place[1:]}"


def run_in_words(run: Run, metric: bool = False) -> str:
    """Return the cabinets of a run from its start, with the filler that is left and its finished ends.

    What it leaves to another run isn't said.
    """
    listed = [each.unit for each in run.units if not each.left and each.unit.kind != "space"]
    words = units_in_words(listed, metric)
    left = [each for each in run.units if each.left]
    rest = f", then {unit_in_words(left[0].unit, metric)}" if left else ""
    ends = {"start": "; start finished", "end": "; end finished", "both": "; both ends finished"}
    return f"{words}{rest}{ends.get(run.item.finished_ends, '')}"


def run_remarks(plan: RoomPlan, metric: bool = False) -> Iterator[str]:
    """Yield what is worth a look in the runs of a plan: a wide filler, cabinets before an opening."""
    cabinets = cabinets_of(plan)
    for first, second in islice(cabinets.in_each_others_way(), MOST_SAID):
        space = width_in_words(second.item.depth_nm, metric)
        yield (
            f"{first.item.name} and {second.item.name} take up the same place. In a corner, begin one list"
            f" with the space that the other takes, such as space {space}."
        )
    for run in cabinets.runs:
        name = f"{run.item.name} ({run_place(run)})"
        for each in run.units:
            if each.left and each.unit.width_nm > MOST_FILLER_NM:
                yield (
                    f"{name}: the cabinets leave {width_in_words(each.unit.width_nm, metric)} of"
                    f" {format_length(run.item.length_nm, metric)}. A filler is at most about"
                    f" {width_in_words(MOST_FILLER_NM, metric)}: does another cabinet fit?"
                )
        if run.wall is None or run.stands_free:
            continue
        for _, opening, begin in openings_on(plan, run.wall):
            beside = run.begin_nm < begin + opening.width_nm and begin < run.end_nm
            low, high = run.item.under_nm, run.item.under_nm + run.item.tall_nm
            above = opening.sill_nm < high and low < opening.sill_nm + opening.height_nm
            if opening.offset_nm is not None and beside and above and not opening.is_niche:
                yield f"{name} stands before {opening.name}: check where each begins on the wall."


def area_together(rings: Sequence[Ring]) -> Fraction:
    """Return the area of convex shapes together, what they share counted once.

    Between two neighbors of all the places where shapes begin, end, turn or cross, what they cover grows or
    shrinks evenly: its length halfway counts for the whole.
    """
    marks = sorted({x for ring in rings for x, _ in ring} | set(_crossings(rings)))
    total = Fraction(0)
    for left, right in pairwise(marks):
        middle = Fraction(left + right) / 2
        spans = sorted(span for ring in rings if (span := _cut_at(ring, middle)))
        total += (right - left) * _covered(spans)
    return total


def _crossings(rings: Sequence[Ring]) -> Iterator[Fraction]:
    """Yield where along x the sides of two shapes cross."""
    for one, other in combinations(rings, 2):
        if not _near(one, other):
            continue
        for a, b in pairwise((*one, one[0])):
            for c, d in pairwise((*other, other[0])):
                rx, ry, qx, qy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
                turned = rx * qy - ry * qx
                if turned:
                    share = Fraction((c[0] - a[0]) * qy - (c[1] - a[1]) * qx) / turned
                    if 0 < share < 1:
                        yield a[0] + rx * share


def _near(one: Ring, other: Ring) -> bool:
    """Tell whether the boxes round two shapes share more than an edge."""
    return all(
        max(min(point[axis] for point in ring) for ring in (one, other))
        < min(max(point[axis] for point in ring) for ring in (one, other))
        for axis in (0, 1)
    )


def _cut_at(ring: Ring, x: Fraction) -> tuple[Fraction, Fraction] | None:
    """Return from where to where along y a convex shape is cut at x; None where it isn't."""
    met = [
        ay + (by - ay) * (x - ax) / (bx - ax)
        for (ax, ay), (bx, by) in pairwise((*ring, ring[0]))
        if min(ax, bx) < x < max(ax, bx)
    ]
    return (min(met), max(met)) if len(met) > 1 else None


def share_inside(a: XY, b: XY, ring: Ring) -> tuple[Fraction, Fraction] | None:
    """Return the shares of a line between which it lies in or on a convex shape; None where it doesn't."""
    low, high = Fraction(0), Fraction(1)
    for off_a, off_b in _offs(ring, a, b):
        if off_a < 0 and off_b < 0:
            return None
        if off_a < 0 or off_b < 0:
            met = Fraction(off_a) / (off_a - off_b)
            low, high = (max(low, met), high) if off_a < 0 else (low, min(high, met))
    return (low, high) if low < high else None


def _offs(ring: Ring, *points: XY) -> Iterator[list[Fraction | int]]:
    """Yield for each side of a ring on which side of it points are, above zero inside."""
    sign = 1 if _signed(ring) > 0 else -1
    for (ax, ay), (bx, by) in pairwise((*ring, ring[0])):
        yield [sign * ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for x, y in points]


def _shared(ring: Ring, other: Ring) -> Ring:
    """Return what two convex shapes share; empty where that has no area."""
    found = ring
    sides = list(pairwise((*other, other[0])))
    sign = 1 if _signed(other) > 0 else -1
    for (ax, ay), (bx, by) in sides:
        kept: list[XY] = []
        offs = [sign * ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for x, y in found]
        for at, (x, y) in enumerate(found):
            before, off, off_before = found[at - 1], offs[at], offs[at - 1]
            if (off > 0 and off_before < 0) or (off < 0 and off_before > 0):
                share = Fraction(off_before) / (off_before - off)
                kept.append((before[0] + (x - before[0]) * share, before[1] + (y - before[1]) * share))
            if off >= 0:
                kept.append((x, y))
        found = tuple(kept)
        if len(found) < 3:
            return ()
    return found if _signed(found) else ()


def _signed(ring: Ring) -> Fraction:
    return sum(
        (Fraction(ax * by - bx * ay) for (ax, ay), (bx, by) in pairwise((*ring, ring[0]))), Fraction(0)
    )


def _area(ring: Ring) -> Fraction:
    return abs(_signed(ring)) / 2


def _covered(spans: Sequence[tuple[Fraction, Fraction]]) -> Fraction:
    """Return the length of spans together, given in the order of their beginnings."""
    total = Fraction(0)
    reached = spans[0][0] if spans else total
    for begin, end in spans:
        if end > reached:
            total += end - max(begin, reached)
            reached = end
    return total


def _merged(spans: Iterable[Span], most: int) -> list[Span]:
    """Return spans along a wall joined where they meet, none beyond the wall."""
    joined: list[Span] = []
    for begin, end in sorted((max(begin, 0), min(end, most)) for begin, end in spans):
        if joined and begin <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        elif begin < end:
            joined.append((begin, end))
    return joined


def _without(spans: Iterable[Span], taken: Sequence[Span]) -> Iterator[Span]:
    for begin, end in spans:
        reached = begin
        for low, high in sorted(taken):
            if low < end and high > reached:
                if low > reached:
                    yield reached, low
                reached = max(reached, high)
        if reached < end:
            yield reached, end
