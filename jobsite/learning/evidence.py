"""What finished work items say of each operation's rate: the hours taken, spread as they were priced."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from estimating.ranges.spread import Spread
from jobsite.hours.finished import FinishedItem
from jobsite.learning.model import JobRatio


@dataclass(frozen=True)
class RatePrior:
    """The rate of an operation as the catalog has it, before anything was learned: hours for one `unit`."""

    code: str
    name: str
    unit: str
    low: Fraction
    likely: Fraction
    high: Fraction

    @property
    def spread(self) -> Spread:
        """The same as the model takes it."""
        return Spread(float(self.low), float(self.likely), float(self.high))


@dataclass(frozen=True)
class JobEvidence:
    """What one job says of an operation: the hours it took, and those that the prior gives for as much.

    Set-up hours are in neither. `share` is the operation's part of the hours of its work items.
    """

    job: int
    taken: Fraction
    by_prior: Fraction
    quantity: Fraction
    share: Fraction

    @property
    def ratio(self) -> JobRatio:
        """The same as the model takes it."""
        return JobRatio(self.job, float(self.taken / self.by_prior), float(self.by_prior), float(self.share))


def rate_evidence(
    items: Iterable[FinishedItem], priors: Mapping[str, RatePrior]
) -> dict[str, list[JobEvidence]]:
    """Return the evidence for each operation by its code, a row for each job, in the order of the items.

    An operation that the catalog doesn't have any more, or counts in another unit now, has none.
    """
    rows: dict[str, dict[int, JobEvidence]] = {}
    for item in items:
        if not item.priced or not item.taken:
            continue
        for done in item.operations:
            prior = priors.get(done.code)
            driven = done.hours - done.set_up
            if prior is None or prior.unit != done.unit or driven <= 0 or done.quantity <= 0:
                continue
            by_job = rows.setdefault(done.code, {})
            new = JobEvidence(
                item.job,
                item.taken * driven / item.priced,
                done.quantity * prior.likely,
                done.quantity,
                min(driven / item.priced, Fraction(1)),
            )
            by_job[item.job] = _together(by_job[item.job], new) if item.job in by_job else new
    return {code: list(by_job.values()) for code, by_job in rows.items()}


def _together(one: JobEvidence, other: JobEvidence) -> JobEvidence:
    """Return the evidence of one job from two of its work items; shares are averaged by hours."""
    by_prior = one.by_prior + other.by_prior
    share = (one.share * one.by_prior + other.share * other.by_prior) / by_prior
    return JobEvidence(one.job, one.taken + other.taken, by_prior, one.quantity + other.quantity, share)
