"""Whether putting one assembly into another would make it part of itself."""

from collections.abc import Iterable, Mapping


def successors(pairs: Iterable[tuple[int, int]]) -> dict[int, list[int]]:
    """Return, for each first member of a pair, the second members that it comes with."""
    by_first: dict[int, list[int]] = {}
    for first, second in pairs:
        by_first.setdefault(first, []).append(second)
    return by_first


def closed_loop(parts: Mapping[int, Iterable[int]], outer: int, inner: int) -> tuple[int, ...]:
    """Return the loop that using `inner` in `outer` would close, from `outer` around to `outer`.

    `parts` names the assemblies that each assembly uses now. The result is empty where no loop would close.
    """
    seen: set[int] = set()
    paths: list[tuple[int, ...]] = [(outer, inner)]
    while paths:
        path = paths.pop()
        if path[-1] == outer:
            return path
        if path[-1] not in seen:
            seen.add(path[-1])
            paths += [(*path, part) for part in parts.get(path[-1], ())]
    return ()
