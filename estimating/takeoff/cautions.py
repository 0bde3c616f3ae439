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

# The sizes from which it binds, and that what is done in one room within 30 days is one job: 40 CFR 745.83,
# "minor repair and maintenance activities", the 30 days from memory. From memory too: lead-safe work and
# certified renovators, 745.85 and 745.89; the pamphlet, 745.84; what a negative test lifts, 745.82; programs
# of the states, subpart Q.
LEAD_RULES = (
    "Work for pay that disturbs such paint is done by a certified firm in the lead-safe way, and you get "
    "the lead pamphlet before it begins, unless a certified test finds no lead (40 CFR part 745, subpart E). "
    "Your state may ask more."
)
# A line of the catalog that begins so is for whoever does the work, and not for the client.
FOR_THE_WORKER = "At work: "
# How a caution on paper ends.
DECIDES = "; local code and licensed practice decide."
# A line of the catalog that is about lead names its rule so.
LEAD_CITED = "40 CFR 745"
# The last year in which a house may have got the material that a rule is about, by the rule as a line of the
# catalog names it: lead as above, asbestos as 29 CFR 1926.1101(k) presumes it (from memory).
ASBESTOS_CITED = "29 CFR 1926.1101"
LAST_YEARS = {LEAD_CITED: LEAD_YEAR - 1, ASBESTOS_CITED: 1980}
# States that ask for an asbestos survey before renovation, whatever the year of the house, by what their rule
# says. Colorado: Regulation 8, part B, III.A.1 as quoted at community.blaze.today (snippet 44928), the sizes
# of a house at alpinebuildingperformance.com. Washington: as its clean air agencies and Seattle tell it
# (bentoncleanair.org; orcaa.org; citylink.seattle.gov); the law's number is from memory. Read 29 Nov
# 2026. What other states ask wasn't looked up.
ASBESTOS_SURVEYS = {
    "CO": "Colorado asks for an inspection by a certified inspector before more than 32 sq ft of suspect "
    "material in a house is disturbed, whatever its year (Regulation 8, part B)",
    "WA": "Washington asks for an asbestos survey by an accredited inspector before suspect material is "
    "disturbed, whatever the year of the house (RCW 49.26.013)",
}
LEAD_AT_WORK = (
    "Disturbing more than 6 sq ft of it in a room (outside, more than 20 sq ft), all jobs there within 30 "
    "days added up, taking out a window or demolishing what is painted is lead-safe work for a certified "
    "renovator, and the client gets the lead pamphlet first (40 CFR part 745, subpart E; the sizes: 745.83). "
    "Local code and licensed practice decide."
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
    return assembly.phase == "take_out" or cites_lead(assembly)


def cites_lead(assembly: AssemblySpec) -> bool:
    """Tell whether the catalog cautions of lead paint in the work."""
    return any(LEAD_CITED in line for line in _lines(assembly))


def work_cautions(year_built: int | None, assembly: AssemblySpec, state: str = "") -> tuple[str, ...]:
    """Return every caution of an assembly, of what is nested in it and of its materials, each line once.

    Lines about lead or asbestos are left out for a house too new to hold it. Where the state asks for an
    asbestos survey of newer houses too, its line takes their place.
    """
    return tuple(line.removeprefix(FOR_THE_WORKER) for line in _lines_for_house(year_built, assembly, state))


def holds(cited: str, year_built: int | None) -> bool:
    """Tell whether a house of this year may hold what a rule is about; one of unknown age may."""
    return year_built is None or year_built <= LAST_YEARS[cited]


def _lines_for_house(year_built: int | None, assembly: AssemblySpec, state: str) -> list[str]:
    lines: dict[str, None] = {}
    for line in _lines(assembly):
        cited = next((rule for rule in LAST_YEARS if rule in line), "")
        if not cited or holds(cited, year_built):
            lines[line] = None
        elif cited == ASBESTOS_CITED and state in ASBESTOS_SURVEYS:
            lines[f"{ASBESTOS_SURVEYS[state]}{DECIDES}"] = None
    return list(lines)


def job_cautions(year_built: int | None, works: Iterable[Work], state: str = "") -> tuple[JobCaution, ...]:
    """Return the cautions that the client should see.

    Lead comes first, then every caution of the assemblies and materials used that isn't for the worker
    alone, each line once, in the order of the work.
    """
    titles: dict[str, dict[str, None]] = {}
    for work in works:
        for line in _lines_for_house(year_built, work.assembly, state) if work.assembly else ():
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
