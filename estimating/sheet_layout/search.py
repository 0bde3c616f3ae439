"""The search for a layout: which way courses run, how wide the first is, where each starts.

The aim is lexicographic: fewest slivers, fewest joints near corners, fewest sheets, fewest thin legs, fewest
pieces, fewest cuts, shortest joints. A thin leg may break as its piece is carried, which may cost a sheet: so
it weighs less than a sheet that is surely bought, and more than a cut. Work is bounded by counts, never by
the clock, so that an answer is always the same.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice, zip_longest
from typing import NamedTuple

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.candidates import COSTS, Rank, Side, Trial
from estimating.sheet_layout.courses import Ground, notch_count
from estimating.sheet_layout.packing import PLAIN, THOROUGH, Packing, Size, draws, pack
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.start_positions import alternating, starts, steady


class Bound(NamedTuple):
    """What no layout can do without: so many sheets, in so many pieces."""

    sheets: int
    pieces: int


class Effort(NamedTuple):
    """How much work a search may do, in counts."""

    step_nm: int  # between the starts tried
    edges: int  # edges of the surface that joints are brought to, each way
    cells: int  # stretches of sheet cut to the surface, over all plans
    compared: int  # of what plans are ranked by, from the first
    costs: int  # ways to weigh a course, by which the calmest plans are found
    patience: int  # plans in a row that are no better, from each side, before the best is good enough
    placings: int  # pieces put in place by way of trial where none went in quickly
    changes: int  # changes tried to the best plan, where it may not be the best there is

    def idle(self, rank: Rank, bound: Bound) -> int:
        """Return after how many plans in a row that are no better the best one is good enough."""
        if rank[:2] > (0, 0):
            return 5 * self.patience
        if rank.sheets > bound.sheets or rank.thin_legs:
            return self.patience
        return self.patience // (4 if rank.pieces > bound.pieces else 16)


FIRST = Effort(
    12 * NM_PER_INCH, edges=2, cells=3_000, compared=5, costs=1, patience=120, placings=0, changes=0
)
BEST = Effort(
    6 * NM_PER_INCH, edges=8, cells=40_000, compared=7, costs=3, patience=1_200, placings=3_000, changes=400
)
QUICK = 2  # ways of packing that nearly always do


class SearchResult(NamedTuple):
    """A trial with its pieces packed: `packing` is that of `trial.sizes`."""

    rank: Rank
    trial: Trial
    packing: Packing


@dataclass(eq=False)
class Packer:
    """Packs trials, each set of sizes once; it counts the pieces that it puts in place."""

    placings: int = 0
    _known: dict[tuple[tuple[Size, ...], int, int], Packing | None] = field(default_factory=dict)

    def fit(self, trial: Trial, sheets: int, ways: int = PLAIN) -> SearchResult | None:
        """Return the trial cut from so many sheets at most; None where no way of packing does that."""
        sizes = trial.sizes
        full = trial.least.pieces - len(sizes)
        key = sizes, sheets - full, ways
        if key not in self._known:
            self.placings += ways * len(sizes)
            self._known[key] = pack(sizes, trial.side.ground.stock, sheets - full, ways)
        packing = self._known[key]
        if packing is None:
            return None
        bins, straight = packing.rank
        notches = sum(notch_count(trial.side.ground, shape) for cut in trial.cuts for shape in cut.notched)
        rank = trial.least._replace(sheets=full + bins, cuts=straight + notches)
        return SearchResult(rank, trial, packing)


def search(
    sides: Sequence[Side], effort: Effort, bound: Bound, known: SearchResult | None = None
) -> SearchResult:
    """Return the best plan found within the effort, and no worse than one that is known.

    Plans are packed as they come, each only where it could be better than the best so far. The nearer that
    comes to the bound, the fewer more are looked at.
    """
    packer, best, idle = Packer(), known, 0
    close: list[Trial] = []  # those that a better packing might cut from fewer sheets
    for trial in _trials(sides, effort):
        idle += 1
        if best is None or trial.least[: effort.compared] < best.rank[: effort.compared]:
            found = packer.fit(trial, _most(trial, best), QUICK if best else PLAIN)
            if found is None and best and trial.least[:3] < best.rank[:3]:
                close.append(trial)
            if found and (best is None or found.rank < best.rank):
                idle = idle if best and found.rank[:5] == best.rank[:5] else 0
                best = found
        if best and idle >= effort.idle(best.rank, bound) * len(sides):
            break
    if best is None:
        raise CannotLay("No layout keeps joints far enough apart from course to course: ask for less.")
    if best.rank[:4] <= (0, 0, bound.sheets, 0):
        return best
    return _improved(packer, _settle(packer, close, best, effort.placings), effort.changes)


def _most(trial: Trial, best: SearchResult | None) -> int:
    """Return how many sheets a plan may take to be better than the best so far."""
    if best is None or trial.least[:2] < best.rank[:2]:
        return trial.least.pieces
    sheets = best.rank.sheets
    return sheets if trial.least_in(sheets) < best.rank else sheets - 1


def unlike(sides: Sequence[Side], effort: Effort, most: int) -> list[Trial]:
    """Return the trials of fewest faults and pieces, at most one more than the fewest, all cut unlike."""
    trials = list(islice(_trials(sides, effort), effort.patience))
    if not trials:
        return []
    faults = min(trial.least[:2] for trial in trials)
    alike = [trial for trial in trials if trial.least[:2] == faults]
    pieces = min(trial.least.pieces for trial in alike)
    found: dict[tuple[Size, ...], Trial] = {}
    for trial in sorted(alike, key=lambda trial: trial.least):
        if trial.least.pieces <= pieces + 1 and len(found) < most:
            found.setdefault(trial.sizes, trial)
    return list(found.values())


def _settle(packer: Packer, close: Sequence[Trial], best: SearchResult, placings: int) -> SearchResult:
    """Return the best of plans that went in nearly, packed in every way and then thoroughly."""
    for ways in (PLAIN, THOROUGH):
        enough = packer.placings + placings
        for trial in sorted(close, key=lambda trial: trial.least):
            if packer.placings >= enough:
                break
            if trial.least < best.rank:
                found = packer.fit(trial, _most(trial, best), ways)
                best = found if found and found.rank < best.rank else best
    return best


def _trials(sides: Sequence[Side], effort: Effort) -> Iterator[Trial]:
    """Yield trials of many plans, natural ones first, until the effort is spent; one at least."""
    found = 0
    for side, width in _widths(sides, effort):
        for firsts in _sequences(side, width, effort):
            if side.first_piece and firsts[0] != side.first_piece:
                continue
            trial = side.trial(width, firsts)
            if trial:
                found += 1
                yield trial
            if found and sum(side.cells for side in sides) > effort.cells:
                return


def _widths(sides: Sequence[Side], effort: Effort) -> Iterator[tuple[Side, int]]:
    """Yield every side with every width of first course, the sides taking turns."""
    columns = [[(side, width) for width in _first_widths(side, effort)] for side in sides]
    for row in zip_longest(*columns):
        yield from filter(None, row)


def _first_widths(side: Side, effort: Effort) -> tuple[int, ...]:
    ground = side.ground
    if side.first_width:
        return (side.first_width,)
    levels = sorted({level - ground.box.low for band in ground.region for level in band[:2]})
    span = ground.box.high - ground.box.low
    return (
        *_on_studs(ground, ground.box.low, ground.short, span, across=False),
        *starts(span, ground.short, ground.rules, levels[1:-1][: effort.edges], effort.step_nm),
    )


def _first_pieces(side: Side, effort: Effort) -> tuple[int, ...]:
    """Return the first pieces to try: one that is wished for, those that end on a stud, the natural ones."""
    ground = side.ground
    wished = (side.first_piece,) if side.first_piece else ()
    ends = sorted({end - ground.box.left for band in ground.region for run in band.runs for end in run})
    span = ground.box.right - ground.box.left
    on_studs = _on_studs(ground, ground.box.left, ground.reach, span, across=True)
    return (
        *wished,
        *on_studs,
        *starts(span, ground.reach, ground.rules, ends[1:-1][: effort.edges], effort.step_nm),
    )


def _on_studs(ground: Ground, start: int, size: int, span: int, *, across: bool) -> tuple[int, ...]:
    """Return the lengths that a first sheet may show for its joint to fall on a stud, the longest first."""
    framing, gap = ground.framing, ground.rules.gap_nm
    if not framing or framing.across != across:
        return ()
    ends = (at - gap // 2 - start for at in reversed(framing.between(start, start + size + gap // 2)))
    least = max(1, ground.rules.min_piece_nm)
    return tuple(first for first in ends if least <= first <= size and first < span)


def _sequences(side: Side, width: int, effort: Effort) -> Iterator[tuple[int, ...]]:
    """Yield sequences of first pieces for the courses that a first course of this width gives."""
    ground = side.ground
    count = len(side.laid(width)[0])
    firsts = _first_pieces(side, effort)
    if count == 1:
        yield from ((first,) for first in firsts)
        return
    for cost in COSTS[: effort.costs]:
        calmest = side.calmest(width, firsts[:12], cost)
        if calmest:
            yield calmest
    yield from side.offcut_starts(firsts, count)
    yield from alternating(firsts, count)
    offsets = range(ground.rules.min_offset_nm or effort.step_nm, ground.period, effort.step_nm)
    yield from steady(firsts, offsets, count, ground.reach, ground.rules.gap_nm)


def _improved(packer: Packer, best: SearchResult, changes: int) -> SearchResult:
    """Change one course of the plan again and again, and keep what isn't worse.

    The emptiest sheet is made emptier meanwhile, until it can be done without.
    """
    here, fails, draw = best, 0, draws()
    for _ in range(changes):
        trial = _changed(here.trial, draw)
        if trial is None or trial.least[:2] > here.rank[:2]:
            continue
        found = packer.fit(trial, here.rank.sheets, QUICK)
        fails += 1
        if found and _worth(found) <= _worth(here):
            here, fails = found, 0
            best = min(best, here, key=lambda result: result.rank)
        elif fails > 60:
            here, fails = best, 0
    return best


def _worth(found: SearchResult) -> tuple[int, ...]:
    sizes = found.trial.sizes
    used = (sum(sizes[cut.piece][0] * sizes[cut.piece][1] for cut in sheet) for sheet in found.packing.sheets)
    return (*found.rank[:4], min(used, default=0))


def _changed(trial: Trial, draw: Iterator[int]) -> Trial | None:
    """Return the plan with a course started at another inch, or with the offcut beside some piece."""
    side, ground = trial.side, trial.side.ground
    row, way = next(draw) % len(trial.firsts), next(draw) % 3
    if side.first_piece and row == 0:
        return None
    if way == 0 and trial.sizes:
        piece = trial.sizes[next(draw) % len(trial.sizes)]
        first = ground.long - piece[next(draw) % 2] - ground.rules.kerf_nm
    else:
        first = NM_PER_INCH * (1 + next(draw) % max(1, ground.long // NM_PER_INCH))
    if not max(1, ground.rules.min_piece_nm) <= first <= ground.reach:
        return None
    return side.trial(trial.first_width, (*trial.firsts[:row], first, *trial.firsts[row + 1 :]))
