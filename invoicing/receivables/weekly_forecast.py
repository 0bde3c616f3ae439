"""The forecast of money to come by week: a bar for each week, in units of the drawing, and in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words
from invoicing.milestones.plan import NO_MONEY

WEEKS = 10
WIDTH, PITCH, BAR = 360, 28, 16
LEFT, LONGEST = 58, 210  # where bars begin, and the length of the longest


@dataclass(frozen=True)
class ExpectedMoney:
    """Money expected on a day, on an invoice or not billed yet."""

    on: date
    amount: Decimal
    is_billed: bool


@dataclass(frozen=True)
class WeekBar:
    """The bar of a week: what is billed, then what isn't yet."""

    monday: date
    billed: Decimal
    unbilled: Decimal
    y: int
    billed_length: int
    unbilled_length: int

    @property
    def amount(self) -> Decimal:
        return self.billed + self.unbilled

    @property
    def unbilled_x(self) -> int:
        return LEFT + self.billed_length

    @property
    def text_y(self) -> int:
        return self.y + BAR - 3


@dataclass(frozen=True)
class WeeklyForecast:
    """The bars of ten weeks from this one on; `later` is what is expected after the last."""

    weeks: tuple[WeekBar, ...]
    later: Decimal
    width: int = WIDTH
    height: int = WEEKS * PITCH + 8
    left: int = LEFT
    bar: int = BAR

    @property
    def total(self) -> Decimal:
        return sum((week.amount for week in self.weeks), self.later)

    def in_words(self) -> str:
        """Return a sentence a week: "Week of Mon 23 Nov 2026: $500.00, of it $200.00 billed." """
        sentences = [
            f"Week of {day_in_words(week.monday)}: {format_price(week.amount)}, of it "
            f"{format_price(week.billed)} billed."
            for week in self.weeks
            if week.amount
        ]
        if self.later:
            sentences.append(f"Later: {format_price(self.later)}.")
        return " ".join(sentences)


def weekly_forecast(expected: Iterable[ExpectedMoney], today: date) -> WeeklyForecast:
    """Return the bars of ten weeks, in proportion to the highest week.

    What was expected before this week counts in this week.
    """
    first = today - timedelta(days=today.weekday())
    billed, unbilled, later = [NO_MONEY] * WEEKS, [NO_MONEY] * WEEKS, NO_MONEY
    for money in expected:
        week = max((money.on - first).days // 7, 0)
        if week >= WEEKS:
            later += money.amount
        elif money.is_billed:
            billed[week] += money.amount
        else:
            unbilled[week] += money.amount
    most = max(billed[week] + unbilled[week] for week in range(WEEKS))
    bars = tuple(
        WeekBar(
            first + timedelta(days=7 * week),
            billed[week],
            unbilled[week],
            4 + PITCH * week,
            _length(billed[week], most),
            _length(unbilled[week], most),
        )
        for week in range(WEEKS)
    )
    return WeeklyForecast(bars, later)


def _length(amount: Decimal, most: Decimal) -> int:
    return int(Fraction(amount) / Fraction(most) * LONGEST) if most else 0
