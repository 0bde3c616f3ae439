"""Short ways from a published example to our own take-off and price."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec
from catalog.measures.room_measures import ALL_OPENINGS, MEASURES, DeductRule
from catalog.measures.units import Rate, convert, parse_length
from catalog.money.markup import Markup
from estimating.pricing.price import Policy, PricedEstimate, price
from estimating.rooms.measures import Opening, RoomPlan, measure, rectangle
from estimating.takeoff.takeoff import Conventions, Override, RoomUse, TakeOff, Work, take_off
from tests.specs import assembly, material, operation, policy, uses

AT_COST = Markup(Decimal(0), "markup")


def room(
    length: str, width: str, height: str, doors: str = "", windows: str = "", bare: str = "ft"
) -> RoomPlan:
    """A rectangular room; openings are "width x height" parted by commas, doors and windows in turn round
    the four walls."""
    sizes = [parse_length(each, bare=bare) for each in (length, width, height)]
    typed = [("door", each) for each in _parts(doors)] + [("window", each) for each in _parts(windows)]
    openings = []
    for place, (kind, size) in enumerate(typed):
        wide, high = (parse_length(each, bare=bare) for each in size.split(" x "))
        sill = 0 if kind == "door" else (sizes[2] - high) // 2
        openings.append(Opening(f"{kind} {place}", kind, place % 4, wide, high, sill))
    return RoomPlan("Room", rectangle(sizes[0], sizes[1]), sizes[2], tuple(openings))


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",")] if text else []


def area(code: str, unit: str = "sq ft", deduct: str = "all", above: str = "0", **plan: str) -> Fraction:
    """A measure of a room in the unit wanted; several codes joined by + are added."""
    measures = measure(room(**plan))
    rule = DeductRule(deduct, Fraction(above))
    total = sum((measures.amount(each.strip(), rule) for each in code.split("+")), Fraction(0))
    return convert(total, MEASURES[code.split("+")[0].strip()].unit, unit)


def taken(
    spec: AssemblySpec,
    plans: Mapping[str, RoomPlan] | None = None,
    by_hand: Mapping[str, str] | None = None,
    deduct: DeductRule = ALL_OPENINGS,
) -> TakeOff:
    """One assembly on all of these rooms, or on amounts that the source states."""
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
    assert not [each.problem for each in result.taken if each.problem]
    return result


def hours(
    amount: str, rate: str, measure_code: str = "area", factor: str = "1", coats: str = "1"
) -> Fraction:
    """Hours for an amount of a measure at a rate as the source words it; `factor` multiplies the time."""
    unit = MEASURES[measure_code].unit
    done = uses(operation("work", rate, unit), measure=measure_code, times=int(coats))
    done = replace(done, rate=Rate(f"x {factor}", Fraction(factor)))
    (work,) = taken(assembly("work", measure_code, done), by_hand={measure_code: amount}).taken
    return work.hours


def needs(
    amount: str, rate: str, unit: str, measure_code: str = "area", waste: str = "0", coats: str = "1"
) -> Fraction:
    """What an amount of a measure requires of a material, in its unit, waste in percent."""
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
    """Whole packages of one size for the same."""
    return _required(amount, rate, unit, measure_code, waste, coats, size)[1]


def _required(
    amount: str, rate: str, unit: str, measure_code: str, waste: str, coats: str, size: str = "1"
) -> tuple[Fraction, int]:
    used = uses(sold(unit, size), rate, measure_code, waste=Fraction(waste) / 100, times=int(coats))
    (line,) = taken(assembly("work", measure_code, used), by_hand={measure_code: amount}).materials
    assert line.purchase is not None
    return line.required, line.purchase.package_count


def sold(unit: str, size: str, dollars: str = "1.00") -> MaterialSpec:
    return material("material", unit, (size, dollars))


def in_microns(microns: str) -> Decimal:
    """Thousandths of an inch, to six decimals, as the film formula takes them."""
    inches = convert(Fraction(microns) / 1000, "mm", "in")
    return Decimal(round(inches * 10**9)) / 10**6


def priced(*works: Work, **more: object) -> PricedEstimate:
    return price(take_off({}, works), at_cost(**more))


def at_cost(**more: object) -> Policy:
    """No markup on anything, no trips."""
    plain = {"labor": AT_COST, "material": AT_COST, "equipment": AT_COST, "subcontract": AT_COST}
    return policy(**{**plain, **more})


def line(key: str, net: str) -> Work:
    """An invoice line of this net amount; a credit is negative."""
    return Work(key=key, title=key, phase="finish", material_cost=Decimal(net))
