"""The material of what was signed: its estimated cost, its markup, and what the client pays for it.

Where a state taxes the contractor's material, or his markup on it, the bookkeeper asks for this by job.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from catalog.money.markup import parse_markup
from invoicing.milestones.plan import NO_MONEY, sum_money


@dataclass(frozen=True)
class MaterialCosts:
    """The sums of the material of signed documents, before the sales tax that the client is charged.

    `cost` includes the tax paid at the store. `not_split` is the price of lines that were signed at one
    price for material and work together.
    """

    cost: Decimal = NO_MONEY
    price: Decimal = NO_MONEY
    not_split: Decimal = NO_MONEY

    @property
    def markup(self) -> Decimal:
        return self.price - self.cost

    def __add__(self, other: "MaterialCosts") -> "MaterialCosts":
        return MaterialCosts(
            self.cost + other.cost, self.price + other.price, self.not_split + other.not_split
        )


def material_costs(basis: Mapping[str, Any], options_chosen: Collection[int] = ()) -> MaterialCosts:
    """Return the material of an estimate with the chosen options (positions from 0), or of a change order.

    The price is the cost with its markup, rounded half-up to the cent.
    """
    lines = [*basis["lines"], *(basis["options"][position] for position in sorted(options_chosen))]
    cost = _sum((line for line in lines if "material" in line), "material")
    price = NO_MONEY
    if cost:
        # The lines of a change order share one markup.
        markup = basis["policy"].get("material") or basis["markup"]
        price = round_cents(parse_markup(markup).on(Fraction(cost)))
    return MaterialCosts(cost, price, _sum((line for line in lines if "material" not in line), "price"))


def _sum(lines: Iterable[Mapping[str, Any]], key: str) -> Decimal:
    return sum_money(Decimal(line[key]) for line in lines)
