"""What can't be in one day of one person."""

from decimal import Decimal

from catalog.measures.hours import parse_time_worked
from jobsite.hours.day import DayEntry, day_fault


def kept(typed: str) -> DayEntry:
    worked = parse_time_worked(typed)
    return DayEntry("Taping", worked.hours, worked.spans)


def test_times_that_overlap_are_named() -> None:
    fault = day_fault(parse_time_worked("11-1"), [kept("8-12")], "Tue 24 Nov 2026")
    assert "11:00 AM to 1:00 PM overlaps 8:00 AM to 12:00 PM, which is on Taping already" in fault


def test_times_that_only_touch_are_fine() -> None:
    assert day_fault(parse_time_worked("12-2"), [kept("8-12")], "Tue 24 Nov 2026") == ""


def test_a_day_has_24_hours() -> None:
    assert "25 hours on Tue 24 Nov 2026. A day has 24." in day_fault(
        parse_time_worked("25"), [], "Tue 24 Nov 2026"
    )
    fault = day_fault(parse_time_worked("9"), [DayEntry("Taping", Decimal(16), ())], "Tue 24 Nov 2026")
    assert "25 hours on Tue 24 Nov 2026: 16 are kept of it already" in fault
