"""Where courses and pieces may start: the widths, first pieces and their sequences that a search tries."""

from collections.abc import Iterator, Sequence
from itertools import product


def starts(span: int, size: int, gap: int, edges: Sequence[int], step: int, least: int) -> tuple[int, ...]:
    """What the first of a row of sheets may show, the most natural first.

    A whole sheet; what leaves a whole sheet at the end; what makes both ends alike; half a sheet; what brings
    a joint to one of the `edges` (distances from the start); then every `step`. Nothing below `least`, unless
    nothing else is left.
    """
    period = size + gap
    found = [size, 1 + (span - 1) % period]
    rest = (span - gap) % period
    found += [rest // 2, (rest + period) // 2, size // 2]
    for edge in edges:
        found += [edge % period, (edge - gap) % period]
    found += range(size - step, 0, -step)
    fit = [each for each in dict.fromkeys(found) if max(1, least) <= each <= size]
    return tuple(fit) or (size,)


def steady(firsts: Sequence[int], offsets: Sequence[int], count: int, period: int) -> Iterator[tuple[int, ...]]:
    """Sequences of first pieces that move on by one offset from course to course."""
    size = max(firsts)
    for offset, first in product(offsets, firsts):
        yield tuple(min((first + row * offset) % period or size, size) for row in range(count))


def alternating(firsts: Sequence[int], count: int) -> Iterator[tuple[int, ...]]:
    """Sequences that take turns between two first pieces."""
    for one, other in product(firsts, firsts):
        yield tuple((one, other)[row % 2] for row in range(count))
