"""Whether putting one assembly into another would make it part of itself."""

from collections.abc import Iterable, Mapping


def loop_made(parts: Mapping[int, Iterable[int]], outer: int, inner: int) -> tuple[int, ...]:
    """The loop that using `inner` in `outer` would close, from `outer` round to `outer`; empty for none.

    `parts` names the assemblies that each assembly uses now.
    """
    seen: set[int] = set()
    ways = [(outer, inner)]
    while ways:
        way = ways.pop()
        if way[-1] == outer:
            return way
        if way[-1] not in seen:
            seen.add(way[-1])
            ways += [(*way, part) for part in parts.get(way[-1], ())]
    return ()
