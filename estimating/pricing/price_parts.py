"""What a price is made of: labor, material, and the rest."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
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
