"""How the hours of finished jobs correct the catalog's rates.

**The prior.** An operation's low, likely and high hours say how far a job's hours may lie from the likely
ones. With the mean and the deviation of their triangular distribution, s² = ln(1 + (sd / mean)²) is the
variance of the log of a job's hours about the likely ones. A part of it, γ², is how far a firm's own pace
lies from the catalog; the rest, φ², is what changes from job to job within a firm. The log of the firm's own
rate to the catalog's is taken as normal about 0 with the variance γ²s². To begin with γ² is 1/3 and φ² 2/3: a
judgement, by which the catalog counts as much as two whole jobs.

**The evidence.** Of each job, r is the log of hours taken to hours priced: a lognormal ratio. Hours are kept
for a work item, not for its operations, so they are spread over these in proportion to what was priced. That
can tell how an operation runs which is most of its items, or comes in items of many mixes. It can't tell
which of two operations ran over that always go together: both look as slow as the two are. So a job's
evidence has the variance φ²s² / w, with w = 1 / (1 / share + 4 h / hours): it counts for less the smaller the
operation's share of its items, and the fewer its hours (at half a day it counts half: of so few hours,
rounding and interruptions are a large part; a judgement). Set-up hours are scaled with the rest and leave the
rate alone.

**The estimate.** It is the most likely value where the scatter is Student's t with 4 degrees of freedom,
found by weighting again and again: each job counts as w·u with u = 5 / (4 + (r - θ)² w / (φ²s²)), so that an
outlier counts for little, and

    θ = Σ w u r / (Σ w u + κ),   κ = φ² / γ².

The jobs' own average, shrunk toward the catalog by their number: the rate always lies between the catalog's
and the firm's own average, and near the former after one job. Both γ² and φ² are estimated from all
operations together and shrunk toward where they began, which stands for 10 operations and 10 jobs: a firm
whose jobs disagree with the catalog everywhere is believed sooner. The range narrows, or widens, with the
scatter of its own jobs.

**Sources.** Shrinking many averages toward a common prior, with its spread estimated from all of them: B.
Efron and C. Morris, "Data analysis using Stein's estimator and its generalizations", Journal of the American
Statistical Association 70 (1975) 311-319. Weights that damp outliers: K. L. Lange, R. J. A. Little and J. M.
G. Taylor, "Robust statistical modeling using the t distribution", the same 84 (1989) 881-896. Both from
memory; `tests/jobsite/learning` checks the arithmetic against a general library of statistics, and by
simulation that it is nearer the truth than the catalog and than plain averages.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from estimating.ranges.spread import Spread

BETWEEN, WITHIN = 1 / 3, 2 / 3  # γ² and φ² to begin with
WORTH = 10  # operations, and jobs, that these stand for
HALF_COUNTS_AT = 4.0  # hours in one job
FREEDOM = 4.0  # of Student's t
LEAST_BETWEEN = BETWEEN / 4
LEAST_DEVIATION = 0.05  # of a rate whose low, likely and high are the same
FARTHEST = 3.0  # deviations that one operation's average may count as, where the variances are estimated
ROUNDS, NEAR = 200, 1e-10


@dataclass(frozen=True)
class JobRatio:
    """What one job says of an operation.

    `ratio` is its hours taken to those that the prior gives, `hours` the latter, `share` its part of the
    hours of the work items that it came in.
    """

    job: int
    ratio: float
    hours: float
    share: float = 1.0

    @property
    def weight(self) -> float:
        """How much of a whole job it counts as, before outliers are damped."""
        return 1 / (1 / self.share + HALF_COUNTS_AT / self.hours)


@dataclass(frozen=True)
class Variances:
    """γ² and φ²: how a firm's pace differs from the catalog, and its jobs from each other, in units of s²."""

    between: float = BETWEEN
    within: float = WITHIN

    @property
    def catalog_counts(self) -> float:
        """How many whole jobs the catalog counts as."""
        return self.within / self.between


@dataclass(frozen=True)
class Learned:
    """What is learned of a rate.

    `own` is the jobs' own average ratio and `ratio` what is learned from it, both to the prior. The jobs
    count as `counts` whole ones against the catalog's `catalog_counts`. `width` is the learned range, as a
    multiple of the prior's (of the logs of low and high to likely).
    """

    jobs: int
    own: float
    counts: float
    catalog_counts: float
    ratio: float
    width: float

    @property
    def trust(self) -> float:
        """The part that the jobs have in the rate, from 0 to 1."""
        return self.counts / (self.counts + self.catalog_counts)


def log_deviation(prior: Spread) -> float:
    """Return s: the deviation of the log of a job's hours that a rate's low, likely and high stand for."""
    mean, variance = prior.moments()
    return max(sqrt(log(1 + variance / mean**2)), LEAST_DEVIATION)


def learn(evidence: Mapping[str, tuple[Spread, Sequence[JobRatio]]]) -> dict[str, Learned]:
    """Return what is learned of each rate that has evidence, by its code."""
    known = {code: (log_deviation(prior), jobs) for code, (prior, jobs) in evidence.items() if jobs}
    variances = estimated_variances(list(known.values()))
    return {code: learned(deviation, jobs, variances) for code, (deviation, jobs) in known.items()}


def learned(deviation: float, jobs: Sequence[JobRatio], variances: Variances) -> Learned:
    """Return what is learned of one rate whose prior has this log deviation."""
    theta, counts = _most_likely(deviation, jobs, variances, variances.catalog_counts)
    total = sum(counts)
    own = sum(count * log(job.ratio) for count, job in zip(counts, jobs, strict=True)) / total
    left = variances.between * variances.catalog_counts / (total + variances.catalog_counts)
    return Learned(
        jobs=len({job.job for job in jobs}),
        own=exp(own),
        counts=total,
        catalog_counts=variances.catalog_counts,
        ratio=exp(theta),
        width=sqrt(variances.within + left),
    )


def _most_likely(
    deviation: float, jobs: Sequence[JobRatio], variances: Variances, prior_counts: float
) -> tuple[float, list[float]]:
    """Return the most likely log ratio, and how much each job counts as in it.

    It starts at the median, from which a single outlier can't hold it.
    """
    ratios, weights = [log(job.ratio) for job in jobs], [job.weight for job in jobs]
    scale = variances.within * deviation**2
    theta = weighted_median([*ratios, 0.0], [*weights, prior_counts])
    for _ in range(ROUNDS):
        counts = [
            weight * (FREEDOM + 1) / (FREEDOM + (ratio - theta) ** 2 * weight / scale)
            for ratio, weight in zip(ratios, weights, strict=True)
        ]
        pulls = sum(count * ratio for count, ratio in zip(counts, ratios, strict=True))
        before, theta = theta, pulls / (sum(counts) + prior_counts)
        if abs(theta - before) < NEAR:
            break
    return theta, counts


def weighted_median(values: Sequence[float], weights: Sequence[float]) -> float:
    """Return the least value at which half of the weight is reached."""
    half, reached = sum(weights) / 2, 0.0
    for value, weight in sorted(zip(values, weights, strict=True)):
        reached += weight
        if reached >= half:
            return value
    raise ValueError("there is no value")


def estimated_variances(operations: Sequence[tuple[float, Sequence[JobRatio]]]) -> Variances:
    """Return the firm's variances, from all operations together: each a log deviation and its jobs."""
    first = Variances()
    scatter, freedom, averages = 0.0, 0.0, []
    for deviation, jobs in operations:
        own, counts = _most_likely(deviation, jobs, first, 0.0)
        away = sum(count * (log(job.ratio) - own) ** 2 for count, job in zip(counts, jobs, strict=True))
        scatter += away / deviation**2
        freedom += len(jobs) - 1
        averages.append((own / deviation, sum(job.weight for job in jobs)))
    within = (WORTH * WITHIN + scatter) / (WORTH + freedom)
    moved, worth = WORTH * BETWEEN, float(WORTH)
    for average, total in averages:
        expected = BETWEEN + within / total
        known = (BETWEEN / expected) ** 2  # of little worth where little is known of it
        moved += known * (min(average**2, FARTHEST**2 * expected) - within / total)
        worth += known
    return Variances(max(moved / worth, LEAST_BETWEEN), within)
