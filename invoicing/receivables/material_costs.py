"""Material of a signed paper: what it was estimated to cost, its markup, and what the client pays for it.

Where a state taxes the contractor's material, or his markup on it, the bookkeeper asks for this by job.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from catalog.money.markup import parse_markup
from invoicing.milestones.plan import NO_MONEY


@dataclass(frozen=True)
class Material:
    """Sums before sales tax charged to the client. `cost` has the tax paid at the store in it; `not_split`
    is the price of signed lines that were agreed whole, material and work together."""

    cost: Decimal = NO_MONEY
    price: Decimal = NO_MONEY
    not_split: Decimal = NO_MONEY

    @property
    def markup(self) -> Decimal:
        return self.price - self.cost

    def __add__(self, other: "Material") -> "Material":
        return Material(self.cost + other.cost, self.price + other.price, self.not_split + other.not_split)


def material_of(basis: Mapping[str, Any], options_taken: Collection[int] = ()) -> Material:
    """The material of an estimate with the options taken (their places, from 0), or of a change order."""
    lines = [*basis["lines"], *(basis["options"][place] for place in sorted(options_taken))]
    known = [line for line in lines if "material" in line]
    others = [line for line in lines if "material" not in line]
    cost = _sum(known, "material")
    price = NO_MONEY
    if cost:
        markup = basis["policy"].get("material") or basis["markup"]  # a change has one for all it buys
        price = round_cents(parse_markup(markup).on(Fraction(cost)))
    return Material(cost, price, _sum(others, "price"))


def _sum(lines: Iterable[Mapping[str, Any]], name: str) -> Decimal:
    return sum((Decimal(line[name]) for line in lines), NO_MONEY)
