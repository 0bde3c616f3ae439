"""Reads hours as people type them: a number, a fraction, by the clock, or the times of a day.

"3.5", "3 1/2", "3-1/2", "3:30", "3h", "3 h 30 min", "90 min"; "8-12, 12:30-4", "7:30 to 4pm".
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

DAY_MINUTES = 24 * 60
_EARLIEST = 6  # typed alone, 1 to 5 are in the afternoon (common practice: work begins at 6 or later)
_NUMBER = re.compile(r"\d{0,5}(\.\d{0,4})?", re.ASCII)
_CLOCK = re.compile(r"(?P<hours>\d{1,5}):(?P<minutes>\d{1,2})", re.ASCII)
_MIXED = re.compile(r"(?:(?P<whole>\d{1,5})[\s-]+)?(?P<over>\d{1,3})/(?P<under>\d{1,3})", re.ASCII)
_UNITS = re.compile(
    r"(?:(?P<hours>\d{1,5}(?:\.\d{1,2})?)\s*(?:h|hr|hrs|hour|hours))?"
    r"(?:\s*(?P<minutes>\d{1,5})\s*(?:m|min|mins|minutes?))?",
    re.ASCII,
)
_TIME = r"(\d{1,2})(?::(\d{2}))?\s*(am|pm|a|p)?"
_SPAN = re.compile(rf"{_TIME}\s*(?:-|–|to|until)\s*{_TIME}", re.ASCII)
_BETWEEN_SPANS = re.compile(r"\s*(?:[,;+&]|\band\b)\s*")


class UnreadableHours(ValueError):
    """What was typed can't be read as hours; the message says in a plain sentence what would be right."""


@dataclass(frozen=True, order=True)
class Span:
    """From one time of a day to a later one, in minutes after midnight; 1440 is the midnight at its end."""

    start: int
    end: int

    @property
    def minutes(self) -> int:
        return self.end - self.start

    def overlaps(self, other: "Span") -> bool:
        """Return whether a minute is in both."""
        return self.start < other.end and other.start < self.end

    def __str__(self) -> str:
        return f"{_clock(self.start)}-{_clock(self.end)}"

    def in_words(self) -> str:
        """Return the times as people say them: "8:00 AM to 12:30 PM"."""
        return f"{time_in_words(self.start)} to {time_in_words(self.end)}"


@dataclass(frozen=True)
class TimeWorked:
    """Hours to the hundredth, and the times of the day where they were typed."""

    hours: Decimal
    spans: tuple[Span, ...] = ()

    def in_words(self) -> str:
        """Return what was read: "8:00 AM to 12:00 PM and 12:30 PM to 4:00 PM: 7.5 hours"."""
        hours = f"{self.hours.normalize():f} hour{'' if self.hours == 1 else 's'}"
        times = " and ".join(span.in_words() for span in self.spans)
        return f"{times}: {hours}" if times else hours


def read_hours(text: str) -> Fraction | None:
    """Return hours that are typed as a fraction, by the clock or with units; None where it is none of them.

    Raises UnreadableHours for more than 59 minutes by the clock, and for a fraction of nothing.
    """
    typed = text.strip().lower()
    if clock := _CLOCK.fullmatch(typed):
        if int(clock["minutes"]) > 59:
            raise UnreadableHours(f"“{typed[:40]}” has more than 59 minutes. Type it such as 1:15 or 1.25.")
        return int(clock["hours"]) + Fraction(int(clock["minutes"]), 60)
    if mixed := _MIXED.fullmatch(typed):
        if not int(mixed["under"]):
            raise UnreadableHours(f"“{typed[:40]}” isn't a fraction. Type it such as 3 1/2.")
        return int(mixed["whole"] or 0) + Fraction(int(mixed["over"]), int(mixed["under"]))
    units = _UNITS.fullmatch(typed)
    if units and (units["hours"] or units["minutes"]):
        return Fraction(units["hours"] or 0) + Fraction(int(units["minutes"] or 0), 60)
    return None


def read_spans(text: str) -> tuple[Span, ...]:
    """Return the times of a day that were typed; none where the text isn't of times.

    A time without am or pm, and without a zero in front, is the next one that fits: 1 to 5 are in the
    afternoon, a later part of the day begins after the one before it, and each ends after it begins. Raises
    UnreadableHours.
    """
    parts = [part for part in _BETWEEN_SPANS.split(text.strip().lower()) if part]
    matches = [_SPAN.fullmatch(part) for part in parts]
    if not any(matches):
        return ()
    spans: list[Span] = []
    for part, match in zip(parts, matches, strict=True):
        if match is None:
            raise UnreadableHours(f"“{part[:40]}” isn't from one time to another. Type it such as 8-12.")
        after = spans[-1].end if spans else 0
        start = _minutes(part, match[1], match[2], match[3])
        if (
            not (match[3] or match[1].startswith("0"))
            and (start < _EARLIEST * 60 or start < after)
            and start < 12 * 60
        ):
            start += 12 * 60
        end = _minutes(part, match[4], match[5], match[6])
        if not (match[6] or match[4].startswith("0")) and end <= start and end < 12 * 60:
            end += 12 * 60
        if match[6] and end == 0:
            end = DAY_MINUTES  # 12am, at its end
        if end <= start:
            raise UnreadableHours(
                f"“{part[:40]}” ends before it begins. What went past midnight goes under each day."
            )
        if start < after:
            raise UnreadableHours(f"“{part[:40]}” begins before the part in front of it ends.")
        spans.append(Span(start, end))
    return tuple(spans)


def parse_time_worked(text: str) -> TimeWorked:
    """Read hours or times of a day. Raises UnreadableHours."""
    if spans := read_spans(text):
        return TimeWorked(round_to_hundredth(Fraction(sum(span.minutes for span in spans), 60)), spans)
    hours = read_hours(text)
    if hours is None:
        typed = text.strip()
        if not typed.strip(".-") or not _NUMBER.fullmatch(typed.removeprefix("-")):
            raise UnreadableHours(
                f"“{typed[:40]}” isn't hours. Type them such as 3.5, 3 1/2, 3:30 or 8-12, 12:30-4."
            )
        hours = Fraction(Decimal(typed))
    if hours <= 0:
        raise UnreadableHours("Type more than nothing, such as 0.5.")
    return TimeWorked(round_to_hundredth(hours))


def round_to_hundredth(hours: Fraction) -> Decimal:
    """Round hours half-up to a hundredth, as they are kept and billed."""
    return (Decimal(hours.numerator) / hours.denominator).quantize(Decimal("0.01"), ROUND_HALF_UP)


def spans_as_text(spans: Iterable[Span]) -> str:
    """Return times as they are kept: "08:00-12:00 12:30-16:00"."""
    return " ".join(map(str, spans))


def spans_from_text(text: str) -> tuple[Span, ...]:
    """Return times that were kept."""
    return tuple(
        Span(*(int(clock[:2]) * 60 + int(clock[3:]) for clock in span.split("-"))) for span in text.split()
    )


def time_in_words(minutes: int) -> str:
    """Return a time of day as people say it: "12:30 PM", "midnight" at a day's end."""
    if minutes == DAY_MINUTES:
        return "midnight"
    hour, minute = divmod(minutes, 60)
    return f"{hour % 12 or 12}:{minute:02d} {'AM' if hour < 12 else 'PM'}"


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def _minutes(part: str, hours: str, minutes: str | None, half: str | None) -> int:
    hour, minute = int(hours), int(minutes or 0)
    if minute > 59 or hour > 24 or (hour == 24 and minute) or (half and not 1 <= hour <= 12):
        raise UnreadableHours(f"“{part[:40]}” isn't from one time of a day to another. Type it such as 8-12.")
    if half:
        hour = hour % 12 + (12 if half[0] == "p" else 0)
    return hour * 60 + minute
