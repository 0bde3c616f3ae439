"""What makes the same work take longer in one house than in another, as named factors on its hours.

None is in force unless it is ticked on the work. Those of old trade books are used as printed; the others are
guesses, marked so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.expansion import Requirement
from catalog.measures.units import format_number

COLLIERY = (
    "International Correspondence Schools, Building Construction, volume 4 (about 1899), article 36, on "
    "plastering (chestofbooks.com)"
)


@dataclass(frozen=True)
class JobCondition:
    """A condition with its factor on hours, and where the factor comes from."""

    code: str
    label: str
    factor: Fraction
    source: str

    @property
    def is_guess(self) -> bool:
        return self.source == "from memory"


_ALL = (
    JobCondition("occupied", "Somebody lives in the rooms", Fraction(115, 100), "from memory"),
    JobCondition("closet", "In a closet or as tight a place", Fraction(3, 2), f"add one-half: {COLLIERY}"),
    JobCondition(
        "sloped",
        "Along a slope: a raking ceiling or a stair",
        Fraction(3, 2),
        f"add one-half: {COLLIERY}; the Cyclopedia of Architecture, Carpentry and Building, 1907-12, too",
    ),
    JobCondition(
        "height",
        "A story up, or a ceiling over 12 ft",
        Fraction(105, 100),
        f"5 per cent for each 12 feet after the first: {COLLIERY}",
    ),
    JobCondition("old", "Old house: out of plumb and square", Fraction(6, 5), "from memory"),
    JobCondition("far", "Far from the truck: stairs or a long carry", Fraction(11, 10), "from memory"),
    JobCondition("colors", "Several colors in one room", Fraction(6, 5), "from memory"),
    JobCondition("small", "Less than 50 sq ft", Fraction(5, 4), "from memory"),
)
JOB_CONDITIONS: Mapping[str, JobCondition] = {condition.code: condition for condition in _ALL}


def known(codes: Iterable[str]) -> list[JobCondition]:
    """Return the conditions of these codes, in their order here; others are left out."""
    wanted = set(codes)
    return [condition for condition in _ALL if condition.code in wanted]


def under_conditions(requirements: Iterable[Requirement], codes: Iterable[str]) -> tuple[Requirement, ...]:
    """Return requirements whose hours take longer by these conditions; the arithmetic names them."""
    conditions = known(codes)
    if not conditions:
        return tuple(requirements)
    factor = Fraction(1)
    for condition in conditions:
        factor *= condition.factor
    words = ", ".join(f"{row.label.lower()} × {format_number(row.factor)}" for row in conditions)
    return tuple(
        _slower(requirement, factor, words) if requirement.is_labor else requirement
        for requirement in requirements
    )


def _slower(requirement: Requirement, factor: Fraction, words: str) -> Requirement:
    calculation = replace(
        requirement.calculation,
        times=requirement.calculation.times * factor,
        set_up=requirement.calculation.set_up * factor,
        conditions=words,
    )
    return replace(requirement, calculation=calculation, quantity=calculation.quantity())
