"""Two assemblies for the same room or the same amount, each as if it were the only work of the job."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from catalog.assemblies.expansion import AssemblySpec
from catalog.measures.units import format_number
from catalog.money.amounts import format_price
from estimating.pricing.price import Line, Policy, price, visits_forced
from estimating.rooms.measures import RoomPlan
from estimating.takeoff.takeoff import Conventions, MaterialLine, Override, RoomUse, Taken, Work, take_off

ZERO = Fraction(0)
FIRM_DEFAULT = Conventions()
_ROOM = "room"
Amount = TypeVar("Amount", Decimal, Fraction, int)


@dataclass(frozen=True)
class Side:
    """One of the two, alone: what it takes, what is bought for it in whole packages, its line.

    `visits` are the fewest days on which he must come because of what dries or sets overnight.
    """

    assembly: AssemblySpec
    taken: Taken
    materials: tuple[MaterialLine, ...]
    line: Line
    visits: int

    @property
    def problems(self) -> tuple[str, ...]:
        """Why the figures aren't whole, as plain sentences; none where they are."""
        unpriced = (line.problem for line in self.materials)
        return tuple(each for each in (self.taken.problem, *unpriced) if each)

    @property
    def bought(self) -> Decimal:
        """All that is bought for it, before tax."""
        return self.line.material_cost + self.line.equipment_cost + self.line.bought.subcontract

    def hours_by_operation(self) -> dict[str, Fraction]:
        """Hours of each piece of labor by its name, in the order of the work."""
        hours: dict[str, Fraction] = {}
        for each in self.taken.requirements:
            if each.is_labor:
                hours[each.use.name] = hours.get(each.use.name, ZERO) + each.quantity
        return hours


@dataclass(frozen=True)
class MaterialPair:
    """A material of either side; None where a side takes none of it."""

    name: str
    first: MaterialLine | None
    second: MaterialLine | None


@dataclass(frozen=True)
class Figure:
    """A figure of both sides in words, and what the second takes more or less."""

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

    def figures(self) -> tuple[Figure, ...]:
        """The sums of both sides in words; the price is the last."""
        one, other = self.sides
        return (
            _figure("Hours", one.line.hours, other.line.hours, _hours),
            _figure("Days on site, for what dries", one.visits, other.visits, str),
            _figure("Bought, before tax", one.bought, other.bought, format_price),
            _figure("Cost", one.line.cost, other.line.cost, format_price),
            _figure("Price", one.line.price, other.line.price, format_price),
        )

    def labor(self) -> tuple[Figure, ...]:
        """Hours of each piece of labor on either side."""
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
    conventions: Conventions = FIRM_DEFAULT,
) -> Comparison:
    """Take off, buy for and price each assembly alone.

    `amount` is so much of each one's own measure, in that measure's unit; it stands in place of what the
    room gives. Supply runs, return visits, contingency and tax charged to the client are left out: they
    belong to a job, not to one of its lines.
    """
    rooms = {_ROOM: room} if room else {}
    one, other = (_side(each, rooms, amount, policy, conventions) for each in (first, second))
    return Comparison(one, other, _material_pairs(one, other))


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
    line = next(each for each in price(taken_off, policy).lines if each.key == assembly.code)
    return Side(assembly, taken_off.taken[0], taken_off.materials, line, visits_forced(taken_off.taken))


def _material_pairs(one: Side, other: Side) -> tuple[MaterialPair, ...]:
    first, second = ({each.material.code: each for each in side.materials} for side in (one, other))
    names = {each.material.code: each.material.name for each in (*one.materials, *other.materials)}
    return tuple(MaterialPair(name, first.get(code), second.get(code)) for code, name in names.items())


def _figure(label: str, first: Amount, second: Amount, words: Callable[[Amount], str]) -> Figure:
    more = second - first
    difference = f"{words(abs(more))} {'more' if more > 0 else 'less'}" if more else "the same"
    return Figure(label, words(first), words(second), difference)


def _hours(amount: Decimal | Fraction) -> str:
    return f"{format_number(Fraction(amount))} h"
