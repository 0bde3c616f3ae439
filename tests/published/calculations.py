"""Short ways from a published example to our own take-off and price."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.specs import AssemblySpec, MaterialSpec
from catalog.measures.lengths import parse_length
from catalog.measures.rates import Rate
from catalog.measures.room_measures import ALL_OPENINGS, MEASURES, DeductRule
from catalog.measures.units import convert
from catalog.money.markup import Markup
from estimating.pricing.price import Policy, PricedEstimate, price
from estimating.rooms.measures import measure
from estimating.rooms.plan import Opening, RoomPlan, rectangle
from estimating.takeoff.takeoff import TakeOff, take_off
from estimating.takeoff.work import Conventions, Override, RoomUse, Work
from tests.specs import assembly, material, operation, policy, uses

AT_COST = Markup(Decimal(0), "markup")


def room(
    length: str, width: str, height: str, doors: str = "", windows: str = "", bare: str = "ft"
) -> RoomPlan:
    """Make a rectangular room.

    Openings are "width x height", separated by commas; doors, then windows, go around the four walls in turn.
    """
    sizes = [parse_length(size, bare=bare) for size in (length, width, height)]
    typed: list[tuple[str, str]] = [
        *(("door", size) for size in _parts(doors)),
        *(("window", size) for size in _parts(windows)),
    ]
    openings = []
    for number, (kind, size) in enumerate(typed):
        wide, high = (parse_length(side, bare=bare) for side in size.split(" x "))
        sill = 0 if kind == "door" else (sizes[2] - high) // 2
        openings.append(Opening(f"{kind} {number}", kind, number % 4, wide, high, sill))
    return RoomPlan("Room", rectangle(sizes[0], sizes[1]), sizes[2], tuple(openings))


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",")] if text else []


def area(code: str, unit: str = "sq ft", deduct: str = "all", above: str = "0", **plan: str) -> Fraction:
    """Return a measure of a room in the unit wanted; several codes joined by + are added."""
    measures = measure(room(**plan))
    rule = DeductRule(deduct, Fraction(above))
    total = sum((measures.amount(part.strip(), rule) for part in code.split("+")), Fraction(0))
    return convert(total, MEASURES[code.split("+")[0].strip()].unit, unit)


def take_off_assembly(
    spec: AssemblySpec,
    plans: Mapping[str, RoomPlan] | None = None,
    by_hand: Mapping[str, str] | None = None,
    deduct: DeductRule = ALL_OPENINGS,
) -> TakeOff:
    """Take off one assembly on all of these rooms, or on amounts that the source states."""
    plans = plans or {}
    work = Work(
        key="work",
        title="Work",
        phase="finish",
        assembly=spec,
        rooms=tuple(RoomUse(name) for name in plans),
        overrides=tuple(
            Override(code, Fraction(amount), "as published") for code, amount in (by_hand or {}).items()
        ),
    )
    result = take_off(plans, [work], Conventions(deduct))
    assert not [item.problem for item in result.items if item.problem]
    return result


def hours(
    amount: str, rate: str, measure_code: str = "area", factor: str = "1", coats: str = "1"
) -> Fraction:
    """Return the hours for an amount of a measure at a rate as the source words it.

    `factor` multiplies the time.
    """
    unit = MEASURES[measure_code].unit
    done = uses(operation("work", rate, unit), measure=measure_code, times=int(coats))
    done = replace(done, rate=Rate(f"x {factor}", Fraction(factor)))
    (work,) = take_off_assembly(assembly("work", measure_code, done), by_hand={measure_code: amount}).items
    return work.hours


def needs(
    amount: str, rate: str, unit: str, measure_code: str = "area", waste: str = "0", coats: str = "1"
) -> Fraction:
    """Return what an amount of a measure requires of a material, in its unit; waste is in percent."""
    return _required(amount, rate, unit, measure_code, waste, coats)[0]


def packages(
    amount: str,
    rate: str,
    unit: str,
    size: str,
    measure_code: str = "area",
    waste: str = "0",
    coats: str = "1",
) -> int:
    """Return the whole packages of one size that the same requires."""
    return _required(amount, rate, unit, measure_code, waste, coats, size)[1]


def _required(
    amount: str, rate: str, unit: str, measure_code: str, waste: str, coats: str, size: str = "1"
) -> tuple[Fraction, int]:
    used = uses(sold(unit, size), rate, measure_code, waste=Fraction(waste) / 100, times=int(coats))
    (line,) = take_off_assembly(
        assembly("work", measure_code, used), by_hand={measure_code: amount}
    ).materials
    assert line.purchase is not None
    return line.required, line.purchase.package_count


def sold(unit: str, size: str, dollars: str = "1.00") -> MaterialSpec:
    return material("material", unit, (size, dollars))


def in_microns(microns: str) -> Decimal:
    """Thousandths of an inch, to six decimals, as the film formula takes them."""
    inches = convert(Fraction(microns) / 1000, "mm", "in")
    return Decimal(round(inches * 10**9)) / 10**6


def priced(*works: Work, **changes: Any) -> PricedEstimate:
    return price(take_off({}, works), at_cost(**changes))


def at_cost(**changes: Any) -> Policy:
    """Make a policy with no markup on anything, and no trips."""
    plain = {"labor": AT_COST, "material": AT_COST, "equipment": AT_COST, "subcontract": AT_COST}
    return policy(**{**plain, **changes})


def line(key: str, net: str) -> Work:
    """Make an invoice line of this net amount; a credit is negative."""
    return Work(key=key, title=key, phase="finish", material_cost=Decimal(net))
