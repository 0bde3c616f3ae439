"""How far the hours of one job run over together, estimated from finished work items.

It is the intraclass correlation of the logs of hours taken to hours priced, by job (the analysis of variance
of one way, with unequal numbers). From 10 jobs of at least 3 finished work items each: with about 8 items a
job and a correlation of 0.3, its standard error is then 0.14 (2 (1 - r)² (1 + (n - 1) r)² / (n (n - 1)
(k - 1)), squared), as wide as the judgement that it replaces, which is some value between 0 and 0.5. With
fewer jobs the judgement is worth more.
"""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import log

from jobsite.hours.finished import FinishedItem
from jobsite.learning.suggestions import TOGETHER, Suggestion, percent

ENOUGH_JOBS, ENOUGH_ITEMS = 10, 3
LEAST_STEP = 5  # percent; nearer than that isn't worth a question


def log_ratios(items: Sequence[FinishedItem]) -> dict[int, list[float]]:
    """Return the logs of hours taken to hours priced, of the jobs with enough finished items."""
    by_job: dict[int, list[float]] = {}
    for item in items:
        if item.priced > 0 and item.taken > 0:
            by_job.setdefault(item.job, []).append(log(item.taken / item.priced))
    return {job: ratios for job, ratios in by_job.items() if len(ratios) >= ENOUGH_ITEMS}


def intraclass_correlation(groups: Sequence[Sequence[float]]) -> float:
    """Return the correlation within groups, from 0 to 1; 0 where nothing differs at all."""
    total = sum(len(group) for group in groups)
    average = sum(map(sum, groups)) / total
    means = [sum(group) / len(group) for group in groups]
    pairs = list(zip(groups, means, strict=True))
    between = sum(len(group) * (mean - average) ** 2 for group, mean in pairs) / (len(groups) - 1)
    within = sum((value - mean) ** 2 for group, mean in pairs for value in group) / (total - len(groups))
    size = (total - sum(len(group) ** 2 for group in groups) / total) / (len(groups) - 1)
    whole = between + (size - 1) * within
    return min(max((between - within) / whole, 0.0), 1.0) if whole else 0.0


def together_suggestion(items: Sequence[FinishedItem], now: Decimal) -> Suggestion | None:
    """Return what finished jobs suggest for the correlation; None with too few, or where he has it."""
    by_job: Mapping[int, Sequence[float]] = log_ratios(items)
    if len(by_job) < ENOUGH_JOBS:
        return None
    found = intraclass_correlation(list(by_job.values()))
    then = Decimal(found * 100).quantize(Decimal(1), ROUND_HALF_UP)
    if abs(then - now) < LEAST_STEP:
        return None
    return Suggestion(
        kind=TOGETHER,
        code="",
        title="How far hours run over together",
        jobs=len(by_job),
        took=f"within your {len(by_job)} jobs they do by {then}%",
        now=percent(Fraction(now)),
        then=f"{then}%",
        words=(
            "0% would be each piece of work by itself, 100% all or none.",
            f"It counts from {ENOUGH_JOBS} jobs with at least {ENOUGH_ITEMS} finished pieces of work each:"
            " with fewer, a judgement is as good.",
        ),
        details=(),
        made={"hours_together_percent": f"{then}"},
        prior={"hours_together_percent": f"{now}"},
    )
