"""The picture of money to come by week: a bar for each week, in whole units of the drawing, and in words."""

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
class Coming:
    """Money expected on a day, on an invoice or not billed yet."""

    on: date
    amount: Decimal
    is_billed: bool


@dataclass(frozen=True)
class Week:
    """One bar: what is billed, then what isn't yet."""

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
class Weeks:
    """The weeks from this one on. What was expected before is in the first; `later` is beyond the last."""

    weeks: tuple[Week, ...]
    later: Decimal
    width: int = WIDTH
    height: int = WEEKS * PITCH + 8
    left: int = LEFT
    bar: int = BAR

    @property
    def total(self) -> Decimal:
        return sum((week.amount for week in self.weeks), self.later)

    def in_words(self) -> str:
        """ "Week of Mon 23 Nov 2026: $500.00, of it $200.00 billed." """
        said = [
            f"Week of {day_in_words(week.monday)}: {format_price(week.amount)}, of it "
            f"{format_price(week.billed)} billed."
            for week in self.weeks
            if week.amount
        ]
        if self.later:
            said.append(f"Later: {format_price(self.later)}.")
        return " ".join(said)


def draw_weeks(coming: Iterable[Coming], today: date) -> Weeks:
    """The bars of ten weeks; all are in proportion to the longest."""
    first = today - timedelta(days=today.weekday())
    billed, unbilled, later = [NO_MONEY] * WEEKS, [NO_MONEY] * WEEKS, NO_MONEY
    for each in coming:
        place = max((each.on - first).days // 7, 0)
        if place >= WEEKS:
            later += each.amount
        elif each.is_billed:
            billed[place] += each.amount
        else:
            unbilled[place] += each.amount
    most = max(one + another for one, another in zip(billed, unbilled, strict=True))
    weeks = tuple(
        Week(
            first + timedelta(days=7 * place),
            billed[place],
            unbilled[place],
            4 + PITCH * place,
            _length(billed[place], most),
            _length(unbilled[place], most),
        )
        for place in range(WEEKS)
    )
    return Weeks(weeks, later)


def _length(amount: Decimal, most: Decimal) -> int:
    return int(Fraction(amount) / Fraction(most) * LONGEST) if most else 0
