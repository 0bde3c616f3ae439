"""The search for a layout: which way courses run, how wide the first is, where each starts.

The aim is lexicographic: fewest slivers, fewest joints near corners, fewest sheets, fewest pieces, fewest
cuts, shortest joints. Work is bounded by counts, never by the clock, so that an answer is always the same.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest
from typing import NamedTuple

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.candidates import COSTS, Rank, Side, Trial
from estimating.sheet_layout.courses import notch_count
from estimating.sheet_layout.packing import PLAIN, THOROUGH, Packing, Size, draws, pack
from estimating.sheet_layout.rules import CannotLay
from estimating.sheet_layout.start_positions import alternating, starts, steady


class Effort(NamedTuple):
    """How much work a search may do, in counts."""

    step_nm: int  # between the starts tried
    edges: int  # edges of the surface that joints are brought to, each way
    cells: int  # stretches of sheet cut to the surface, over all plans
    courses: int  # courses summed up, over all plans
    placings: int  # pieces put in place by way of trial, for each count of sheets, quickly and thoroughly
    changes: int  # changes tried to the best plan, where it may not be the best there is


FIRST = Effort(12 * NM_PER_INCH, edges=2, cells=3_000, courses=3_000, placings=4_000, changes=0)
BEST = Effort(6 * NM_PER_INCH, edges=8, cells=40_000, courses=60_000, placings=40_000, changes=400)
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


def search(sides: Sequence[Side], effort: Effort, bound: int) -> SearchResult:
    """Return the best plan found within the effort; one of `bound` sheets without a fault is good enough."""
    trials = list(_trials(sides, effort))
    if not trials:
        raise CannotLay("No layout keeps joints far enough apart from course to course: ask for less.")
    faults = min(trial.least[:2] for trial in trials)
    alike = [trial for trial in trials if trial.least[:2] == faults]
    packer, best = Packer(), None
    sheets = min(trial.least.sheets for trial in alike)
    while best is None:
        best = _settle(packer, [trial for trial in alike if trial.least.sheets <= sheets], sheets, effort)
        sheets += 1
    return best if best.rank[:3] <= (0, 0, bound) else _improved(packer, best, effort.changes)


def unlike(sides: Sequence[Side], effort: Effort, most: int) -> list[Trial]:
    """Return the trials of fewest faults and pieces, at most one more than the fewest, all cut unlike."""
    trials = list(_trials(sides, effort))
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


def _settle(packer: Packer, trials: Sequence[Trial], sheets: int, effort: Effort) -> SearchResult | None:
    """Return the best of trials that can be cut from this many sheets, the likeliest tried first.

    All are packed in two quick ways; where none will go in, then in every way; then thoroughly.
    """
    best: SearchResult | None = None
    likely = sorted((trial.least_in(sheets), at) for at, trial in enumerate(trials))
    for ways in (QUICK, PLAIN, THOROUGH):
        enough = packer.placings + effort.placings
        for least, at in likely:
            if packer.placings >= enough or (best and least >= best.rank):
                break
            found = packer.fit(trials[at], sheets, ways)
            if found and ways == QUICK:
                found = packer.fit(trials[at], sheets)
            if found and (best is None or found.rank < best.rank):
                best = found
        if best:
            break
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
            cells, summed = sum(side.cells for side in sides), sum(side.summed for side in sides)
            if found and (cells > effort.cells or summed > effort.courses):
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
    return starts(span, ground.short, ground.rules, levels[1:-1][: effort.edges], effort.step_nm)


def _first_pieces(side: Side, effort: Effort) -> tuple[int, ...]:
    """Return the first pieces to try; one that is wished for comes first."""
    ground = side.ground
    ends = sorted({end - ground.box.left for band in ground.region for run in band.runs for end in run})
    span = ground.box.right - ground.box.left
    found = starts(span, ground.long, ground.rules, ends[1:-1][: effort.edges], effort.step_nm)
    return (side.first_piece, *found) if side.first_piece else found


def _sequences(side: Side, width: int, effort: Effort) -> Iterator[tuple[int, ...]]:
    """Yield sequences of first pieces for the courses that a first course of this width gives."""
    ground = side.ground
    count = len(side.laid(width)[0])
    firsts = _first_pieces(side, effort)
    if count == 1:
        yield from ((first,) for first in firsts)
        return
    for cost in COSTS:
        calmest = side.calmest(width, firsts[:12], cost)
        if calmest:
            yield calmest
    yield from side.offcut_starts(firsts, count)
    yield from alternating(firsts, count)
    offsets = range(ground.rules.min_offset_nm or effort.step_nm, ground.period, effort.step_nm)
    yield from steady(firsts, offsets, count, ground.long, ground.rules.gap_nm)


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
    return (*found.rank[:3], min(used, default=0))


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
    if not max(1, ground.rules.min_piece_nm) <= first <= ground.long:
        return None
    return side.trial(trial.first_width, (*trial.firsts[:row], first, *trial.firsts[row + 1 :]))
