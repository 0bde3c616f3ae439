"""The shopping list of signed work, with what is bought and what is still to buy."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.measures.units import format_number
from catalog.money.amounts import format_price, round_cents
from estimating.plain_text import list_in_words

NOTHING = Decimal("0.00")


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
    def to_buy(self) -> Decimal:
        """What the packages that lack were priced at."""
        if self.is_bought or not self.count:
            return NOTHING
        return round_cents(Fraction(self.cost) * min(1 - Fraction(self.received) / self.count, Fraction(1)))

    @property
    def received_in_words(self) -> str:
        """Return how much of it is on receipts, in packages and dollars; empty for none."""
        if not self.received:
            return ""
        return f"{self.received.normalize():f} on receipts for {format_price(self.spent)}"


@dataclass(frozen=True)
class ShoppingSums:
    """The list in dollars before tax: as priced, on receipts, and still to buy at what was priced."""

    priced: Decimal
    spent: Decimal
    to_buy: Decimal


def shopping_sums(lines: Sequence[ShoppingLine]) -> ShoppingSums:
    """Add up a shopping list."""
    return ShoppingSums(
        sum((line.cost for line in lines), NOTHING),
        sum((line.spent for line in lines), NOTHING),
        sum((line.to_buy for line in lines), NOTHING),
    )


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
            if not material["packages"]:
                continue  # all of it is on hand
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
