"""What a job made."""

from decimal import Decimal
from fractions import Fraction

from estimating.contract.work_lines import ContractWorkLine
from jobsite.hours.progress import job_hours
from jobsite.outcome.job import JobOutcome, Result, job_outcome
from jobsite.receipts.costs import Bought
from tests.jobsite.contract_work import work_line

SOLD = Result(Decimal("2000.00"), Fraction(16), Decimal("1120.00"), Decimal("300.00"))


def outcome(*lines: ContractWorkLine, closed: bool = True, **taken: float) -> JobOutcome:
    by_line = {(1, key): Fraction(str(hours)) for key, hours in taken.items()}
    hours = job_hours(lines, by_line, {}, [], [("board", "Drywall")], Fraction(0), closed)
    bought = Bought(Decimal("300.00"), Decimal("350.00"), closed)
    return job_outcome(SOLD, SOLD, hours, bought, Decimal("70.00"), Decimal("84.00"), Fraction(3))


def test_a_closed_job_made_its_price_less_its_hours_and_what_was_bought() -> None:
    """12 h of taping and 8 of hanging at $70.00 are $1,400.00; $2,000.00 less that and $350.00 is $250.00."""
    made = outcome(work_line("hanging", 10, True), work_line("taping", 6, True), hanging=8, taping=12)
    assert (made.was.labor, made.was.bought, made.was.profit) == (
        Decimal("1400.00"),
        Decimal("350.00"),
        Decimal("250.00"),
    )
    assert (made.sold.margin, made.was.margin) == (Fraction(29, 100), Fraction(1, 8))
    assert (made.sold.for_an_hour, made.was.for_an_hour) == (Decimal("106.25"), Decimal("82.50"))


def test_misses_are_told_both_ways_and_in_dollars() -> None:
    made = outcome(work_line("hanging", 10, True), work_line("taping", 6, True), hanging=8, taping=12)
    assert [(miss.title, miss.in_words()) for miss in (*made.over, *made.under)] == [
        ("taping", "12 h of 6, 6 more: $420.00"),
        ("hanging", "8 h of 10, 2 fewer: $140.00"),
    ]


def test_supply_runs_and_return_visits_are_a_miss_like_any_work() -> None:
    travel = [("travel", "Supply runs and driving", Fraction(5, 2))]
    hours = job_hours([], {}, {}, travel, [], Fraction(8), True)
    bought = Bought(Decimal(0), Decimal(0), True)
    made = job_outcome(SOLD, SOLD, hours, bought, Decimal(70), Decimal(84), Fraction(0))
    (miss,) = made.under
    assert (miss.title, miss.in_words()) == (
        "Supply runs and return visits",
        "2.5 h of 8, 5.5 fewer: $385.00",
    )


def test_while_it_runs_the_rest_is_taken_as_priced() -> None:
    made = outcome(work_line("hanging", 10), work_line("taping", 6), closed=False, taping=9)
    assert made.was.hours == 19
    assert [miss.title for miss in made.over] == ["taping"]
    assert made.under == ()


def test_work_that_nobody_signed_for_is_priced_as_a_change_would_have_been() -> None:
    assert (outcome().extra_hours, outcome().extra_price) == (3, Decimal("252.00"))


def test_a_job_without_hours_or_price_divides_by_nothing() -> None:
    nothing = Result(Decimal(0), Fraction(0), Decimal(0), Decimal(0))
    assert (nothing.margin, nothing.for_an_hour) == (0, None)
