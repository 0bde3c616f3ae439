"""A price moved from the day it was seen to another month by a published index: an estimate. Pure."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents

# Producer price series of the U.S. Bureau of Labor Statistics by group of material, as names to choose from.
# Read second-hand in public repositories: WPU1371, WPU13710102 and WPS0811; the others are from memory.
SERIES = (
    "WPU1371 gypsum products",
    "WPU13710102 gypsum building materials",
    "WPS0811 softwood lumber",
    "WPU0621 prepared paint",
    "WPU1331 cement",
    "WPU1054 plumbing fixtures and brass fittings",
    "WPU117 electrical machinery and equipment",
)


@dataclass(frozen=True)
class PriceIndex:
    """An index with its value in two months, each as it was published, such as "Nov 2025"."""

    name: str
    then: Decimal
    then_month: str
    now: Decimal
    now_month: str

    @property
    def factor(self) -> Fraction:
        return Fraction(self.now) / Fraction(self.then)

    def moved(self, price: Decimal) -> Decimal:
        """Return a price of the first month as the index has it in the second, in whole cents."""
        return round_cents(Fraction(price) * self.factor)

    def in_words(self) -> str:
        return f"{self.name}: {self.then} in {self.then_month}, {self.now} in {self.now_month}"
