"""If we find: what nobody sees before opening up, priced in advance and signed outside the sum."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.expansion import AssemblySpec
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import convert
from catalog.money.amounts import round_cents
from estimating.pricing.change_terms import share_in_words
from estimating.pricing.price import Policy, price
from estimating.takeoff.takeoff import NO_MONEY, Conventions, Override, Work, take_off

# What is counted, and how its price is said: "$14.00 a sq ft".
UNITS = {
    "sq ft": "a sq ft",
    "ft": "a foot",
    "m2": "a sq m",
    "m": "a meter",
    "each": "each",
    "hour": "an hour",
    "day": "a day",
}
METRIC = {"sq ft": "m2", "ft": "m"}


class NoUnitPrice(ValueError):
    """The assembly can't be priced by itself; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Condition:
    """A condition priced in advance. `price` is what one `unit` costs the client, in whole cents before
    tax, `taxable` the part of it that is taxable material; `least` is what is charged at the least each
    time it shows, `most` the limit, both in that unit. With
    `by_receipt` what is bought for it comes on top. `problem` says why it has no price."""

    key: str
    name: str
    unit: str
    price: Decimal
    most: Decimal
    taxable: Decimal = NO_MONEY
    least: Decimal = Decimal(0)
    by_receipt: bool = False
    caution: str = ""
    problem: str = ""


def alone(policy: Policy) -> Policy:
    """How work is priced that a change adds: by the estimate's hours and its terms for changes, without
    trips, contingency or least charge."""
    markup = policy.changes.markup
    return replace(
        policy,
        material=markup,
        equipment=markup,
        subcontract=markup,
        contingency=Fraction(0),
        minimum_charge=NO_MONEY,
        runs=0,
        visit_hours=Fraction(0),
    )


def unit_of(assembly: AssemblySpec, metric: bool = False) -> str:
    """The unit that an assembly is counted in."""
    unit = MEASURES[assembly.measure].unit
    return METRIC.get(unit, unit) if metric else unit


def unit_price(
    assembly: AssemblySpec,
    quantity: Decimal,
    unit: str,
    policy: Policy,
    conventions: Conventions,
) -> tuple[Decimal, Decimal]:
    """What one unit of an assembly comes to where there is this much of it, and the taxable part of that.

    It is taken off and priced by itself, whole packages and set-up included, divided by the quantity and
    rounded half-up to the cent. Raises NoUnitPrice.
    """
    amount = convert(Fraction(quantity), unit, MEASURES[assembly.measure].unit)
    by_hand = Override(assembly.measure, amount, "as much as may be found")
    work = Work("found", assembly.name, assembly.phase, assembly=assembly, overrides=(by_hand,))
    taken = take_off({}, [work], conventions)
    if taken.problems:
        raise NoUnitPrice(" ".join(taken.problems))
    line = price(taken, alone(policy)).lines[0]
    each = round_cents(Fraction(line.client_price) / Fraction(quantity))
    if not each:
        raise NoUnitPrice(f"{assembly.name} comes to nothing for one unit: type a price instead.")
    return each, min(each, round_cents(Fraction(line.taxable_price) / Fraction(quantity)))


def in_units(quantity: Decimal, unit: str) -> str:
    """ "64 sq ft", "4 hours", "6"."""
    number = f"{quantity:f}"
    number = number.rstrip("0").rstrip(".") if "." in number else number
    if unit == "each":
        return number
    plural = "s" if unit in ("hour", "day") and quantity != 1 else ""
    return f"{number} {unit}{plural}".replace("m2", "m²")


def found_on_paper(conditions: Iterable[Condition], policy: Policy) -> list[dict[str, str]]:
    """The rows as the client reads and signs them."""
    return [
        {
            "name": each.name,
            "price": f"{each.price:.2f}",
            "per": UNITS[each.unit],
            "least": in_units(each.least, each.unit) if each.least else "",
            "most": in_units(each.most, each.unit),
            "extra": _by_receipt(policy) if each.by_receipt else "",
            "tax": "plus sales tax" if _is_taxed(each, policy) else "",
            "caution": each.caution,
        }
        for each in conditions
    ]


def _by_receipt(policy: Policy) -> str:
    taxed = " with sales tax" if policy.tax_policy == "consumer" else ""
    share = share_in_words(policy.changes.markup.share)
    return f"What I buy for it comes on top by its receipt{taxed}, and {share} on that."


def _is_taxed(condition: Condition, policy: Policy) -> bool:
    if not policy.tax_rate:
        return False
    taxed = {"everything": True, "materials": bool(condition.taxable or condition.by_receipt)}
    return taxed.get(policy.tax_policy, False)


def found_in_basis(conditions: Sequence[Condition]) -> list[dict[str, Any]]:
    """The same as it is kept behind the paper, for the changes that pick from it."""
    return [
        {
            "key": each.key,
            "title": each.name,
            "unit": each.unit,
            "price": f"{each.price:.2f}",
            "taxable": f"{each.taxable:.2f}",
            "least": f"{each.least}",
            "most": f"{each.most}",
            "by_receipt": each.by_receipt,
        }
        for each in conditions
    ]
