"""The prices of materials then and now: those that a document was priced with, and the catalog's of today."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.package_words import sizes_in_words
from catalog.money.amounts import round_cents
from catalog.money.markup import parse_markup

NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class PriceChange:
    """A material with its packages in words, and their price when issued and today, before tax.

    `now` is None where a package isn't offered any more.
    """

    name: str
    words: str
    then: Decimal
    now: Decimal | None

    @property
    def difference(self) -> Decimal:
        return NOTHING if self.now is None else self.now - self.then


@dataclass(frozen=True)
class PriceChanges:
    """The materials of a document with their prices then and now.

    `then` and `now` sum those that are still offered. `on_price` is what their difference makes of the price
    that the client pays, before a tax charged to the client.
    """

    lines: tuple[PriceChange, ...]
    then: Decimal
    now: Decimal
    on_price: Decimal

    @property
    def difference(self) -> Decimal:
        return self.now - self.then

    @property
    def unknown(self) -> tuple[PriceChange, ...]:
        """The materials with a package that isn't offered any more."""
        return tuple(line for line in self.lines if line.now is None)


def compare_prices(basis: Mapping[str, Any], prices: Mapping[str, Decimal]) -> PriceChanges:
    """Return the materials of a basis against prices of today, by the key of their package.

    The packages stay those of the document. The effect on the price takes the tax paid at the store and the
    markups of the document, and is rounded half-up to the cent once.
    """
    materials = [material for material in basis.get("materials", ()) if material["packages"]]
    lines = tuple(_line(material, prices) for material in materials)
    effects = (
        _on_price(material, line, basis["policy"]) for material, line in zip(materials, lines, strict=True)
    )
    return PriceChanges(
        lines,
        sum((line.then for line in lines if line.now is not None), NOTHING),
        sum((line.now for line in lines if line.now is not None), NOTHING),
        round_cents(sum(effects, Fraction(0))),
    )


def package_keys(basis: Mapping[str, Any]) -> list[str]:
    """Return the keys of the packages that a document buys."""
    return [package["key"] for material in basis.get("materials", ()) for package in material["packages"]]


def _line(material: Mapping[str, Any], prices: Mapping[str, Decimal]) -> PriceChange:
    packages = material["packages"]
    now = None
    if all(package["key"] in prices for package in packages):
        now = sum((prices[package["key"]] * package["count"] for package in packages), NOTHING)
    sizes = ((Fraction(package["size"]), package["count"]) for package in packages)
    words = ", ".join(sizes_in_words(sizes, material["unit"]))
    return PriceChange(material["name"], words, Decimal(material["cost"]), now)


def _on_price(material: Mapping[str, Any], line: PriceChange, policy: Mapping[str, str]) -> Fraction:
    """Return the difference in the client's price that a material's difference in cost makes, not rounded."""
    difference = Fraction(line.difference)
    if policy["tax_policy"] == "consumer" and material["taxable"] and material["kind"] != "subcontract":
        difference *= 1 + Fraction(policy["tax_rate"])
    return difference * (1 + parse_markup(policy[material["kind"]]).share)
