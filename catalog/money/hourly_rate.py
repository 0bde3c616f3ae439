"""The price of an hour, worked out from a year: what it must bring in over the hours that can be billed.

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
    """A figure of the year can't be used; `field` names it and the message is a plain sentence."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True)
class Year:
    """What one year must pay for, in dollars, and the hours that clients pay for.

    Raises UnusableYear for an amount below zero, for hours that aren't above zero and within a year, and
    for a profit below zero or of 100 % or more of the price.
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
    """Dollars an hour. The four parts always sum to the selling rate."""

    break_even: Decimal
    selling: Decimal
    pay: Decimal
    burden: Decimal
    overhead: Decimal
    profit: Decimal
    warnings: tuple[str, ...]


def rate_from_year(year: Year) -> HourlyRate:
    """Both rates, each rounded half-up to the cent once from exact figures, and what is inside an hour.

    The selling rate is split over pay, burden, overhead and profit by largest remainder.
    """
    costs = [Fraction(year.own_pay), Fraction(year.burden), Fraction(year.overhead)]
    break_even = sum(costs) / Fraction(year.billable_hours)
    selling = round_cents(year.profit.on(break_even))
    profit = sum(costs) * year.profit.share
    pay, burden, overhead, kept = split_cents(selling, [*costs, profit])
    return HourlyRate(round_cents(break_even), selling, pay, burden, overhead, kept, _warnings(year))


def _warnings(year: Year) -> tuple[str, ...]:
    found = []
    if not year.own_pay:
        found.append(
            "Profit is your only pay. Put what you want to earn in a year under own pay; "
            "profit is what the firm keeps after that."
        )
    elif not year.burden:
        found.append("Nothing is set aside for self-employment tax and insurance: they come out of your pay.")
    if not year.overhead:
        found.append("No overhead: vehicle, tools, phone, insurance and quoting cost something each year.")
    if not year.profit_percent:
        found.append("No profit: at this rate the firm only breaks even.")
    if year.billable_hours > MOST_HOURS_BILLED:
        found.append(
            f"More than {MOST_HOURS_BILLED:,} billed hours is stretching it for one person, since quoting, "
            "driving, shopping and paperwork aren't paid; about 1,600 is usual."
        )
    return tuple(found)
