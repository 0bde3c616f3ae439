from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.amounts import UnreadablePrice, format_price, parse_price, round_cents, split_cents

CENTS = st.integers(-10_000_000, 10_000_000).map(lambda cents: Decimal(cents) / 100)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [
        # EN 16931, second published example: 1460.50 at 25 % is 365.125, printed 365.13.
        (Decimal("1460.50") * Decimal("0.25"), "365.13"),
        # 10.20 at 7.25 %: half a cent or more is one cent (SSUTA section 324).
        (Decimal("10.20") * Decimal("0.0725"), "0.74"),
        (Decimal("33.335"), "33.34"),
        (Decimal("-33.335"), "-33.34"),
        (Fraction(1, 3), "0.33"),
        (Fraction(-1, 1000), "0.00"),
        (7, "7.00"),
    ],
)
def test_half_a_cent_goes_away_from_zero(amount: Decimal | Fraction, rounded: str) -> None:
    assert str(round_cents(amount)) == rounded


def test_a_float_is_not_money() -> None:
    with pytest.raises(TypeError, match="never a float"):
        round_cents(0.5)  # type: ignore[arg-type]  # what is tested


@given(st.fractions(min_value=-(10**6), max_value=10**6))
def test_rounding_moves_by_half_a_cent_at_most(amount: Fraction) -> None:
    assert abs(Fraction(round_cents(amount)) - amount) <= Fraction(1, 200)


def test_a_dollar_in_three_gives_the_odd_cent_to_the_first() -> None:
    assert split_cents(Decimal("1.00"), [Fraction(1)] * 3) == [
        Decimal("0.34"),
        Decimal("0.33"),
        Decimal("0.33"),
    ]


def test_the_odd_cent_goes_to_the_part_that_lost_most() -> None:
    # 100 cents by 1:2:3 is 16.67, 33.33, 50: the first lost most.
    assert [str(part) for part in split_cents(Decimal("1.00"), [Fraction(1), Fraction(2), Fraction(3)])] == [
        "0.17",
        "0.33",
        "0.50",
    ]


def test_first_part_takes_all_when_nothing_weighs() -> None:
    assert split_cents(Decimal("5.01"), [Fraction(0)] * 2) == [Decimal("5.01"), Decimal("0.00")]


def test_a_credit_splits_like_its_opposite() -> None:
    weights = [Fraction(1), Fraction(1), Fraction(1)]
    assert split_cents(Decimal("-1.00"), weights) == [-part for part in split_cents(Decimal("1.00"), weights)]


@given(CENTS, st.lists(st.fractions(min_value=0, max_value=1000), min_size=1, max_size=8))
def test_parts_sum_to_the_whole_and_stay_within_a_cent(total: Decimal, weights: list[Fraction]) -> None:
    parts = split_cents(total, weights)
    assert sum(parts) == total
    if sum(weights):
        for part, weight in zip(parts, weights, strict=True):
            assert abs(Fraction(part) - Fraction(total) * weight / sum(weights)) < Fraction(1, 100)


@pytest.mark.parametrize(
    ("total", "weights", "message"),
    [
        ("1.005", [Fraction(1)], "whole number of cents"),
        ("1.00", [], "nothing to split"),
        ("1.00", [Fraction(2), Fraction(-1)], "can't be negative"),
    ],
)
def test_a_split_that_makes_no_sense_is_refused(total: str, weights: list[Fraction], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        split_cents(Decimal(total), weights)


def test_nothing_over_nobody_is_nothing() -> None:
    assert split_cents(Decimal("0.00"), []) == []


@pytest.mark.parametrize(
    ("typed", "price"),
    [
        ("12.5", "12.50"),
        (" $1,234.50 ", "1234.50"),
        ("$ 12", "12.00"),
        (".99", "0.99"),
        ("12.", "12.00"),
        ("0", "0.00"),
        ("10,000,000", "10000000.00"),
        ("1 234.50", "1234.50"),
        ("-0", "0.00"),
    ],
)
def test_a_price_is_read_as_typed(typed: str, price: str) -> None:
    assert str(parse_price(typed)) == price


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Type a price"),
        ("  ", "Type a price"),
        ("12.345", "more than two decimals"),
        ("-5", "can't be negative"),
        ("12,50", "a comma parts thousands"),
        ("1,23,456", "a comma parts thousands"),
        ("NaN", "isn't a price"),
        ("inf", "isn't a price"),
        ("1e9", "isn't a price"),
        ("1.e", "isn't a price"),
        ("1.2.3", "isn't a price"),
        ("$", "isn't a price"),
        (".", "isn't a price"),
        ("twelve", "isn't a price"),
        ("١٢", "isn't a price"),
        ("10,000,000.01", "too high"),
        ("9" * 10_000, "too high"),
    ],
)
def test_what_is_not_a_price_gets_a_plain_sentence(typed: str, message: str) -> None:
    with pytest.raises(UnreadablePrice, match=message) as refusal:
        parse_price(typed)
    assert len(str(refusal.value)) < 150


def test_a_credit_is_read_where_it_is_allowed() -> None:
    assert parse_price("-$5.25", allow_negative=True) == Decimal("-5.25")


@given(CENTS)
def test_a_written_price_reads_back(price: Decimal) -> None:
    assert parse_price(format_price(price), allow_negative=True) == price


def test_a_price_is_written_with_its_currency() -> None:
    assert format_price(Decimal("1234.5")) == "$1,234.50"
    assert format_price(Decimal("-5"), symbol="€") == "-€5.00"
