"""What an offer for a choice comes to against its allowance, by the terms of the signed contract."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.changes.price import AllowanceChoice, price_change
from estimating.contract.lines import ContractAllowance, ContractRules


@dataclass(frozen=True)
class Offer:
    """Something to choose; `cost` is before tax, None where it costs nothing of its own, as a color."""

    key: int
    title: str
    says: str = ""
    cost: Decimal | None = None


@dataclass(frozen=True)
class PricedOffer:
    """An offer with what it moves the signed price by, tax included; zero where it doesn't."""

    offer: Offer
    difference: Decimal

    @property
    def in_words(self) -> str:
        """Say what it does to the price: "adds $12.00", "takes off $8.00", "is in the price"."""
        if self.difference > 0:
            return f"adds {format_price(self.difference)}"
        if self.difference < 0:
            return f"takes off {format_price(-self.difference)}"
        return "is in the price"


def priced(
    offers: Iterable[Offer], allowance: ContractAllowance | None, rules: ContractRules
) -> list[PricedOffer]:
    """Return offers with their prices, as a change order for each alone would have them."""
    return [PricedOffer(offer, _difference(offer, allowance, rules)) for offer in offers]


def _difference(offer: Offer, allowance: ContractAllowance | None, rules: ContractRules) -> Decimal:
    if allowance is None or offer.cost is None:
        return Decimal("0.00")
    return price_change(rules, [], [AllowanceChoice("choice", offer.title, allowance, offer.cost)]).total


def as_shown(what: str, offers: Sequence[PricedOffer]) -> list[str]:
    """Return what is shown of a choice, a line for each offer, as it goes on the record."""
    return [
        what,
        *(": ".join(filter(None, (row.offer.title, row.offer.says, row.in_words))) for row in offers),
    ]
