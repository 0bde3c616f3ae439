"""Work items as they are chosen for a job, and as they are taken off."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec, Requirement, hours
from catalog.measures.room_measures import MeasureSet
from estimating.boards.layouts import AssemblyBoards, Laid

ZERO = Fraction(0)
NO_MONEY = Decimal("0.00")


@dataclass(frozen=True)
class RoomUse:
    """A room that work is done in; `walls` are indexes of the walls chosen, None for all."""

    room: str
    walls: frozenset[int] | None = None


@dataclass(frozen=True)
class Override:
    """A measure put in by hand, in the measure's own unit, with the reason."""

    measure: str
    amount: Fraction
    reason: str


@dataclass(frozen=True)
class Work:
    """A work item as chosen: an assembly on rooms, costs as entered, or both.

    Costs are dollars before tax and markup. `client_supplies` holds codes of materials that the client
    brings.
    """

    key: str
    title: str
    phase: str
    scope: str = ""
    assembly: AssemblySpec | None = None
    rooms: tuple[RoomUse, ...] = ()
    overrides: tuple[Override, ...] = ()
    client_supplies: frozenset[str] = frozenset()
    is_option: bool = False
    extra_hours: Fraction = ZERO
    material_cost: Decimal = NO_MONEY
    material_taxable: bool = True
    equipment_cost: Decimal = NO_MONEY
    subcontract_cost: Decimal = NO_MONEY


@dataclass(frozen=True)
class Taken:
    """A work item taken off: its measures and all that it requires, or the problem that prevents it."""

    work: Work
    measures: MeasureSet
    requirements: tuple[Requirement, ...] = ()
    problem: str = ""
    boards: Mapping[str, AssemblyBoards] = field(default_factory=dict)  # by the assembly that lays them

    @property
    def laid(self) -> tuple[Laid, ...]:
        """The boards that it lays, surface by surface."""
        return tuple(laid for each in self.boards.values() for laid in each.laid)

    @property
    def hours(self) -> Fraction:
        return hours(self.requirements) + self.work.extra_hours

    def materials(self) -> dict[str, Fraction]:
        """Quantity that must be bought by material code; what the client brings is left out."""
        totals: dict[str, Fraction] = defaultdict(lambda: ZERO)
        for each in self.requirements:
            if isinstance(each.use, MaterialSpec) and each.use.code not in self.work.client_supplies:
                totals[each.use.code] += each.quantity
        return {code: quantity for code, quantity in totals.items() if quantity}
