"""The cash line of a plan: the demo kitchen's, invented, with sums that tie to its prices."""

from datetime import date
from decimal import Decimal

from invoicing.cash_flow.balance import CashMovement, cash_line, days_below_zero, lowest_cash


def movement(day: int, label: str, amount: str) -> CashMovement:
    return CashMovement(date(2026, 3, day), label, Decimal(amount))


KITCHEN = [
    movement(2, "Signed", "2521.12"),
    movement(3, "Half of the cabinets", "-3610.35"),
    movement(9, "Dumpster", "-465.00"),
    movement(9, "Protection with tax", "-127.80"),
    movement(12, "Half of the cabinets", "-3610.35"),
    movement(12, "Cabinets delivered", "7563.35"),
]


def test_the_kitchen_is_below_zero_from_the_cabinet_order_to_the_second_draw() -> None:
    points = cash_line(KITCHEN)
    assert [str(point.cash) for point in points][1::2] == ["-1089.23", "-1682.03", "2270.97"]
    assert lowest_cash(points) == Decimal("-5292.38")
    assert days_below_zero(points, date(2026, 3, 31)) == 9


def test_a_plan_that_stays_above_zero_lends_nothing() -> None:
    points = cash_line(KITCHEN[:1])
    assert (lowest_cash(points), days_below_zero(points, date(2026, 3, 31)), lowest_cash([])) == (
        Decimal(0),
        0,
        Decimal(0),
    )


def test_moves_are_taken_by_date() -> None:
    assert cash_line(reversed(KITCHEN[:2]))[-1].cash == Decimal("-1089.23")


def test_movements_of_an_earlier_day_come_first() -> None:
    points = cash_line([movement(9, "Later", "-5.00"), movement(2, "Earlier", "3.00")])
    assert [str(point.cash) for point in points] == ["3.00", "-2.00"]


def test_cash_of_nothing_is_not_below_zero() -> None:
    points = cash_line([movement(2, "Paid out", "-5.00"), movement(4, "Came in", "5.00")])
    assert days_below_zero(points, date(2026, 3, 31)) == 2
    cent = cash_line([movement(2, "Paid out", "-0.01")])
    assert days_below_zero(cent, date(2026, 3, 4)) == 2
