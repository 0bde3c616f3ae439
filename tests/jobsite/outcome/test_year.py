"""A year against the one that the hourly rate comes from, and what its quotes became."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from catalog.money.hourly_rate import Year
from jobsite.outcome.year import Quote, earned_parts, quotes_of, share_of_year

PLANNED = Year(Decimal(60_000), Decimal(10_000), Decimal(20_000), Decimal(10), Decimal(1300))


def earned(billed: int, bought: int) -> list[Decimal]:
    return [part.earned for part in earned_parts(PLANNED, Decimal(billed), Decimal(bought))]


def test_overhead_is_paid_first_then_the_owner_and_the_rest_is_profit() -> None:
    assert [part.wanted for part in earned_parts(PLANNED, Decimal(0), Decimal(0))] == [20_000, 70_000, 10_000]
    assert earned(40_000, 25_000) == [15_000, 0, 0]
    assert earned(80_000, 20_000) == [20_000, 40_000, 0]
    assert earned(130_000, 30_000) == [20_000, 70_000, 10_000]


def test_a_year_that_only_bought_is_at_a_loss() -> None:
    assert earned(0, 500) == [0, 0, -500]


def test_the_share_of_a_year_that_is_gone() -> None:
    assert share_of_year(date(2026, 1, 1), 2026) == Fraction(1, 365)
    assert share_of_year(date(2026, 12, 31), 2026) == share_of_year(date(2027, 5, 1), 2026) == 1
    assert share_of_year(date(2026, 5, 1), 2027) == 0


def quote(total: int, days: int, *, signed: bool = False, declined: bool = False, hours: str = "0") -> Quote:
    asked = date(2026, 3, 2)
    return Quote(Decimal(total), asked, asked + timedelta(days=days), signed, declined, Fraction(hours))


def test_quotes_are_counted_by_what_became_of_them_and_by_size() -> None:
    quotes = quotes_of(
        [
            quote(800, 1, signed=True),
            quote(2_499, 3),
            quote(2_500, 4, declined=True),
            quote(25_000, 20, signed=True, declined=True),
        ]
    )
    assert (quotes.made, quotes.signed, quotes.declined, quotes.waiting) == (4, 2, 1, 1)
    assert (quotes.usual_days, quotes.longest_days) == (4, 20)
    assert [(size.label, size.made, size.signed) for size in quotes.by_size] == [
        ("Under $2,500", 2, 1),
        ("$2,500 to $10,000", 1, 0),
        ("Over $25,000", 1, 1),
    ]


def test_hours_of_quoting_are_told_of_the_quotes_that_have_any() -> None:
    found = quotes_of([quote(800, 1, hours="1.5"), quote(800, 1), quote(800, 1, hours="4.5")])
    assert (found.hours, found.timed, found.usual_hours) == (6, 2, 3)
    assert quotes_of([quote(800, 1)]).usual_hours is None


def test_a_year_without_quotes_says_so() -> None:
    assert quotes_of([]).usual_days is None
