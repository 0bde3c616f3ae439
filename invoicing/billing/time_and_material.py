"""A change billed by hours and receipts, up to its limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from invoicing.milestones.plan import NO_MONEY


@dataclass(frozen=True)
class Terms:
    """What the signed change says: dollars an hour, markup on receipts with their tax, and the limit."""

    hour_price: Decimal
    markup: Markup
    limit: Decimal


@dataclass(frozen=True)
class Hours:
    hours: Decimal
    says: str = ""


@dataclass(frozen=True)
class Receipt:
    """What was paid at the store; `tax` is sales tax paid on top of `cost`."""

    cost: Decimal
    tax: Decimal = NO_MONEY
    says: str = ""


@dataclass(frozen=True)
class Worth:
    """What a change has come to so far: each entry's price to the cent, half-up, and their sum."""

    hours: tuple[Decimal, ...]
    receipts: tuple[Decimal, ...]
    limit: Decimal

    @property
    def total(self) -> Decimal:
        return sum((*self.hours, *self.receipts), NO_MONEY)

    @property
    def material(self) -> Decimal:
        return sum(self.receipts, NO_MONEY)

    @property
    def billable(self) -> Decimal:
        """The total up to the limit: what `draft_bill` takes as the change's worth."""
        return min(self.total, self.limit)

    @property
    def beyond(self) -> Decimal:
        """Worth above the limit, which only a further signed change lets him bill."""
        return self.total - self.billable


def worth_so_far(terms: Terms, hours: Sequence[Hours], receipts: Sequence[Receipt]) -> Worth:
    """The worth of everything entered so far. Raises ValueError for hours or a receipt below zero."""
    if any(entry.hours < 0 for entry in hours) or any(entry.cost + entry.tax < 0 for entry in receipts):
        raise ValueError("Hours and receipts of a change can't be below zero.")
    return Worth(
        tuple(round_cents(Fraction(entry.hours) * Fraction(terms.hour_price)) for entry in hours),
        tuple(round_cents(terms.markup.on(Fraction(entry.cost + entry.tax))) for entry in receipts),
        terms.limit,
    )
