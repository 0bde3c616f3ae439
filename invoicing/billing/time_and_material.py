"""The price of a change that is billed by hours and receipts, up to its limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from invoicing.milestones.plan import NO_MONEY, sum_money


@dataclass(frozen=True)
class TimeAndMaterialTerms:
    """What the signed change says: dollars an hour, markup on receipts with their tax, and the limit."""

    hour_price: Decimal
    markup: Markup
    limit: Decimal


@dataclass(frozen=True)
class HoursEntry:
    """Hours worked on the change."""

    hours: Decimal


@dataclass(frozen=True)
class ReceiptEntry:
    """What was paid at the store; `tax` is sales tax paid on top of `cost`."""

    cost: Decimal
    tax: Decimal = NO_MONEY


@dataclass(frozen=True)
class TimeAndMaterialPrice:
    """What a change has come to so far: the price of each entry, to the cent, and their sum."""

    hours: tuple[Decimal, ...]
    receipts: tuple[Decimal, ...]
    limit: Decimal

    @property
    def total(self) -> Decimal:
        """The price of all hours and receipts, whatever the limit."""
        return sum_money((*self.hours, *self.receipts))

    @property
    def material(self) -> Decimal:
        """The price of all receipts."""
        return sum_money(self.receipts)

    @property
    def billable(self) -> Decimal:
        """The total up to the limit."""
        return min(self.total, self.limit)

    @property
    def over_limit(self) -> Decimal:
        """The part of the total above the limit, which can only be billed after a further signed change."""
        return self.total - self.billable


def price_time_and_material(
    terms: TimeAndMaterialTerms, hours: Sequence[HoursEntry], receipts: Sequence[ReceiptEntry]
) -> TimeAndMaterialPrice:
    """Price every entry so far, each rounded half-up to the cent.

    What went back to the store is a receipt below zero. Raises ValueError for hours below zero, and where
    more went back than was bought.
    """
    bought = sum_money(entry.cost + entry.tax for entry in receipts)
    if any(entry.hours < 0 for entry in hours) or bought < 0:
        raise ValueError("Hours and receipts of a change can't be below zero.")
    return TimeAndMaterialPrice(
        tuple(round_cents(Fraction(entry.hours) * Fraction(terms.hour_price)) for entry in hours),
        tuple(round_cents(terms.markup.on(Fraction(entry.cost + entry.tax))) for entry in receipts),
        terms.limit,
    )
