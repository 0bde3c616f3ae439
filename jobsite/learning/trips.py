"""Hours of a supply run and of a return visit, from hours that closed jobs kept apart from the work.

A run's hours are those of supply runs and driving, over the days with a receipt; a visit's those of setting
up and cleaning, over the days with hours. They are learned as a rate is, a job as one whole one, from a prior
of 0.6 to 1.7 times what the firm had.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from catalog.measures.units import format_decimal
from estimating.ranges.spread import Spread
from jobsite.learning.model import JobRatio, learn
from jobsite.learning.suggestions import (
    RUN,
    VISIT,
    Suggestion,
    differs,
    hours,
    jobs_in_words,
    times,
    trust_in_words,
)

USUAL = Spread(0.6, 1.0, 1.7)
WHOLE_JOB = 1e9  # hours that make a job's evidence count as a whole one
LABELS = {RUN: "Hours of one supply run", VISIT: "Hours lost on a return visit"}
COLUMNS = {RUN: "run_hours", VISIT: "visit_hours"}
_OF = {RUN: "supply run", VISIT: "day on site"}


@dataclass(frozen=True)
class JobTrips:
    """The hours of a closed job that went to trips, and over how many of them."""

    job: int
    hours: Fraction
    trips: int


def trips_suggestion(
    kind: str, prior: Fraction, now: Fraction, rows: Sequence[JobTrips], job_names: Mapping[int, str]
) -> Suggestion | None:
    """Return what closed jobs suggest for one of the firm's two trips; None where that is what it has."""
    rows = [row for row in rows if row.hours and row.trips]
    if not rows or not prior:
        return None
    ratios = [JobRatio(row.job, float(row.hours / row.trips / prior), WHOLE_JOB) for row in rows]
    found = learn({kind: (USUAL, ratios)})[kind]
    then = Fraction(round(prior * Fraction(found.ratio) * 20), 20)  # to the three minutes
    if not then or not differs(then, now):
        return None
    return Suggestion(
        kind=kind,
        code="",
        title=LABELS[kind],
        jobs=found.jobs,
        took=f"yours took {times(found.own)} what you price, in {jobs_in_words(found.jobs)}",
        now=f"{format_decimal(now)} h",
        then=f"{format_decimal(then)} h",
        words=trust_in_words(found),
        details=tuple(
            f"{job_names.get(row.job, 'A job')}: {hours(row.hours)} over {row.trips}"
            f" {_OF[kind].replace('day', 'days') if row.trips != 1 and kind == VISIT else _OF[kind]}"
            f"{'s' if row.trips != 1 and kind == RUN else ''}, {hours(row.hours / row.trips)} each"
            for row in rows
        ),
        made={COLUMNS[kind]: format_decimal(then)},
        prior={COLUMNS[kind]: format_decimal(prior)},
    )
