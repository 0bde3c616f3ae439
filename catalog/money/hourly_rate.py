"""The price of an hour: what a year must bring in, divided by the hours that can be billed in it.

break-even = (own pay + burden + overhead) / billable hours; selling rate = break-even / (1 - margin).
Own pay and its burden are costs; profit is what the firm keeps after they are paid.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents, split_cents
from catalog.money.markup import Markup, UnreadableMarkup

# A working owner bills about 1,600 hours a year; peers call 1,700 "stretching it" ("Billable Hours", a
# thread of a trade forum; "The owner-operator secret sauce", a craftsmen's magazine).
MOST_HOURS_BILLED = 1700
_HOURS_IN_A_YEAR = 8784


class UnusableYear(ValueError):
    """An amount of the year can't be used; `field` names it and the message is a plain sentence."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Year:
    """What one year must pay for, in dollars, and the hours that clients pay for.

    Raises UnusableYear for an amount below zero, for hours that aren't above zero and within a year, and
    for a profit below zero, or of 100 % of the price or more.
    """

    own_pay: Decimal
    burden: Decimal  # self-employment tax and insurance on the own pay
    overhead: Decimal  # vehicle, tools, phone, insurance of the business, hours that nobody pays for
    profit_percent: Decimal  # margin: percent of the price
    billable_hours: Decimal

    def __post_init__(self) -> None:
        for field, label in (("own_pay", "Own pay"), ("burden", "Burden"), ("overhead", "Overhead")):
            if getattr(self, field) < 0:
                raise UnusableYear(field, f"{label} can't be below zero.")
        if not 0 < self.billable_hours <= _HOURS_IN_A_YEAR:
            raise UnusableYear("billable_hours", "Type the hours that you can bill in a year, such as 1300.")
        if self.profit_percent < 0:
            raise UnusableYear("profit_percent", "Profit can't be below zero: type 0 to break even.")
        try:
            Markup(self.profit_percent, "margin")
        except UnreadableMarkup as unreadable:
            raise UnusableYear("profit_percent", str(unreadable)) from unreadable

    @property
    def profit(self) -> Markup:
        return Markup(self.profit_percent, "margin")


@dataclass(frozen=True)
class HourlyRate:
    """Two rates in dollars an hour, and the four parts that always sum to the selling rate."""

    break_even: Decimal
    selling: Decimal
    pay: Decimal
    burden: Decimal
    overhead: Decimal
    profit: Decimal
    warnings: tuple[str, ...]


def rate_from_year(year: Year) -> HourlyRate:
    """Return the break-even rate, the selling rate and its parts, with warnings about unusual amounts.

    Each rate is rounded half-up to the cent once, from exact numbers. The selling rate is split over pay,
    burden, overhead and profit by largest remainder.
    """
    costs = [Fraction(year.own_pay), Fraction(year.burden), Fraction(year.overhead)]
    total = sum(costs, Fraction(0))
    break_even = total / Fraction(year.billable_hours)
    selling = round_cents(year.profit.on(break_even))
    weights = [*costs, total * year.profit.share]
    pay, burden, overhead, profit = split_cents(selling, weights)
    return HourlyRate(round_cents(break_even), selling, pay, burden, overhead, profit, _warnings(year))


def _warnings(year: Year) -> tuple[str, ...]:
    """Return a sentence for each amount that is unusual for a one-person firm."""
    warnings = []
    if not year.own_pay:
        warnings.append(
            "Profit is your only pay. Put what you want to earn in a year under own pay; "
            "profit is what the firm keeps after that."
        )
    elif not year.burden:
        warnings.append(
            "Nothing is set aside for self-employment tax and insurance: they come out of your pay."
        )
    if not year.overhead:
        warnings.append("No overhead: vehicle, tools, phone, insurance and quoting cost something each year.")
    if not year.profit_percent:
        warnings.append("No profit: at this rate the firm only breaks even.")
    if year.billable_hours > MOST_HOURS_BILLED:
        warnings.append(
            f"More than {MOST_HOURS_BILLED:,} billed hours is stretching it for one person, since quoting, "
            "driving, shopping and paperwork aren't paid; about 1,600 is usual."
        )
    return tuple(warnings)
