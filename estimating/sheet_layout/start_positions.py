"""Where courses and pieces may start: the widths, first pieces and their sequences that a search tries."""

from collections.abc import Iterator, Sequence
from itertools import product

from estimating.sheet_layout.rules import SheetRules


def starts(span: int, size: int, rules: SheetRules, edges: Sequence[int], step: int) -> tuple[int, ...]:
    """Return the lengths that the first sheet of a row may show, the most natural first.

    A whole sheet; what leaves a whole sheet at the end; what makes both ends alike; half a sheet; what
    brings a joint to one of the `edges` (distances from the start); then every `step`. Nothing below the
    least piece.
    """
    gap = rules.gap_nm
    period = size + gap
    rest = (span - gap) % period
    found = [size, 1 + (span - 1) % period, rest // 2, (rest + period) // 2, size // 2]
    for edge in edges:
        found += [edge % period, (edge - gap) % period]
    found += range(size - step, 0, -step)
    least = max(1, rules.min_piece_nm)
    return tuple(start for start in dict.fromkeys(found) if start == size or least <= start < min(size, span))


def steady(
    firsts: Sequence[int], offsets: Sequence[int], count: int, size: int, gap: int
) -> Iterator[tuple[int, ...]]:
    """Yield sequences of first pieces that move on by one offset from course to course."""
    period = size + gap
    for offset, first in product(offsets, firsts):
        yield tuple(min((first + row * offset) % period or size, size) for row in range(count))


def alternating(firsts: Sequence[int], count: int) -> Iterator[tuple[int, ...]]:
    """Yield sequences that take turns between two first pieces."""
    for odd, even in product(firsts, firsts):
        yield tuple((odd, even)[row % 2] for row in range(count))
