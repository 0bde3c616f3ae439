"""Two assemblies for the same room or the same amount, each as if it were the only work of the job."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from catalog.assemblies.specs import AssemblySpec
from catalog.measures.units import format_number
from catalog.money.amounts import format_price
from estimating.pricing.price import Policy, PricedLine, price
from estimating.rooms.plan import RoomPlan
from estimating.schedule.day_count import count_days
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import (
    DEFAULT_CONVENTIONS,
    ZERO,
    Conventions,
    ItemQuantities,
    Override,
    RoomUse,
    Work,
)

_ROOM = "room"
Amount = TypeVar("Amount", Decimal, Fraction, int)


@dataclass(frozen=True)
class Side:
    """One of the two, alone: its quantities, what is bought for it in whole packages, its priced line.

    `visits` are the days on which the firm comes, as it is planned alone.
    """

    assembly: AssemblySpec
    quantities: ItemQuantities
    materials: tuple[MaterialLine, ...]
    line: PricedLine
    visits: int

    @property
    def problems(self) -> tuple[str, ...]:
        """Why the figures aren't complete, as plain sentences; none where they are."""
        unpriced = (line.problem for line in self.materials)
        return tuple(problem for problem in (self.quantities.problem, *unpriced) if problem)

    @property
    def bought(self) -> Decimal:
        """What all that is bought for it costs, before tax."""
        return self.line.material_cost + self.line.equipment_cost + self.line.purchase_costs.subcontract

    def hours_by_operation(self) -> dict[str, Fraction]:
        """Return the hours of each operation by its name, in the order of the work."""
        hours: dict[str, Fraction] = {}
        for requirement in self.quantities.requirements:
            if requirement.is_labor:
                name = requirement.use.name
                hours[name] = hours.get(name, ZERO) + requirement.quantity
        return hours


@dataclass(frozen=True)
class MaterialPair:
    """A material of either side; None where a side takes none of it."""

    name: str
    first: MaterialLine | None
    second: MaterialLine | None


@dataclass(frozen=True)
class ComparedFigure:
    """A figure of both sides in words, and how much more or less the second one's is."""

    label: str
    first: str
    second: str
    difference: str


@dataclass(frozen=True)
class Comparison:
    """Both sides, and all that either of them buys."""

    first: Side
    second: Side
    materials: tuple[MaterialPair, ...]

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.first, self.second

    def figures(self) -> tuple[ComparedFigure, ...]:
        """Return the sums of both sides in words; the price is the last."""
        first, second = self.sides
        return (
            _figure("Hours", first.line.hours, second.line.hours, _hours),
            _figure("Days on site", first.visits, second.visits, str),
            _figure("Bought, before tax", first.bought, second.bought, format_price),
            _figure("Cost", first.line.cost, second.line.cost, format_price),
            _figure("Price", first.line.price, second.line.price, format_price),
        )

    def labor(self) -> tuple[ComparedFigure, ...]:
        """Return the hours of each operation on either side."""
        first, second = self.first.hours_by_operation(), self.second.hours_by_operation()
        return tuple(
            _figure(name, first.get(name, ZERO), second.get(name, ZERO), _hours) for name in first | second
        )


def compare(
    first: AssemblySpec,
    second: AssemblySpec,
    policy: Policy,
    *,
    room: RoomPlan | None = None,
    amount: Fraction | None = None,
    conventions: Conventions = DEFAULT_CONVENTIONS,
) -> Comparison:
    """Take off, buy for and price each assembly alone.

    `amount` is so much of each assembly's own measure, in that measure's unit; it stands in place of what
    the room gives. Supply runs, return visits, contingency and tax charged to the client are left out: they
    belong to a job, not to one of its lines.
    """
    rooms = {_ROOM: room} if room else {}
    sides = [_side(assembly, rooms, amount, policy, conventions) for assembly in (first, second)]
    return Comparison(sides[0], sides[1], _material_pairs(sides[0], sides[1]))


def _side(
    assembly: AssemblySpec,
    rooms: Mapping[str, RoomPlan],
    amount: Fraction | None,
    policy: Policy,
    conventions: Conventions,
) -> Side:
    work = Work(
        key=assembly.code,
        title=assembly.name,
        phase=assembly.phase,
        assembly=assembly,
        rooms=tuple(RoomUse(room) for room in rooms),
        overrides=() if amount is None else (Override(assembly.measure, amount, ""),),
    )
    taken_off = take_off(rooms, [work], conventions)
    line = next(line for line in price(taken_off, policy).lines if line.key == assembly.code)
    return Side(
        assembly,
        taken_off.items[0],
        taken_off.materials,
        line,
        count_days(taken_off.items, policy.hours_per_day).days,
    )


def _material_pairs(first: Side, second: Side) -> tuple[MaterialPair, ...]:
    of_first, of_second = ({line.material.code: line for line in side.materials} for side in (first, second))
    names = {line.material.code: line.material.name for line in (*first.materials, *second.materials)}
    return tuple(MaterialPair(name, of_first.get(code), of_second.get(code)) for code, name in names.items())


def _figure(label: str, first: Amount, second: Amount, in_words: Callable[[Amount], str]) -> ComparedFigure:
    increase = second - first
    difference = f"{in_words(abs(increase))} {'more' if increase > 0 else 'less'}" if increase else "the same"
    return ComparedFigure(label, in_words(first), in_words(second), difference)


def _hours(amount: Decimal | Fraction) -> str:
    return f"{format_number(Fraction(amount))} h"
