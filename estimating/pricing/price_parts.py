"""What a price is made of (labor, material, and the rest), and how it stands between cost and target."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import format_percent
from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from estimating.pricing.price import Policy, PricedEstimate
from estimating.takeoff.work import NO_MONEY


@dataclass(frozen=True)
class PriceParts:
    """The parts of a price with their markups; they sum to it. `other` is equipment, subcontracts,
    contingency, minimum and sales tax."""

    labor: Decimal
    material: Decimal
    other: Decimal

    @property
    def shares(self) -> tuple[Decimal, Decimal, Decimal]:
        """The parts as per cent of their sum, to a tenth, for a drawing; nothing priced is all nothing."""
        total = self.labor + self.material + self.other
        if total <= 0:
            return (NO_MONEY, NO_MONEY, NO_MONEY)
        labor, material = (
            max(NO_MONEY, round(part * 100 / total, 1)) for part in (self.labor, self.material)
        )
        return labor, material, max(NO_MONEY, 100 - labor - material)


def price_parts(priced: PricedEstimate, policy: Policy) -> PriceParts:
    """Split the price of an estimate: labor and material with their markup, the rest is what remains."""
    labor = round_cents(policy.labor.on(Fraction(sum((line.labor_cost for line in priced.lines), NO_MONEY))))
    material = round_cents(
        policy.material.on(
            Fraction(sum((line.material_cost + line.material_tax for line in priced.lines), NO_MONEY))
        )
    )
    return PriceParts(labor, material, priced.total - labor - material)


@dataclass(frozen=True)
class PriceLevel:
    """A price before sales tax to compare with others: what it leaves after cost, that as a share of it, and
    the length of its bar in per cent of the longest."""

    name: str
    price: Decimal
    left: Decimal
    margin: Fraction
    length: Decimal


def price_levels(priced: PricedEstimate, target: Markup | None) -> list[PriceLevel]:
    """Return the price as it is, the one with the target margin, and the least: what the work costs.

    Nothing is compared before anything is priced; without a target there is none of it.
    """
    cost = priced.cost
    if not priced.subtotal or not cost:
        return []
    prices = [("As priced", priced.subtotal)]
    if target is not None:
        prices.append(
            (
                f"At your target, {format_percent(target.margin)} margin",
                round_cents(target.on(Fraction(cost))),
            )
        )
    prices.append(("The least, with nothing left", cost))
    longest = max(price for _, price in prices)
    return [
        PriceLevel(
            name,
            price,
            price - cost,
            Fraction(price - cost) / Fraction(price),
            round(price * 100 / longest, 1),
        )
        for name, price in prices
    ]
