"""A new price of the catalog that a line of a receipt shows; taken by the owner only."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents
from estimating.plain_text import day_in_words


@dataclass(frozen=True)
class PriceOffer:
    """What one package costs by a receipt, and what the catalog has."""

    name: str
    was: Decimal
    was_on: date | None
    now: Decimal
    now_on: date

    def in_words(self) -> str:
        """Return the offer as a sentence: "Thinset, bag was $21.40 on Mon 3 Aug 2026, now $23.15"."""
        on = f" on {day_in_words(self.was_on)}" if self.was_on else ""
        return f"{self.name} was {format_price(self.was)}{on}, now {format_price(self.now)}"


def price_offer(
    name: str, was: Decimal, was_on: date | None, amount: Decimal, quantity: Decimal, on: date
) -> PriceOffer | None:
    """Return the price of a package that a line shows; None where it shows none that is news.

    A return shows none, and neither does a receipt that is older than the catalog's price.
    """
    if amount <= 0 or quantity <= 0 or (was_on and was_on > on):
        return None
    now = round_cents(Fraction(amount) / Fraction(quantity))
    return None if now == was or not now else PriceOffer(name, was, was_on, now, on)
