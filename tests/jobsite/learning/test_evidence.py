"""The hours of finished work items, spread over their operations as they were priced."""

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from estimating.contract.work_lines import PricedOperation
from jobsite.hours.finished import FinishedItem
from jobsite.learning.evidence import RatePrior, rate_evidence
from jobsite.learning.model import Learned
from jobsite.learning.rates import rate_in_words, significant
from jobsite.learning.suggestions import TypedRate, rate_suggestion
from jobsite.learning.together import intraclass_correlation, together_suggestion

TILE = RatePrior("tile", "Set tile", "sq ft", Fraction(9, 100), Fraction(15, 100), Fraction(27, 100))
PRIORS = {"tile": TILE}


def priced(code: str, hours: int, quantity: int, set_up: int = 0, unit: str = "sq ft") -> PricedOperation:
    return PricedOperation(code, code, Fraction(hours), Fraction(set_up), Fraction(quantity), unit)


def item(job: int, hours: float, *operations: PricedOperation) -> FinishedItem:
    whole = sum((one.hours for one in operations), Fraction(0))
    taken = Fraction(str(hours))
    return FinishedItem(job, 1, f"{job}", "Tile", "floor", date(2026, 11, 1), whole, taken, operations)


def test_hours_are_spread_in_proportion_and_set_up_is_left_out() -> None:
    # 20 h priced: 16 h of tile, 1 h of them set-up, and 4 h of grout; it took 25 h
    (row,) = rate_evidence([item(1, 25, priced("tile", 16, 100, 1), priced("grout", 4, 100))], PRIORS)["tile"]
    assert row.taken == Fraction(25 * 15, 20)
    assert (row.by_prior, row.share) == (15, Fraction(15, 20))
    assert row.ratio.ratio == pytest.approx(1.25)


def test_a_job_is_held_against_the_prior_whatever_rate_it_was_priced_at() -> None:
    # priced at 20 hours for 100 sq ft and done in as many: slower than the prior's 15
    (row,) = rate_evidence([item(1, 20, priced("tile", 20, 100))], PRIORS)["tile"]
    assert row.ratio.ratio == pytest.approx(20 / 15)


def test_the_items_of_one_job_are_one_row() -> None:
    rows = rate_evidence(
        [
            item(1, 20, priced("tile", 15, 100)),
            item(1, 10, priced("tile", 15, 100)),
            item(2, 15, priced("tile", 15, 100)),
        ],
        PRIORS,
    )["tile"]
    assert [(row.job, row.taken, row.quantity) for row in rows] == [(1, 30, 200), (2, 15, 100)]


def test_what_the_catalog_counts_otherwise_by_now_says_nothing() -> None:
    gone, otherwise = priced("gone", 5, 10), priced("tile", 15, 100, unit="ft")
    assert rate_evidence([item(1, 20, gone, otherwise)], PRIORS) == {}


def test_the_arithmetic_of_a_suggestion_is_right_by_a_calculator() -> None:
    backer = RatePrior(
        "backer", "Bed backer board", "sq ft", *(Fraction(rate, 10000) for rate in (310, 360, 440))
    )
    typed = TypedRate(*(f"{rate} hours per 100 sq ft" for rate in ("3.1", "3.6", "4.4")))
    found = Learned(jobs=3, own=1.06, counts=1.0, catalog_counts=0.9, ratio=1.0337, width=1.0)
    evidence = rate_evidence([item(1, 20, priced("backer", 15, 100))], {"backer": backer})["backer"]
    shown = rate_suggestion(backer, typed, typed, evidence, found, {}, date(2026, 11, 1))
    assert shown
    (words,) = (words for words in shown.words if "×" in words)
    was, ratio, then = re.findall(r"(?:^|× |= )(\d+\.\d+)", words)
    assert round(Decimal(was) * Decimal(ratio), 2) == Decimal(then)


@pytest.mark.parametrize(
    ("rate", "like", "unit", "words"),
    [
        ("0.17634", "15 hours per 100 sq ft", "sq ft", "17.6 hours per 100 sq ft"),
        ("0.0105", "9 hours per 1000 sq ft", "sq ft", "10.5 hours per 1000 sq ft"),
        ("0.881", "0.75 hours each", "each", "0.881 hours each"),
        ("1", "0.75 hours each", "each", "1 hour each"),
        ("0.0071", "150 sq ft per hour", "sq ft", "141 sq ft per hour"),
        ("0.0071", "7 minutes per 10 sq ft", "sq ft", "0.71 hours per 100 sq ft"),
        ("0.0009", "1 minute per 10 sq ft", "sq ft", "0.9 hours per 1000 sq ft"),
        ("1.5", "45 minutes each", "each", "1.5 hours each"),
    ],
)
def test_a_rate_is_worded_like_the_one_before_it(rate: str, like: str, unit: str, words: str) -> None:
    assert rate_in_words(Fraction(rate), like, unit) == words


def test_figures_are_three_and_whole_hours_stay_whole() -> None:
    assert [significant(Fraction(number)) for number in ("1234.4", "12.345", "0.0012345")] == [
        "1234",
        "12.3",
        "0.00123",
    ]


def test_the_correlation_within_jobs_is_that_of_the_analysis_of_variance() -> None:
    # Shrout and Fleiss (1979), table 2 by targets: ICC(1,1) = 0.17
    targets = [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]]
    assert intraclass_correlation(targets) == pytest.approx(0.17, abs=0.005)
    assert intraclass_correlation([[1, 1], [1, 1]]) == 0
    assert intraclass_correlation([[1, 1], [3, 3]]) == 1


def test_the_correlation_is_suggested_from_ten_jobs_on() -> None:
    def finished(jobs: int) -> list[FinishedItem]:
        return [item(job, 10 + job, priced("tile", 15, 100)) for job in range(jobs) for _ in range(3)]

    assert together_suggestion(finished(9), Decimal(30)) is None
    suggestion = together_suggestion(finished(10), Decimal(30))
    assert suggestion is not None
    assert (suggestion.now, suggestion.then) == ("30%", "100%")
