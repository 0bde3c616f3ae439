"""Suggestions in words: what the jobs took, what that makes of a value, and how it was worked out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from math import exp, log
from typing import Any

from catalog.measures.rates import parse_rate
from catalog.measures.units import format_amount, format_decimal
from catalog.starter.own_jobs import OWN_JOBS
from estimating.plain_text import day_in_words
from jobsite.learning.evidence import JobEvidence, RatePrior
from jobsite.learning.model import Learned
from jobsite.learning.rates import rate_in_words, significant

LEAST_CHANGE = Fraction(3, 100)  # of the value; less isn't worth a question

RATE, WASTE, RUN, VISIT, TOGETHER = "rate", "waste", "run", "visit", "together"


@dataclass(frozen=True)
class Suggestion:
    """A value that his jobs suggest, and what would be stored for it.

    `kind` and `code` name what it is about. `took` says what the jobs took, `words` how that makes `then` of
    `now`, `details` what each job says. `made` are the values to store, `prior` those that it was learned
    against.
    """

    kind: str
    code: str
    title: str
    jobs: int
    took: str
    now: str
    then: str
    words: tuple[str, ...]
    details: tuple[str, ...]
    made: Mapping[str, Any] = field(repr=False)
    prior: Mapping[str, Any] = field(repr=False)


@dataclass(frozen=True)
class TypedRate:
    """An operation's hours as they are typed; low and high may be empty."""

    low: str
    likely: str
    high: str

    def values(self) -> dict[str, str]:
        """Return them by the columns of the catalog."""
        return {"low_typed": self.low, "rate_typed": self.likely, "high_typed": self.high}


def rate_suggestion(
    prior: RatePrior,
    prior_typed: TypedRate,
    now: TypedRate,
    evidence: Sequence[JobEvidence],
    found: Learned,
    job_names: Mapping[int, str],
    today: date,
) -> Suggestion | None:
    """Return what an operation's jobs suggest; None where that is what the catalog has, or nearly so."""
    then = learned_rate(prior, prior_typed, found)
    likely = parse_rate(now.likely, "hour", prior.unit).per_unit
    if not differs(parse_rate(then.likely, "hour", prior.unit).per_unit, likely):
        return None
    quantity = format_amount(sum((row.quantity for row in evidence), Fraction(0)), prior.unit)
    took = f"you took {times(found.own)} the catalog, in {jobs_in_words(found.jobs)}, {quantity}"
    words = (
        *trust_in_words(found),
        f"{prior_typed.likely} × {found.ratio:.3f} = {then.likely}.",
        f"At best {then.low}, at worst {then.high}.",
    )
    source = (
        f"{OWN_JOBS}{then.likely}, from {jobs_in_words(found.jobs)} ({quantity}) to {day_in_words(today)}. "
        f"They took {times(found.own)} the catalog's {prior_typed.likely}, trusted {found.trust:.0%}."
    )
    return Suggestion(
        kind=RATE,
        code=prior.code,
        title=prior.name,
        jobs=found.jobs,
        took=took,
        now=now.likely,
        then=then.likely,
        words=words,
        details=tuple(
            f"{job_names.get(row.job, 'A job')}: {hours(row.taken)} taken,"
            f" {hours(row.by_prior)} by the catalog's rate, {format_amount(row.quantity, prior.unit)};"
            f" {float(row.share):.0%} of its work items"
            for row in evidence
        ),
        made={**then.values(), "source": source},
        prior=prior_typed.values(),
    )


def learned_rate(prior: RatePrior, typed: TypedRate, found: Learned) -> TypedRate:
    """Return low, likely and high as learned, each in the words of the one before it."""
    likely = float(prior.likely) * found.ratio

    def away(end: Fraction, like: str) -> str:
        spread = exp(log(float(end / prior.likely)) * found.width) if end else 0.0
        return rate_in_words(Fraction(likely * spread), like or typed.likely, prior.unit) if spread else like

    return TypedRate(
        away(prior.low, typed.low),
        rate_in_words(Fraction(likely), typed.likely, prior.unit),
        away(prior.high, typed.high),
    )


def trust_in_words(found: Learned) -> tuple[str, ...]:
    """Return why a value moves only a part of the way to the jobs' own average."""
    return (
        "Counted by size, and less where one is far off the rest, your jobs weigh as much as"
        f" {found.counts:.1f} whole ones; what you had before weighs as much as {found.catalog_counts:.1f}.",
        f"So it goes {found.trust:.0%} of the way: {times(found.ratio)} instead of {times(found.own)}.",
    )


def differs(then: Fraction, now: Fraction) -> bool:
    """Tell whether a value would change by enough to ask."""
    return abs(then - now) >= LEAST_CHANGE * now if now else bool(then)


def times(ratio: float) -> str:
    """Return such as "1.22 times"."""
    return f"{decimals(ratio)} times"


def decimals(ratio: float) -> str:
    """Return a factor to two decimals."""
    return f"{ratio:.2f}"


def hours(amount: Fraction) -> str:
    """Return hours in three figures: "9.3 h"."""
    return f"{significant(amount) if amount else '0'} h"


def percent(amount: Fraction) -> str:
    """Return such as "12.5%"."""
    return f"{format_decimal(amount)}%"


def jobs_in_words(jobs: int) -> str:
    """Return such as "4 jobs"."""
    return f"{jobs} job{'' if jobs == 1 else 's'}"


def by_weight(suggestions: Iterable[Suggestion]) -> list[Suggestion]:
    """Return suggestions with those of the most jobs first."""
    return sorted(suggestions, key=lambda suggestion: (-suggestion.jobs, suggestion.title))
