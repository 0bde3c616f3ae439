"""Days and clock times as pages, mails and calendars say them."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal

from estimating.plain_text import clock_in_words, day_in_words

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def short_day(day: date) -> str:
    """Return a day without its year: "Wed 13 Jan"."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def day_near(day: date, today: date) -> str:
    """Return a day without its year where that is plain: within half a year of today."""
    return short_day(day) if abs((day - today).days) < 180 else day_in_words(day)


def clock(at: datetime | time) -> str:
    """Return a clock time: "8:00 AM", "1:30 PM"."""
    return clock_in_words(at)


def moment(at: datetime, seen_from: date) -> str:
    """Return a time by clock as it is said on a day.

    "3:00 PM" on that day, "Thu 8:00 AM" within the week, else "Thu 21 Jan 8:00 AM".
    """
    apart = (at.date() - seen_from).days
    if apart == 0:
        return clock(at)
    day = _DAYS[at.weekday()] if 0 < apart < 7 else short_day(at.date())
    return f"{day} {clock(at)}"


def hours(count: Decimal) -> str:
    """Return hours with as many decimals as they need, two at most: "7 h", "4.25 h"."""
    return f"{count.quantize(Decimal('0.01')).normalize():f} h"


def days(count: int) -> str:
    """Return working days in words: "1 working day", "25 working days"."""
    return f"{count} working day{'' if count == 1 else 's'}"


def next_day(day: date) -> date:
    """Return the day after."""
    return day + timedelta(days=1)
