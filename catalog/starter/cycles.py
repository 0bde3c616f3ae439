"""Assemblies that would be part of themselves, or have to wait for themselves."""

from collections.abc import Iterable
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from catalog.assemblies.expansion import NestedInItself
from catalog.models import Assembly


@dataclass(frozen=True)
class Loop:
    """Assemblies that are part of themselves or wait for themselves: the code of one, and a sentence."""

    code: str
    sentence: str


Pairs = Iterable[tuple[Assembly, Assembly | None]]


def loops(nested: Pairs, ordered: Pairs) -> list[Loop]:
    """Loops of assemblies and their parts, and of assemblies and what must be done before them."""
    found = []
    if cycle := _cycle(nested):
        found.append(Loop(cycle[0].code, str(NestedInItself(tuple(each.name for each in cycle)))))
    if cycle := _cycle(ordered):
        names = " after ".join(each.name for each in cycle)
        found.append(Loop(cycle[0].code, f"Work can't wait for itself: {names}."))
    return found


def _cycle(pairs: Pairs) -> list[Assembly]:
    """Assemblies each of which leads to the next, the last being the first; none where all is well."""
    by_code: dict[str, Assembly] = {}
    leads_to: dict[str, set[str]] = {}
    for one, other in pairs:
        if other is not None:
            by_code |= {one.code: one, other.code: other}
            leads_to.setdefault(one.code, set()).add(other.code)
    try:
        TopologicalSorter(leads_to).prepare()
    except CycleError as error:
        return [by_code[code] for code in reversed(error.args[1])]
    return []
