"""Assemblies that would be part of themselves, or would have to wait for themselves."""

from collections.abc import Iterable
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from catalog.assemblies.specs import NestedInItself
from catalog.models import Assembly, Component, Precedence


@dataclass(frozen=True)
class Loop:
    """Assemblies that are part of themselves or wait for themselves: the code of one, and a sentence."""

    code: str
    sentence: str


Pairs = Iterable[tuple[Assembly, Assembly | None]]


def loops(nested: Pairs, ordered: Pairs) -> list[Loop]:
    """Return the loops among assemblies and their parts, and among those that must follow one another.

    `nested` pairs an assembly with a part of it, `ordered` with one that must be done before it. At most one
    loop of each kind is returned.
    """
    found = []
    if cycle := _cycle(nested):
        names = tuple(assembly.name for assembly in cycle)
        found.append(Loop(cycle[0].code, str(NestedInItself(names))))
    if cycle := _cycle(ordered):
        sequence = " after ".join(assembly.name for assembly in cycle)
        found.append(Loop(cycle[0].code, f"Work can't wait for itself: {sequence}."))
    return found


def stored_loops() -> list[Loop]:
    """Return the loops among the assemblies in the database. This costs two queries."""
    nested = Component.objects.filter(part__isnull=False).select_related("assembly", "part")
    ordered = Precedence.objects.select_related("assembly", "earlier")
    return loops(
        [(component.assembly, component.part) for component in nested],
        [(precedence.assembly, precedence.earlier) for precedence in ordered],
    )


def _cycle(pairs: Pairs) -> list[Assembly]:
    """Return assemblies each of which leads to the next, the last being the first; empty without a cycle."""
    by_code: dict[str, Assembly] = {}
    leads_to: dict[str, set[str]] = {}
    for first, second in pairs:
        if second is not None:
            by_code |= {first.code: first, second.code: second}
            leads_to.setdefault(first.code, set()).add(second.code)
    try:
        TopologicalSorter(leads_to).prepare()
    except CycleError as error:
        return [by_code[code] for code in reversed(error.args[1])]
    return []
