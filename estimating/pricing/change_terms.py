"""The terms for changes that an estimate states: how added work is priced and deleted work credited."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price
from catalog.money.markup import Markup
from estimating.pricing.percentages import share_in_words
from estimating.takeoff.work import NO_MONEY


@dataclass(frozen=True)
class ChangeTerms:
    """The terms for changes.

    `markup` comes on what material, equipment and subcontracts cost, and on the difference of an allowance;
    `fee` comes on each change that adds work; `minimum` is the least that such a change comes to; `keeps` is
    the share of the price of deleted work that isn't credited.
    """

    markup: Markup = Markup(Decimal(20))
    fee: Decimal = NO_MONEY
    minimum: Decimal = NO_MONEY
    keeps: Fraction = Fraction(0)


def terms_in_words(terms: ChangeTerms, tax_policy: str) -> list[str]:
    """Return the terms as the client reads and signs them, a sentence or two each."""
    taxed = " with sales tax" if tax_policy == "consumer" else ""
    share = share_in_words(terms.markup.share)
    words = [
        "A change is written on a change order and signed before its work starts. Unsigned, it is neither "
        "done nor billed.",
        "Work that a change adds is priced as this estimate is; what I buy for it goes by its "
        f"receipt{taxed}, and {share} on top.",
        "When a choice comes to more or less than its allowance, the difference"
        f"{taxed} is added or deducted, and {share} of it likewise.",
        f"Work that is removed is credited at its price in the contract{_kept(terms)}.",
    ]
    if terms.fee:
        words.append(f"Each change that adds work carries a fee of {format_price(terms.fee)}.")
    if terms.minimum:
        words.append(f"A change that adds work comes to at least {format_price(terms.minimum)}.")
    if tax_policy in ("materials", "everything"):
        words.append("Sales tax goes with a change as it goes with this estimate.")
    return words


def _kept(terms: ChangeTerms) -> str:
    if not terms.keeps:
        return ""
    return f", less {share_in_words(terms.keeps)} of it for planning and ordering"
