"""The search for a layout: which way courses run, how wide the first is, where each starts.

The aim is lexicographic: fewest slivers, fewest joints near corners, fewest sheets, fewest pieces, fewest
cuts, shortest joints. Work is bounded by counts, never by the clock, so that an answer is always the same.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, zip_longest
from typing import NamedTuple

from catalog.units import NM_PER_INCH
from estimating.sheet_courses import notch_count
from estimating.sheet_packing import RUNS, Packing, Size, pack
from estimating.sheet_sides import Plan, Rank, Side, Trial
from estimating.sheet_starts import alternating, starts, steady


class Effort(NamedTuple):
    """How much work a search may do, in counts."""

    step_nm: int  # between the starts tried
    edges: int  # edges of the surface that joints are brought to, each way
    cells: int  # stretches of sheet cut to the surface, over all plans
    courses: int  # courses summed up, over all plans
    packed: int  # pieces put in place, over all plans
    changes: int  # changes tried to the best plan, where it may not be the best there is


FIRST = Effort(12 * NM_PER_INCH, edges=2, cells=3_000, courses=3_000, packed=10_000, changes=0)
BEST = Effort(6 * NM_PER_INCH, edges=8, cells=40_000, courses=60_000, packed=150_000, changes=400)


def search(sides: Sequence[Side], effort: Effort, bound: int) -> tuple[Plan, Packing]:
    """The best plan found within the effort, and how its cut pieces lie in sheets.

    A plan of `bound` sheets without a fault isn't improved further.
    """
    chosen = Chosen(effort.packed)
    for trial in sorted(_trials(sides, effort), key=lambda trial: trial[:2]):
        if chosen.rank and trial.least >= chosen.rank:
            break
        chosen.consider(trial)
    if chosen.rank and chosen.rank[:3] > (0, 0, bound):
        _improve(chosen, effort.changes)
    return chosen.trial.plan, chosen.packing


class Chosen:
    """The best trial so far, packed; gives up on a count of sheets that many packings have missed."""

    def __init__(self, packed: int) -> None:
        self.rank: Rank | None = None
        self.trial: Trial
        self.packing: Packing
        self._left = packed
        self._patience = packed // 4
        self._missed: dict[tuple[int, ...], int] = {}
        self._known: dict[tuple[Size, ...], Packing] = {}

    def consider(self, trial: Trial) -> None:
        """Pack the trial and take it where it is better, while there is work left to spend on it."""
        level = trial.least[:3]
        missed = self._missed.get(level, 0)
        if self.rank and (self._left <= 0 or missed > self._patience):
            return
        rank, packing = self.packed(trial)
        if self.rank is None or rank < self.rank:
            self.rank, self.trial, self.packing = rank, trial, packing
        if rank.sheets > trial.least.sheets:
            self._missed[level] = missed + RUNS * len(trial.sizes)

    def packed(self, trial: Trial) -> tuple[Rank, Packing]:
        """What the trial really comes to."""
        least, sizes = trial.least, trial.sizes
        full = least.pieces - len(sizes)
        bins = least.sheets - full
        if sizes not in self._known:
            self._known[sizes] = pack(sizes, trial.side.ground.stock, (bins, len(sizes) - bins))
            self._left -= RUNS * len(sizes)
        packing = self._known[sizes]
        bins, straight = packing.rank
        notches = sum(notch_count(trial.side.ground, shape) for cut in trial.cuts for shape in cut.notched)
        rank = Rank(*least[:2], full + bins, least.pieces, straight + notches, least.joint_nm)
        return rank, packing


def _trials(sides: Sequence[Side], effort: Effort) -> Iterator[Trial]:
    """Trials of many plans, natural ones first, until the effort is spent; one at least."""
    found = 0
    for side, width in _widths(sides, effort):
        for firsts in _sequences(side, width, effort):
            trial = side.trial(width, firsts)
            if trial:
                found += 1
                yield trial
            cells, summed = sum(each.cells for each in sides), sum(each.summed for each in sides)
            if found and (cells > effort.cells or summed > effort.courses):
                return


def _widths(sides: Sequence[Side], effort: Effort) -> Iterator[tuple[Side, int]]:
    """Every side with every width of first course, the sides taking turns."""
    columns = [[(side, width) for width in _first_widths(side, effort)] for side in sides]
    for row in zip_longest(*columns):
        yield from filter(None, row)


def _first_widths(side: Side, effort: Effort) -> tuple[int, ...]:
    ground = side.ground
    span = ground.box.high - ground.box.low
    if span <= ground.short:
        return (ground.short,)
    levels = sorted({level - ground.box.low for band in ground.region for level in band[:2]})
    least = ground.rules.min_piece_nm
    return starts(span, ground.short, ground.rules.gap_nm, levels[1:-1][: effort.edges], effort.step_nm, least)


def _first_pieces(side: Side, effort: Effort) -> tuple[int, ...]:
    ground = side.ground
    span = ground.box.right - ground.box.left
    if span <= ground.long:
        return (ground.long,)
    ends = sorted({end - ground.box.left for band in ground.region for run in band.runs for end in run})
    least = ground.rules.min_piece_nm
    return starts(span, ground.long, ground.rules.gap_nm, ends[1:-1][: effort.edges], effort.step_nm, least)


def _sequences(side: Side, width: int, effort: Effort) -> Iterator[tuple[int, ...]]:
    """Sequences of first pieces for the courses that a first course of this width gives."""
    count = len(side.laid(width)[0])
    firsts = _first_pieces(side, effort)
    if count == 1 or len(firsts) == 1:
        yield from ((first,) * count for first in firsts)
        return
    calmest = side.calmest(width, firsts[:12])
    if calmest:
        yield calmest
    yield from side.offcut_starts(firsts, count)
    yield from alternating(firsts, count)
    rules = side.ground.rules
    offsets = range(rules.min_offset_nm or effort.step_nm, side.ground.period, effort.step_nm)
    yield from steady(firsts, offsets, count, side.ground.period)


def _improve(chosen: Chosen, changes: int) -> None:
    """Change one course, or the width of the first, again and again; keep what isn't worse.

    The emptiest sheet is made emptier meanwhile, until it can be done without.
    """
    here, worth = chosen.trial, _worth(*chosen.packed(chosen.trial))
    fails, draw = 0, _draws()
    for _ in range(changes):
        trial = _changed(here, draw)
        if trial is None or trial.least[:2] > worth[:2]:
            continue
        rank, packing = chosen.packed(trial)
        chosen.consider(trial)
        if _worth(rank, packing) <= worth:
            here, worth, fails = trial, _worth(rank, packing), 0
        else:
            fails += 1
        if fails > 60:
            here, worth, fails = chosen.trial, _worth(*chosen.packed(chosen.trial)), 0


def _worth(rank: Rank, packing: Packing) -> tuple[int, ...]:
    return (*rank[:3], min(map(len, packing.sheets), default=0), *rank[3:])


def _draws() -> Iterator[int]:
    """Numbers without an order that meets the eye, always the same: Knuth's MMIX generator."""
    state = 1
    while True:
        state = (6364136223846793005 * state + 1442695040888963407) % 2**64
        yield state >> 33


def _changed(trial: Trial, draw: Iterator[int]) -> Trial | None:
    """The plan with one thing changed: a course started at another inch, at what fits beside another piece."""
    side, ground = trial.side, trial.side.ground
    row, way = next(draw) % len(trial.firsts), next(draw) % 4
    if way == 0 and trial.sizes:
        piece = trial.sizes[next(draw) % len(trial.sizes)]
        first = ground.long - piece[next(draw) % 2] - ground.rules.kerf_nm
    else:
        first = NM_PER_INCH * (1 + next(draw) % max(1, ground.long // NM_PER_INCH))
    if not max(1, ground.rules.min_piece_nm) <= first <= ground.long:
        return None
    return side.trial(trial.first_width, (*trial.firsts[:row], first, *trial.firsts[row + 1 :]))
