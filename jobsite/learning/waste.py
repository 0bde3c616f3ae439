"""Waste of a material, from what closed jobs bought of it against what their lists asked for.

What is left over of whole packages is no waste: only what was bought beyond the list, or brought back of it,
counts. A material is learned like a rate, a job as one whole one, from a prior of 0.9 to 1.2 times the list.
Tile that was bought as its layout takes it says nothing of the waste that area alone would add.
Jobs count that were signed after the waste was last taken: those before it asked for another.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from catalog.measures.units import format_amount
from catalog.starter.own_jobs import OWN_JOBS
from estimating.plain_text import day_in_words
from estimating.ranges.spread import Spread
from jobsite.learning.model import JobRatio, Learned, learn
from jobsite.learning.suggestions import (
    WASTE,
    Suggestion,
    jobs_in_words,
    percent,
    times,
    trust_in_words,
)
from jobsite.learning.trips import WHOLE_JOB

USUAL = Spread(0.9, 1.0, 1.2)
MOST = Decimal(100)
HALF_PERCENT = Decimal("0.5")
LEAST_CHANGE = Decimal(2)  # points of percent; less isn't worth a question


@dataclass(frozen=True)
class MaterialUse:
    """What a job required of a material, waste included; what its list bought of it; what was bought."""

    job: int
    required: Fraction
    listed: Fraction
    bought: Fraction

    @property
    def ratio(self) -> float:
        """What was used to what was required, if what the list would leave over was left over."""
        return float((self.required + self.bought - self.listed) / self.required)


@dataclass(frozen=True)
class WastedMaterial:
    """A material, and the waste of each use of it in the catalog by the use's primary key."""

    code: str
    name: str
    unit: str
    waste: Mapping[str, Decimal]


def waste_suggestion(
    material: WastedMaterial, rows: Sequence[MaterialUse], job_names: Mapping[int, str], today: date
) -> Suggestion | None:
    """Return what jobs suggest for the waste of a material; None where that is what the catalog has."""
    rows = [row for row in rows if row.required > 0 and row.ratio > 0]
    if not rows or not material.waste:
        return None
    ratios = [JobRatio(row.job, row.ratio, WHOLE_JOB) for row in rows]
    found = learn({material.code: (USUAL, ratios)})[material.code]
    then = {key: _wasted(percent_now, found.ratio) for key, percent_now in material.waste.items()}
    if all(abs(then[key] - now) < LEAST_CHANGE for key, now in material.waste.items()):
        return None
    return Suggestion(
        kind=WASTE,
        code=material.code,
        title=f"Waste of {material.name}",
        jobs=found.jobs,
        took=f"you bought {times(found.own)} what was asked for, in {jobs_in_words(found.jobs)}",
        now=_in_words(material.waste.values()),
        then=_in_words(then.values()),
        words=trust_in_words(found),
        details=tuple(
            f"{job_names.get(row.job, 'A job')}: {format_amount(row.required, material.unit)} asked for,"
            f" {format_amount(row.listed, material.unit)} on the list,"
            f" {format_amount(row.bought, material.unit)} bought"
            for row in rows
        ),
        made={key: _plain(value) for key, value in then.items()}
        | {source_key(key): _source(value, found, today) for key, value in then.items()},
        prior={key: _plain(value) for key, value in material.waste.items()},
    )


def source_key(use: str) -> str:
    """Return the key under which the source of a use's waste is kept beside the waste."""
    return f"{use} source"


def _source(waste: Decimal, found: Learned, today: date) -> str:
    return (
        f"{OWN_JOBS}{_plain(waste)}% waste, from {jobs_in_words(found.jobs)} to {day_in_words(today)}."
        f" They bought {times(found.own)} what was asked for, trusted {found.trust:.0%}."
    )


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"


def _wasted(now: Decimal, ratio: float) -> Decimal:
    """Return the waste that makes the ratio of what it made before, to half a percent, never below none."""
    exact = ((1 + now / 100) * Decimal(ratio) - 1) * 100
    steps = (exact / HALF_PERCENT).quantize(Decimal(1), ROUND_HALF_UP)
    return min(max(steps * HALF_PERCENT, Decimal(0)), MOST)


def _in_words(wastes: Iterable[Decimal]) -> str:
    """Return the wastes of all uses: "10%", or "5% to 10%"."""
    values = sorted(Fraction(waste) for waste in wastes)
    low, high = values[0], values[-1]
    return percent(low) if low == high else f"{percent(low)} to {percent(high)}"
