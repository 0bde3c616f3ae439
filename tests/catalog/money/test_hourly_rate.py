from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.hourly_rate import HourlyRate, UnusableYear, Year, rate_from_year


def make_year(**kwargs: str) -> Year:
    figures = {
        "own_pay": "52000",
        "burden": "13000",
        "overhead": "26000",
        "profit_percent": "12.5",
        "billable_hours": "1300",
        **kwargs,
    }
    return Year(**{name: Decimal(figure) for name, figure in figures.items()})


def test_91_000_over_1300_hours_breaks_even_at_70_and_sells_at_80_for_an_eighth_of_profit() -> None:
    rate = rate_from_year(make_year(own_pay="65000", burden="0"))
    assert (rate.break_even, rate.selling) == (Decimal("70.00"), Decimal("80.00"))
    assert (rate.pay, rate.burden, rate.overhead, rate.profit) == (
        Decimal("50.00"),
        Decimal("0.00"),
        Decimal("20.00"),
        Decimal("10.00"),
    )


def test_burden_is_shown_apart_from_pay() -> None:
    assert rate_from_year(make_year()) == HourlyRate(
        break_even=Decimal("70.00"),
        selling=Decimal("80.00"),
        pay=Decimal("40.00"),
        burden=Decimal("10.00"),
        overhead=Decimal("20.00"),
        profit=Decimal("10.00"),
        warnings=(),
    )


def test_half_a_cent_of_the_rate_goes_up() -> None:
    rate = rate_from_year(
        make_year(own_pay="90.05", burden="0", overhead="0", profit_percent="0", billable_hours="10")
    )
    assert (rate.break_even, rate.selling) == (Decimal("9.01"), Decimal("9.01"))


MONEY = st.decimals(min_value=0, max_value=500_000, places=2)


@given(
    MONEY,
    MONEY,
    MONEY,
    st.decimals(min_value=0, max_value=90, places=2),
    st.decimals(min_value=1, max_value=4000, places=1),
)
def test_what_is_inside_an_hour_sums_to_its_price(
    pay: Decimal, burden: Decimal, overhead: Decimal, profit: Decimal, hours: Decimal
) -> None:
    rate = rate_from_year(Year(pay, burden, overhead, profit, hours))
    assert rate.pay + rate.burden + rate.overhead + rate.profit == rate.selling >= rate.break_even


@pytest.mark.parametrize(
    ("figures", "message"),
    [
        ({"own_pay": "0"}, "Profit is your only pay"),
        ({"burden": "0"}, "self-employment tax"),
        ({"overhead": "0"}, "No overhead"),
        ({"profit_percent": "0"}, "only breaks even"),
        ({"billable_hours": "1700.5"}, "stretching it"),
    ],
)
def test_a_year_that_will_not_feed_its_owner_is_warned_about(figures: dict[str, str], message: str) -> None:
    warnings = rate_from_year(make_year(**figures)).warnings
    assert len(warnings) == 1
    assert message in warnings[0]


def test_1700_hours_pass_without_a_warning() -> None:
    assert rate_from_year(make_year(billable_hours="1700")).warnings == ()


@pytest.mark.parametrize(
    ("field", "figure", "message"),
    [
        ("own_pay", "-1", "can't be below zero"),
        ("burden", "-1", "can't be below zero"),
        ("overhead", "-0.01", "can't be below zero"),
        ("billable_hours", "0", "hours that you can bill"),
        ("billable_hours", "-5", "hours that you can bill"),
        ("billable_hours", "9000", "hours that you can bill"),
        ("profit_percent", "-1", "can't be below zero"),
        ("profit_percent", "100", "below 100%"),
    ],
)
def test_a_figure_that_makes_no_sense_is_refused_at_its_field(field: str, figure: str, message: str) -> None:
    with pytest.raises(UnusableYear, match=message) as refusal:
        make_year(**{field: figure})
    assert refusal.value.field == field


def test_no_more_hours_are_billed_than_a_leap_year_has() -> None:
    assert rate_from_year(make_year(billable_hours="8784")).selling > 0
    with pytest.raises(UnusableYear):
        make_year(billable_hours="8785")
