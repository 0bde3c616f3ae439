"""Hidden conditions: what nobody sees before opening up, priced in advance and signed outside the sum.

Pages and documents call them "If we find".
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.specs import AssemblySpec
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import convert
from catalog.money.amounts import round_cents
from estimating.plain_text import money
from estimating.pricing.percentages import share_in_words
from estimating.pricing.price import Policy, PricedLine, price
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import NO_MONEY, Conventions, Override, Work

# The words after a price, by the unit that is counted: "$14.00 a sq ft".
UNITS = {
    "sq ft": "a sq ft",
    "ft": "a foot",
    "m2": "a sq m",
    "m": "a meter",
    "each": "each",
    "hour": "an hour",
    "day": "a day",
}
METRIC_UNITS = {"sq ft": "m2", "ft": "m"}


class NoUnitPrice(ValueError):
    """The assembly can't be priced by itself; the message says why in a plain sentence."""


@dataclass(frozen=True)
class PricedCondition:
    """A hidden condition priced in advance.

    `price` is what one `unit` costs the client, in whole cents before tax, and `taxable` the part of it that
    is taxable material. `least` is the quantity that is charged at the least each time the condition shows,
    `most` the limit up to which the price holds, both in that unit. With `by_receipt` what is bought for it
    comes on top. `problem` says why it has no price. `price_is_worked_out` where an assembly gives it.
    """

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
    price_is_worked_out: bool = False


def change_order_policy(policy: Policy) -> Policy:
    """Return the policy by which a change prices the work that it adds.

    It has the estimate's labor rate and its terms for changes, and no trips, contingency or minimum charge.
    """
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


def metric_unit(unit: str, metric: bool) -> str:
    """Return the metric unit that stands for square feet and feet where `metric`; else the unit itself."""
    return METRIC_UNITS.get(unit, unit) if metric else unit


def unit_of(assembly: AssemblySpec, metric: bool = False) -> str:
    """Return the unit that an assembly is counted in."""
    return metric_unit(MEASURES[assembly.measure].unit, metric)


def unit_price(
    assembly: AssemblySpec,
    quantity: Decimal,
    unit: str,
    policy: Policy,
    conventions: Conventions,
) -> tuple[Decimal, Decimal]:
    """Return the price of one unit of an assembly where there is this much of it, and its taxable part.

    The assembly is taken off and priced by itself, whole packages and set-up included; that is divided by
    the quantity and rounded half-up to the cent. Raises NoUnitPrice.
    """
    line = _priced_alone(assembly, quantity, unit, policy, conventions)
    price_of_one = round_cents(Fraction(line.client_price) / Fraction(quantity))
    if not price_of_one:
        raise NoUnitPrice(f"{assembly.name} comes to nothing for one unit: type a price instead.")
    return price_of_one, min(price_of_one, round_cents(Fraction(line.taxable_price) / Fraction(quantity)))


def unit_cost(
    assembly: AssemblySpec,
    quantity: Decimal,
    unit: str,
    policy: Policy,
    conventions: Conventions,
) -> tuple[Decimal, Decimal]:
    """Return what one unit of an assembly costs the firm where there is this much of it, and its price.

    Raises NoUnitPrice.
    """
    line = _priced_alone(assembly, quantity, unit, policy, conventions)
    cost, priced = (
        round_cents(Fraction(amount) / Fraction(quantity)) for amount in (line.cost, line.client_price)
    )
    return cost, priced


def _priced_alone(
    assembly: AssemblySpec, quantity: Decimal, unit: str, policy: Policy, conventions: Conventions
) -> PricedLine:
    amount = convert(Fraction(quantity), unit, MEASURES[assembly.measure].unit)
    by_hand = Override(assembly.measure, amount, "as much as may be found")
    work = Work("found", assembly.name, assembly.phase, assembly=assembly, overrides=(by_hand,))
    taken_off = take_off({}, [work], conventions)
    if taken_off.problems:
        raise NoUnitPrice(" ".join(taken_off.problems))
    return price(taken_off, change_order_policy(policy)).lines[0]


def in_units(quantity: Decimal, unit: str) -> str:
    """Say a quantity with its unit: "64 sq ft", "4 hours", "6"."""
    number = f"{quantity:f}"
    number = number.rstrip("0").rstrip(".") if "." in number else number
    if unit == "each":
        return number
    plural = "s" if unit in ("hour", "day") and quantity != 1 else ""
    return f"{number} {unit}{plural}".replace("m2", "m²")


def hidden_conditions_for_snapshot(
    conditions: Iterable[PricedCondition], policy: Policy
) -> list[dict[str, str]]:
    """Return the rows of the snapshot: the conditions as the client reads and signs them."""
    return [
        {
            "name": condition.name,
            "price": money(condition.price),
            "per": UNITS[condition.unit],
            "least": in_units(condition.least, condition.unit) if condition.least else "",
            "most": in_units(condition.most, condition.unit),
            "extra": _receipt_note(policy) if condition.by_receipt else "",
            "tax": "plus sales tax" if _is_taxed(condition, policy) else "",
            "caution": condition.caution,
        }
        for condition in conditions
    ]


def _receipt_note(policy: Policy) -> str:
    taxed = " with sales tax" if policy.tax_policy == "consumer" else ""
    share = share_in_words(policy.changes.markup.share)
    return f"What I buy for it comes on top by its receipt{taxed}, and {share} on that."


def _is_taxed(condition: PricedCondition, policy: Policy) -> bool:
    if not policy.tax_rate:
        return False
    taxed = {"everything": True, "materials": bool(condition.taxable or condition.by_receipt)}
    return taxed.get(policy.tax_policy, False)


def hidden_conditions_for_basis(conditions: Sequence[PricedCondition]) -> list[dict[str, Any]]:
    """Return the rows of the price basis, which is stored with the document: the changes pick from them."""
    return [
        {
            "key": condition.key,
            "title": condition.name,
            "unit": condition.unit,
            "price": money(condition.price),
            "taxable": money(condition.taxable),
            "least": f"{condition.least}",
            "most": f"{condition.most}",
            "by_receipt": condition.by_receipt,
        }
        for condition in conditions
    ]
