"""The closed form of a job's hours, against worked cases and against drawing each job 200,000 times."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import betaincinv, ndtr

from estimating.ranges.case import read_case
from estimating.ranges.spread import KINDS, PERT, TRIANGULAR, Spread, hours_range

CASES: list[dict[str, Any]] = json.loads(
    (Path(__file__).parents[2] / "data" / "price_range_cases.json").read_text()
)["price"]
RUNS = 200_000


def drawn(spreads: tuple[Spread, ...], rho: float, kind: str) -> tuple[float, float]:
    """Return the even chance and the four-of-five value of drawn jobs, tied by a common Gaussian copula."""
    draw = np.random.default_rng(20261128)
    common = draw.standard_normal(RUNS)
    total = np.zeros(RUNS)
    for spread in spreads:
        u = ndtr(np.sqrt(rho) * common + np.sqrt(1 - rho) * draw.standard_normal(RUNS))
        o, m, p = spread.best, spread.likely, spread.worst
        if kind == TRIANGULAR:
            rising = o + np.sqrt(u * (p - o) * (m - o))
            total += np.where(u < (m - o) / (p - o), rising, p - np.sqrt((1 - u) * (p - o) * (p - m)))
        else:
            total += o + (p - o) * betaincinv(1 + 4 * (m - o) / (p - o), 1 + 4 * (p - m) / (p - o), u)
    even, four_of_five = np.quantile(total, [0.5, 0.8])
    return float(even), float(four_of_five)


@pytest.mark.parametrize("data", CASES)
def test_the_closed_form_gives_the_worked_cases(data: dict[str, Any]) -> None:
    found, expected = read_case(data).range(), data["expected"]
    for ours, theirs in (
        (found.mean, "mean"),
        (found.sd, "sd"),
        (found.even_chance, "normal_p50"),
        (found.four_of_five, "normal_p80"),
    ):
        assert ours == pytest.approx(expected[theirs], abs=1e-3)
    assert found.even_chance == pytest.approx(data["monte_carlo"]["p50"], rel=0.02)
    assert found.four_of_five == pytest.approx(data["monte_carlo"]["p80"], rel=0.02)


@pytest.mark.parametrize("data", CASES[::2])
def test_200_000_drawn_jobs_come_within_two_percent(data: dict[str, Any]) -> None:
    case = read_case(data)
    even, four_of_five = drawn(case.spreads, case.correlation, case.kind)
    assert case.range().even_chance == pytest.approx(even, rel=0.02)
    assert case.range().four_of_five == pytest.approx(four_of_five, rel=0.02)


@pytest.mark.benchmark
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("rho", [0, 0.3, 0.5])
def test_30_pieces_of_work_come_within_two_percent_of_200_000_drawn_jobs(kind: str, rho: float) -> None:
    spreads = tuple(Spread(*task) for data in CASES for task in data["tasks"])[:30]
    found = hours_range(spreads, rho, kind)
    even, four_of_five = drawn(spreads, rho, kind)
    assert found.even_chance == pytest.approx(even, rel=0.02)
    assert found.four_of_five == pytest.approx(four_of_five, rel=0.02)


def test_hours_that_are_certain_have_no_spread() -> None:
    found = hours_range([Spread(2, 2, 2), Spread(3, 3, 3)], 0.5, PERT)
    assert (found.even_chance, found.four_of_five, found.shares) == (5, 5, (0, 0))
    assert (found.chance_within(5), found.chance_within(4.9)) == (1, 0)


def test_the_most_uncertain_work_brings_the_largest_share() -> None:
    shares = hours_range([Spread(4, 5, 6), Spread(4, 8, 20), Spread(9, 9, 9)], 0.3).shares
    assert shares[1] > shares[0] > shares[2] == 0
    assert sum(shares) == pytest.approx(1)


HOURS = st.floats(0.1, 50)
TASKS = st.lists(st.tuples(HOURS, HOURS, HOURS).map(sorted).map(lambda task: Spread(*task)), min_size=1)


@given(TASKS, st.floats(0, 1), st.floats(0, 1), st.sampled_from(KINDS))
def test_hours_that_run_over_together_more_raise_the_four_of_five_value(
    spreads: list[Spread], one: float, other: float, kind: str
) -> None:
    less, more = (hours_range(spreads, rho, kind) for rho in sorted((one, other)))
    assert less.mean == more.mean
    assert less.four_of_five <= more.four_of_five + 1e-6
    assert less.chance_within(less.four_of_five) == pytest.approx(0.8, abs=1e-4) or not less.sd
