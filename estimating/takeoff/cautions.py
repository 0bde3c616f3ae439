"""The cautions that a job's pages and documents carry: lead paint by the year the house was built, and the
lines that the catalog has with its assemblies and materials.

A caution tells the reader what to look out for and whose rules bind; it never changes a number.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.assemblies.specs import AssemblySpec, MaterialSpec
from estimating.takeoff.work import Work

# "Target housing" is housing built before 1978 (40 CFR 745.103; from memory).
LEAD_YEAR = 1978

# The sizes from which it binds: 40 CFR 745.83. From memory: lead-safe work and certified renovators, 745.85
# and 745.89; the pamphlet, 745.84; what a negative test lifts, 745.82; programs of the states, subpart Q.
LEAD_RULES = (
    "Work for pay that disturbs such paint is done by a certified firm in the lead-safe way, and you get "
    "the lead pamphlet before it begins, unless a certified test finds no lead (40 CFR part 745, subpart E). "
    "Your state may ask more."
)
# A line of the catalog that begins so is for whoever does the work, and not for the client.
FOR_THE_WORKER = "At work: "
# A line of the catalog that is about lead names its rule so.
LEAD_CITED = "40 CFR 745"
# The last year in which a house may have got the material that a rule is about, by the rule as a line of the
# catalog names it: lead as above, asbestos as 29 CFR 1926.1101(k) presumes it (from memory).
LAST_YEARS = {LEAD_CITED: LEAD_YEAR - 1, "29 CFR 1926.1101": 1980}
LEAD_AT_WORK = (
    "Disturbing more than 6 sq ft of it in a room (outside, more than 20 sq ft), taking out a window or "
    "demolishing what is painted is lead-safe work for a certified renovator, and the client gets the lead "
    "pamphlet first (40 CFR part 745, subpart E; the sizes: 745.83). Local "
    "code and licensed practice decide."
)


@dataclass(frozen=True)
class JobCaution:
    """A caution in plain words, and the titles of the work that it belongs to (none: the whole job)."""

    text: str
    work: tuple[str, ...] = ()


def lead_caution(year_built: int | None) -> JobCaution | None:
    """Return the caution about lead paint for the client of a house of this year; None from 1978 on.

    A house of unknown age is treated as an old one. Source: 40 CFR part 745, subpart E.
    """
    if year_built is None:
        return JobCaution(
            "The year the house was built isn't known, so its paint is treated as if it may hold lead. "
            + LEAD_RULES
        )
    if year_built >= LEAD_YEAR:
        return None
    return JobCaution(
        f"The house was built in {year_built}, and paint from before 1978 may hold lead. {LEAD_RULES}"
    )


def lead_at_work(year_built: int | None) -> str:
    """Return the caution about lead paint for whoever does the work; empty from 1978 on.

    It names the sizes from which the rules bind.
    """
    if year_built is None:
        return f"The year the house was built isn't known, so its paint may hold lead. {LEAD_AT_WORK}"
    if year_built >= LEAD_YEAR:
        return ""
    return f"The house was built in {year_built}, so its paint may hold lead. {LEAD_AT_WORK}"


def disturbs_paint(assembly: AssemblySpec) -> bool:
    """Tell whether the work may disturb lead paint: taking out, and all that the catalog cautions of lead."""
    return assembly.phase == "take_out" or any(LEAD_CITED in line for line in _lines(assembly))


def work_cautions(year_built: int | None, assembly: AssemblySpec) -> tuple[str, ...]:
    """Return every caution of an assembly, of what is nested in it and of its materials, each line once.

    Lines about lead are left out for a house built in 1978 or later.
    """
    return tuple(line.removeprefix(FOR_THE_WORKER) for line in _lines_for_house(year_built, assembly))


def _lines_for_house(year_built: int | None, assembly: AssemblySpec) -> list[str]:
    is_newer = year_built is not None and year_built >= LEAD_YEAR
    lines = dict.fromkeys(_lines(assembly))
    return [line for line in lines if not (is_newer and LEAD_CITED in line)]


def job_cautions(year_built: int | None, works: Iterable[Work]) -> tuple[JobCaution, ...]:
    """Return the cautions that the client should see.

    Lead comes first, then every caution of the assemblies and materials used that isn't for the worker
    alone, each line once, in the order of the work.
    """
    titles: dict[str, dict[str, None]] = {}
    for work in works:
        for line in _lines_for_house(year_built, work.assembly) if work.assembly else ():
            if not line.startswith(FOR_THE_WORKER):
                titles.setdefault(line, {})[work.title] = None
    lead = lead_caution(year_built)
    cautions = [JobCaution(line, tuple(titles_of_work)) for line, titles_of_work in titles.items()]
    return (lead, *cautions) if lead else tuple(cautions)


def _lines(assembly: AssemblySpec) -> Iterator[str]:
    """Yield the lines of all cautions of an assembly, each with single spaces, without empty ones."""
    for text in _texts(assembly):
        yield from (" ".join(line.split()) for line in text.splitlines() if line.strip())


def _texts(assembly: AssemblySpec) -> Iterator[str]:
    yield assembly.caution
    for component in assembly.components:
        if isinstance(component.use, AssemblySpec):
            yield from _texts(component.use)
        elif isinstance(component.use, MaterialSpec):
            yield component.use.caution
