"""Small pieces of a catalog, for tests that work on plain values.

Keywords that a function doesn't name go to the class that it makes.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.packaging import Offer
from catalog.assemblies.specs import AssemblySpec, ComponentSpec, MaterialSpec, OperationSpec
from catalog.measures.lengths import parse_length
from catalog.measures.rates import Rate, parse_rate
from catalog.measures.room_measures import MEASURES
from catalog.money.markup import Markup
from estimating.pricing.price import Policy
from estimating.rooms.plan import RoomPlan, rectangle

ONE_FOR_ONE = Rate("", Fraction(1))


def material(name: str, unit: str, *packages: tuple[str, str], **fields: Any) -> MaterialSpec:
    """Make a material; `packages` are (size, price)."""
    offers = tuple(Offer(f"{name} {size}", Fraction(size), Decimal(price)) for size, price in packages)
    return MaterialSpec(code=name.replace(" ", "-"), name=name, unit=unit, offers=offers, **fields)


def operation(name: str, typed: str, unit: str, **fields: Any) -> OperationSpec:
    """Make an operation; `typed` are its hours for one unit."""
    rate = parse_rate(typed, "hour", unit)
    return OperationSpec(code=name.replace(" ", "-"), name=name, unit=unit, rate=rate, **fields)


def assembly(name: str, measure: str, *components: ComponentSpec, **fields: Any) -> AssemblySpec:
    """Make an assembly, of the phase "finish" where none is given."""
    fields.setdefault("phase", "finish")
    return AssemblySpec(
        code=name.replace(" ", "-"), name=name, measure=measure, components=components, **fields
    )


def uses(
    used: MaterialSpec | OperationSpec | AssemblySpec, typed: str = "", measure: str = "floor", **fields: Any
) -> ComponentSpec:
    """Make a component; `typed` is its rate for one unit of `measure`, one for one where it is left out.

    An assembly is used one for one.
    """
    rate = ONE_FOR_ONE
    if typed:
        assert not isinstance(used, AssemblySpec), "an assembly has no unit for a rate"
        rate = parse_rate(typed, used.unit, MEASURES[measure].unit)
    fields.setdefault("key", f"{used.name} on {measure}")
    return ComponentSpec(use=used, rate=rate, **fields)


def inches(typed: str) -> int:
    """Read a length typed in inches, such as 5 1/2, into nanometers."""
    return parse_length(typed, bare="in")


def room(length: str = "10'", width: str = "12'", height: str = "8'", **fields: Any) -> RoomPlan:
    """Make a rectangular room."""
    legs = rectangle(parse_length(length), parse_length(width))
    return RoomPlan(name="Room", legs=legs, height_nm=parse_length(height), **fields)


def policy(**changes: Any) -> Policy:
    """Make a policy: $70.00 an hour at 12.5 % margin ($80.00), 20 % on what is bought, no tax, no trips."""
    return replace(
        Policy(
            labor_rate=Decimal("70.00"),
            labor=Markup(Decimal("12.5"), "margin"),
            material=Markup(Decimal(20), "markup"),
            equipment=Markup(Decimal(20), "markup"),
            subcontract=Markup(Decimal(10), "markup"),
            tax_policy="none",
            runs=0,
        ),
        **changes,
    )
