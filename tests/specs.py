"""Small pieces of a catalog, for tests that work on plain values."""

from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import AssemblySpec, ComponentSpec, MaterialSpec, OperationSpec
from catalog.assemblies.packaging import Offer
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import Rate, parse_length, parse_rate
from catalog.money.markup import Markup
from estimating.pricing.price import Policy
from estimating.rooms.measures import RoomPlan, rectangle

ONE_FOR_ONE = Rate("", Fraction(1))


def material(name: str, unit: str, *packages: tuple[str, str], **more: object) -> MaterialSpec:
    """`packages` are (size, price)."""
    offers = tuple(Offer(f"{name} {size}", Fraction(size), Decimal(price)) for size, price in packages)
    return MaterialSpec(code=name.replace(" ", "-"), name=name, unit=unit, offers=offers, **more)


def operation(name: str, typed: str, unit: str, **more: object) -> OperationSpec:
    return OperationSpec(
        code=name.replace(" ", "-"), name=name, unit=unit, rate=parse_rate(typed, "hour", unit), **more
    )


def assembly(name: str, measure: str, *components: ComponentSpec, **more: object) -> AssemblySpec:
    more.setdefault("phase", "finish")
    return AssemblySpec(
        code=name.replace(" ", "-"), name=name, measure=measure, components=components, **more
    )


def uses(
    what: MaterialSpec | OperationSpec | AssemblySpec, typed: str = "", measure: str = "floor", **more: object
) -> ComponentSpec:
    """A component; `typed` is its rate for one unit of `measure`, one for one where it is left out."""
    rate = parse_rate(typed, what.unit, MEASURES[measure].unit) if typed else ONE_FOR_ONE
    more.setdefault("key", f"{what.name} on {measure}")
    return ComponentSpec(use=what, rate=rate, **more)


def room(length: str = "10'", width: str = "12'", height: str = "8'", **more: object) -> RoomPlan:
    legs = rectangle(parse_length(length), parse_length(width))
    return RoomPlan(name="Room", legs=legs, height_nm=parse_length(height), **more)


def policy(**more: object) -> Policy:
    """$70.00 an hour at 12.5 % margin ($80.00), 20 % on everything bought, no tax, no trips."""
    settings: dict[str, object] = {
        "labor_rate": Decimal("70.00"),
        "labor": Markup(Decimal("12.5"), "margin"),
        "material": Markup(Decimal(20), "markup"),
        "equipment": Markup(Decimal(20), "markup"),
        "subcontract": Markup(Decimal(10), "markup"),
        "tax_policy": "none",
        "runs": 0,
    }
    return Policy(**{**settings, **more})
