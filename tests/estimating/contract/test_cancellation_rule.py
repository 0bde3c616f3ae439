"""The right to cancel of 16 CFR part 429: where it applies and to which day."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.contract.cancellation_rule import (
    ELSEWHERE,
    HOME,
    OURS,
    cancel_by,
    change_notice,
    estimate_notice,
    is_business_day,
    may_cancel,
    refund_by,
)

FIRM = {"name": "Fennimore Remodeling", "address": ["27 Quarry Road", "Fennimore Falls"]}


@pytest.mark.parametrize(
    ("place", "price", "may"),
    [
        (HOME, "25.00", True),
        (HOME, "24.99", False),
        (ELSEWHERE, "130.00", True),
        (ELSEWHERE, "129.99", False),
        (OURS, "50000.00", False),
    ],
)
def test_the_price_from_which_it_applies_goes_by_the_place(place: str, price: str, may: bool) -> None:
    assert may_cancel(place, Decimal(price)) is may


@pytest.mark.parametrize(
    ("signed_on", "last"),
    [
        ("2026-11-02", "2026-11-05"),  # Monday: Tuesday, Wednesday, Thursday
        ("2026-11-05", "2026-11-09"),  # Thursday: Friday, Saturday, Monday
        ("2026-11-07", "2026-11-12"),  # Saturday: Monday, Tuesday, not Veterans Day, Thursday
        ("2026-11-24", "2026-11-28"),  # Tuesday: Wednesday, not Thanksgiving, Friday, Saturday
        ("2026-06-17", "2026-06-22"),  # Wednesday: Thursday, not Juneteenth, Saturday, Monday
        ("2026-12-23", "2026-12-28"),  # Wednesday: Thursday, not Christmas, Saturday, Monday
    ],
)
def test_the_last_day_is_the_third_business_day_after_the_signing(signed_on: str, last: str) -> None:
    assert cancel_by(date.fromisoformat(signed_on)) == date.fromisoformat(last)


def test_a_holiday_on_a_saturday_leaves_out_the_friday_on_which_it_is_observed_too() -> None:
    """4 July 2026 is a Saturday; with the Friday before it the last day comes later, which is never wrong."""
    assert cancel_by(date(2026, 7, 1)) == date(2026, 7, 7)


@pytest.mark.parametrize(
    "holiday",
    [
        "2026-01-01",
        "2026-01-19",
        "2026-02-16",
        "2026-05-25",
        "2026-07-04",
        "2026-09-07",
        "2026-10-12",
        "2026-11-11",
        "2026-11-26",
        "2026-12-25",
    ],
)
def test_the_ten_holidays_that_the_rule_names_are_no_business_days(holiday: str) -> None:
    assert not is_business_day(date.fromisoformat(holiday))


@given(st.dates(date(2021, 1, 1), date(2060, 12, 31)))
def test_between_the_signing_and_the_last_day_lie_three_business_days(signed_on: date) -> None:
    last = cancel_by(signed_on)
    between = [signed_on + timedelta(days=days) for days in range(1, (last - signed_on).days + 1)]
    assert sum(map(is_business_day, between)) == 3
    assert is_business_day(last)


def test_payments_go_back_within_ten_business_days() -> None:
    assert refund_by(date(2026, 11, 2)) == date(2026, 11, 14)  # Veterans Day lies between


def test_the_notice_names_the_seller_and_his_address() -> None:
    notice = estimate_notice(HOME, FIRM, "196.80", [])
    assert notice["seller"] == "Fennimore Remodeling"
    assert notice["address"] == "27 Quarry Road, Fennimore Falls"
    assert "third business day" in notice["statement"]


def test_options_count_for_the_price_because_they_may_be_taken() -> None:
    assert estimate_notice(ELSEWHERE, FIRM, "100.00", [{"price": "30.00"}])
    assert not estimate_notice(ELSEWHERE, FIRM, "100.00", [{"price": "29.99"}])


def test_what_is_signed_at_the_firms_own_place_carries_no_notice() -> None:
    assert estimate_notice(OURS, FIRM, "196.80", []) == {}


@pytest.mark.parametrize(
    ("added", "before", "may"),
    [
        ("25.00", "0.00", True),
        ("24.99", "0.00", False),
        ("5.00", "20.00", True),  # a sale under several contracts, 429.0(a)
        ("25.00", "-20.00", True),  # what was taken out before doesn't lower its price
        ("0.00", "5000.00", False),
        ("-5.00", "5000.00", False),
    ],
)
def test_a_change_can_be_canceled_where_it_adds_and_all_that_is_signed_reaches_the_price(
    added: str, before: str, may: bool
) -> None:
    assert bool(change_notice(HOME, FIRM, Decimal(added), Decimal(before))) is may
