"""Money to come by week."""

from datetime import date, timedelta
from decimal import Decimal

from invoicing.receivables.weekly_forecast import LONGEST, ExpectedMoney, weekly_forecast

MONDAY = date(2026, 3, 2)
WEDNESDAY = date(2026, 3, 4)


def expected(on: date, amount: str, is_billed: bool = True) -> ExpectedMoney:
    return ExpectedMoney(on, Decimal(amount), is_billed)


def test_money_is_in_the_week_of_its_day_and_what_is_overdue_in_this_one() -> None:
    money = [
        expected(date(2026, 1, 5), "1.00"),
        expected(MONDAY, "2.00"),
        expected(date(2026, 3, 8), "4.00", is_billed=False),
        expected(date(2026, 3, 9), "8.00"),
        expected(MONDAY + timedelta(days=69), "16.00", is_billed=False),
        expected(MONDAY + timedelta(days=70), "32.00"),
    ]
    forecast = weekly_forecast(money, WEDNESDAY)
    first, second, last = forecast.weeks[0], forecast.weeks[1], forecast.weeks[9]
    assert (first.monday, first.billed, first.unbilled) == (MONDAY, Decimal("3.00"), Decimal("4.00"))
    assert (second.monday, second.amount) == (date(2026, 3, 9), Decimal("8.00"))
    assert (last.monday, last.billed, last.unbilled) == (date(2026, 5, 4), Decimal(0), Decimal("16.00"))
    assert (len(forecast.weeks), forecast.later, forecast.total) == (10, Decimal("32.00"), Decimal("63.00"))


def test_the_longest_bar_is_the_week_with_most_money_and_what_is_unbilled_follows_what_is_billed() -> None:
    money = [expected(MONDAY, "30.00"), expected(MONDAY, "10.00", False), expected(date(2026, 3, 9), "20.00")]
    first, second, *_ = weekly_forecast(money, MONDAY).weeks
    assert first.billed_length + first.unbilled_length == LONGEST - 1  # each is cut to whole units
    assert first.billed_length == 157
    assert second.billed_length == LONGEST // 2
    assert (first.unbilled_x - first.billed_length, second.y - first.y) == (58, 28)


def test_the_forecast_in_words_names_the_weeks_that_have_money() -> None:
    money = [expected(date(2026, 3, 9), "300.00", False), expected(date(2026, 3, 10), "200.00")]
    forecast = weekly_forecast([*money, expected(date(2027, 1, 1), "5.00")], MONDAY)
    assert forecast.in_words() == "Week of Mon 9 Mar 2026: $500.00, of it $200.00 billed. Later: $5.00."
    assert weekly_forecast([], MONDAY).in_words() == ""
