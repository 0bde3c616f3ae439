"""The shopping list of signed work, with what is bought and what is still to buy."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.measures.units import format_number
from estimating.plain_text import list_in_words


@dataclass(frozen=True)
class ShoppingLine:
    """A material to buy: how many packages of which size, what they were priced at, and how many came.

    `received` are packages on receipts' lines, returns taken off; `is_ticked` says that he ticked it.
    """

    code: str
    name: str
    packages: str
    count: int
    cost: Decimal
    received: Decimal
    spent: Decimal
    is_ticked: bool

    @property
    def is_bought(self) -> bool:
        return self.is_ticked or self.received >= self.count > 0

    @property
    def received_in_words(self) -> str:
        """Return how much of it is on receipts; empty for none."""
        return f"{self.received.normalize():f} on receipts" if self.received else ""


@dataclass(frozen=True)
class Received:
    """Packages of a material on receipts, and what was paid for them before tax."""

    count: Decimal
    amount: Decimal


NONE_YET = Received(Decimal(0), Decimal(0))


def shopping_lines(
    bases: Iterable[Mapping[str, Any]], ticked: Collection[str], received: Mapping[str, Received]
) -> list[ShoppingLine]:
    """Return what the signed bases have to buy, what is still to buy first."""
    lines = []
    for basis in bases:
        for material in basis.get("materials", ()):
            came = received.get(material["code"], NONE_YET)
            sizes = [
                f"{kept['count']} × {format_number(Fraction(kept['size']))} {material['unit']}"
                for kept in material["packages"]
            ]
            count = sum(int(kept["count"]) for kept in material["packages"])
            lines.append(
                ShoppingLine(
                    material["code"],
                    material["name"],
                    list_in_words(sizes),
                    count,
                    Decimal(material["cost"]),
                    came.count,
                    came.amount,
                    material["code"] in ticked,
                )
            )
    return sorted(lines, key=lambda line: line.is_bought)
