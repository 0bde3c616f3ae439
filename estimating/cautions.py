"""Which cautions a job's papers carry: lead by the year the house was built, and what the catalog says.

A caution tells the reader what to look out for and whose rules bind; it never changes a number.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.expansion import AssemblySpec, MaterialSpec
from estimating.takeoff import Work

# "Target housing" is housing built before 1978 (40 CFR 745.103).
LEAD_YEAR = 1978

# Certified renovators and lead-safe work: 40 CFR 745.85 and 745.89; the pamphlet: 745.84;
# what a negative test lifts: 745.82. States may run a programme of their own: 745 subpart Q.
LEAD_RULES = (
    "Work for pay that disturbs such paint is done by a certified firm in the lead-safe way, and you get "
    "the lead pamphlet before it begins, unless a certified test finds no lead (40 CFR part 745, subpart E). "
    "Your state may ask more."
)


@dataclass(frozen=True)
class Caution:
    """A caution in plain words, and the titles of the work that it belongs to (none: the whole job)."""

    text: str
    work: tuple[str, ...] = ()


def lead_caution(year_built: int | None) -> Caution | None:
    """The caution about lead paint for a house of this year; none from 1978 on.

    A house of unknown age is treated as an old one. Source: 40 CFR part 745, subpart E.
    """
    if year_built is None:
        return Caution(
            "The year the house was built isn't known, so its paint is treated as if it may hold lead. "
            + LEAD_RULES
        )
    if year_built >= LEAD_YEAR:
        return None
    return Caution(
        f"The house was built in {year_built}, and paint from before 1978 may hold lead. {LEAD_RULES}"
    )


def job_cautions(year_built: int | None, works: Iterable[Work]) -> tuple[Caution, ...]:
    """Lead first, then every caution of the assemblies and materials used, each text once, in the order
    of the work."""
    titles: dict[str, dict[str, None]] = {}
    for work in works:
        for text in _texts(work.assembly) if work.assembly else ():
            titles.setdefault(" ".join(text.split()), {})[work.title] = None
    lead = lead_caution(year_built)
    found = [Caution(text, tuple(of_work)) for text, of_work in titles.items() if text]
    return (lead, *found) if lead else tuple(found)


def _texts(assembly: AssemblySpec) -> Iterator[str]:
    yield assembly.caution
    for component in assembly.components:
        if isinstance(component.use, AssemblySpec):
            yield from _texts(component.use)
        elif isinstance(component.use, MaterialSpec):
            yield component.use.caution
