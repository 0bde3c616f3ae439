"""The cash line of a plan: the demo kitchen's, invented, with sums that tie to its prices."""

from datetime import date
from decimal import Decimal

from invoicing.cash_flow.balance import Move, cash_line, days_below_zero, lowest


def move(day: int, says: str, amount: str) -> Move:
    return Move(date(2026, 3, day), says, Decimal(amount))


KITCHEN = [
    move(2, "Signed", "2521.12"),
    move(3, "Half of the cabinets", "-3610.35"),
    move(9, "Dumpster", "-465.00"),
    move(9, "Protection with tax", "-127.80"),
    move(12, "Half of the cabinets", "-3610.35"),
    move(12, "Cabinets here", "7563.35"),
]


def test_the_kitchen_is_below_zero_from_the_cabinet_order_to_the_second_draw() -> None:
    points = cash_line(KITCHEN)
    assert [str(point.cash) for point in points][1::2] == ["-1089.23", "-1682.03", "2270.97"]
    assert lowest(points) == Decimal("-5292.38")
    assert days_below_zero(points, date(2026, 3, 31)) == 9


def test_a_plan_that_stays_above_zero_lends_nothing() -> None:
    points = cash_line(KITCHEN[:1])
    assert (lowest(points), days_below_zero(points, date(2026, 3, 31)), lowest([])) == (0, 0, 0)


def test_moves_are_taken_by_date() -> None:
    assert cash_line(reversed(KITCHEN[:2]))[-1].cash == Decimal("-1089.23")
