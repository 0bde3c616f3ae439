"""What is learned of rates: checked against a library of statistics, and against the truth by simulation."""

from math import exp, log

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from scipy.stats import norm, t, triang

from estimating.ranges.spread import Spread
from jobsite.learning.model import (
    BETWEEN,
    FREEDOM,
    WITHIN,
    JobRatio,
    Learned,
    Variances,
    estimated_variances,
    learn,
    learned,
    log_deviation,
    weighted_median,
)
from tests.jobsite.learning.simulation import PRIOR, World, errors

DEVIATION = log_deviation(PRIOR)


def jobs(*ratios: float, hours: float = 10, share: float = 1) -> list[JobRatio]:
    return [JobRatio(number, ratio, hours, share) for number, ratio in enumerate(ratios)]


def learn_from(*ratios: float) -> Learned:
    return learn({"tile": (PRIOR, jobs(*ratios))})["tile"]


def test_the_deviation_of_a_prior_is_that_of_its_triangular_distribution() -> None:
    low, likely, high = 9.0, 15.0, 27.0
    same = triang((likely - low) / (high - low), loc=low, scale=high - low)
    expected = log(1 + (same.std() / same.mean()) ** 2) ** 0.5
    assert log_deviation(Spread(low, likely, high)) == pytest.approx(expected)


RATIOS = st.lists(
    st.tuples(st.floats(0.7, 1.6), st.floats(0.5, 40), st.floats(0.05, 1)), min_size=1, max_size=8
).map(lambda rows: [JobRatio(number, *row) for number, row in enumerate(rows)])


@given(RATIOS, st.floats(0.1, 1), st.floats(0.3, 1.5))
def test_a_rate_is_the_most_likely_one_under_students_scatter_and_a_normal_prior(
    found: list[JobRatio], between: float, within: float
) -> None:
    def unlikeliness(theta: float) -> float:
        fit = sum(
            t.logpdf(log(job.ratio), FREEDOM, theta, DEVIATION * (within / job.weight) ** 0.5)
            for job in found
        )
        return float(-fit - norm.logpdf(theta, 0, DEVIATION * between**0.5))

    ours = log(learned(DEVIATION, found, Variances(between, within)).ratio)
    nearby = minimize_scalar(unlikeliness, bounds=(ours - 0.05, ours + 0.05), method="bounded")
    assert unlikeliness(ours) <= nearby.fun + 1e-6
    assert ours == pytest.approx(nearby.x, abs=1e-3)


@given(RATIOS)
def test_a_rate_lies_between_the_catalog_and_the_jobs_own_average(found: list[JobRatio]) -> None:
    rate = learn({"tile": (PRIOR, found)})["tile"]
    assert min(1, rate.own) - 1e-9 <= rate.ratio <= max(1, rate.own) + 1e-9
    assert min(job.ratio for job in found) - 1e-9 <= rate.own <= max(job.ratio for job in found) + 1e-9
    assert rate.ratio == pytest.approx(rate.own**rate.trust, abs=1e-6)  # as the page works it out


def test_one_job_moves_a_rate_little_and_five_move_it_much() -> None:
    one, five = learn_from(1.3), learn_from(1.3, 1.28, 1.33, 1.3, 1.29)
    assert 1.03 < one.ratio < 1.10
    assert 1.16 < five.ratio < 1.30
    assert (one.jobs, five.jobs) == (1, 5)


def test_an_outlier_is_damped() -> None:
    without, beside = learn_from(1.1, 1.15, 1.12), learn_from(1.1, 1.15, 1.12, 6.0)
    plain = (1.1 * 1.15 * 1.12 * 6.0) ** 0.25
    assert beside.own < without.own + 0.05 < plain
    assert learn_from(6.0).ratio < learn_from(1.5).ratio * 1.02
    assert learn_from(6.0).counts < 0.1


def test_small_jobs_and_small_shares_count_for_less() -> None:
    (whole,), (small,), (shared,) = jobs(1.3), jobs(1.3, hours=1), jobs(1.3, share=0.2)
    assert whole.weight == pytest.approx(1 / 1.4)
    assert (small.weight, shared.weight) == (pytest.approx(1 / 5), pytest.approx(1 / 5.4))


def test_the_range_narrows_with_jobs_that_agree_and_widens_with_those_that_do_not() -> None:
    assert learn_from(1.0).width == pytest.approx(1, abs=0.12)
    assert learn_from(*[1.0, 1.01, 0.99] * 4).width < 0.8
    assert learn_from(*[0.5, 1.0, 2.0] * 4).width > 1.2


def test_a_firm_that_differs_from_the_catalog_everywhere_is_believed_sooner() -> None:
    alone = learn_from(1.4, 1.4)
    beside = learn({code: (PRIOR, jobs(1.4, 1.4)) for code in "abcdefghijklmnop"})["a"]
    assert beside.ratio > alone.ratio > 1


def test_without_evidence_the_variances_are_those_to_begin_with() -> None:
    found = estimated_variances([])
    assert (found.between, found.within) == (pytest.approx(BETWEEN), pytest.approx(WITHIN))
    assert learn({"tile": (PRIOR, [])}) == {}


def test_half_of_the_weight_makes_the_median() -> None:
    assert weighted_median([3, 1, 2], [1, 1, 1]) == 2
    assert weighted_median([3, 1, 2], [5, 1, 1]) == 3


def test_rates_come_nearer_the_truth_than_the_catalog_and_early_on_than_plain_averages() -> None:
    after = {count: errors(World(), count, firms=60) for count in (3, 10)}
    assert after[3].learned < min(after[3].catalog, after[3].plain)
    assert after[10].learned < after[3].learned


@pytest.mark.benchmark
@pytest.mark.parametrize("world", [World(), World(rate=0.3), World(pace=0.2), World(alone=0)])
def test_a_thousand_firms_come_nearer_the_truth_with_each_job(world: World) -> None:
    after = {count: errors(world, count, firms=1000) for count in (3, 10, 30)}
    for count, found in after.items():
        print(f"{count:3} jobs: catalog {found.catalog:.3f} plain {found.plain:.3f} own {found.learned:.3f}")
        assert found.learned < found.catalog
    assert after[3].learned < after[3].plain
    assert after[30].learned < after[10].learned < after[3].learned
    assert exp(after[30].learned) < 1.2
