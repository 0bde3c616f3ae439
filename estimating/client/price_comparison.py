"""Material prices then and now: what an issued estimate bought by, beside what the catalog asks today."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.measures.units import format_quantity
from catalog.money.amounts import round_cents
from catalog.money.markup import parse_markup

NOTHING = Decimal("0.00")


@dataclass(frozen=True)
class ThenNow:
    """What was to be bought of a material, at the prices of the paper and at those of today, before tax.
    `now` is None where a package isn't offered any more."""

    name: str
    words: str
    then: Decimal
    now: Decimal | None

    @property
    def difference(self) -> Decimal:
        return NOTHING if self.now is None else self.now - self.then


@dataclass(frozen=True)
class Moved:
    """All of it: lines, sums of those that can be looked up, and what the difference makes of the price
    that the client pays, before a tax charged to him."""

    lines: tuple[ThenNow, ...]
    then: Decimal
    now: Decimal
    on_price: Decimal

    @property
    def difference(self) -> Decimal:
        return self.now - self.then

    @property
    def unknown(self) -> tuple[ThenNow, ...]:
        return tuple(each for each in self.lines if each.now is None)


def look_up(basis: Mapping[str, Any], prices: Mapping[str, Decimal]) -> Moved:
    """The materials kept behind a paper against prices of today by the key of their package.

    The packages stay those of the paper. The effect on the price takes the tax paid at the store and the
    markups of the paper, and is rounded half-up to the cent once.
    """
    kept = basis.get("materials", ())
    lines = tuple(_line(each, prices) for each in kept)
    known = [line for line in lines if line.now is not None]
    effect = sum(
        (_on_price(each, line, basis["policy"]) for each, line in zip(kept, lines, strict=True)), Fraction(0)
    )
    return Moved(
        lines,
        sum((line.then for line in known), NOTHING),
        sum((line.now for line in known if line.now is not None), NOTHING),
        round_cents(effect),
    )


def packages_of(basis: Mapping[str, Any]) -> list[str]:
    """Keys of the packages that the paper buys."""
    return [package["key"] for each in basis.get("materials", ()) for package in each["packages"]]


def _line(kept: Mapping[str, Any], prices: Mapping[str, Decimal]) -> ThenNow:
    packages = kept["packages"]
    known = [prices.get(each["key"]) for each in packages]
    now = None
    if all(price is not None for price in known):
        pairs = zip(known, packages, strict=True)
        now = sum((price * each["count"] for price, each in pairs if price is not None), NOTHING)
    return ThenNow(kept["name"], _words(packages, kept["unit"]), Decimal(kept["cost"]), now)


def _words(packages: Iterable[Mapping[str, Any]], unit: str) -> str:
    """ "3 × 1 gal, 1 × 5 gal"; what is counted, such as screws, without a unit: "2 × 100"."""
    shown = []
    for each in packages:
        size = format_quantity(Fraction(each["size"]), unit).removesuffix(" each")
        shown.append(f"{each['count']}" if size == "1" else f"{each['count']} × {size}")
    return ", ".join(shown)


def _on_price(kept: Mapping[str, Any], line: ThenNow, policy: Mapping[str, str]) -> Fraction:
    difference = Fraction(line.difference)
    if policy["tax_policy"] == "consumer" and kept["taxable"] and kept["kind"] != "subcontract":
        difference *= 1 + Fraction(policy["tax_rate"])
    return difference * (1 + parse_markup(policy[kept["kind"]]).share)
