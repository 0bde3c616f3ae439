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
    movement(12, "Cabinets here", "7563.35"),
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
