"""Work items as they are chosen for a job, and the quantities that each of them requires."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import Requirement, hours
from catalog.assemblies.specs import AssemblySpec, MaterialSpec
from catalog.measures.room_measures import ALL_OPENINGS, DeductRule, MeasureSet
from estimating.boards.layouts import AssemblyBoards, BoardLayout
from estimating.boards.tile_to_buy import LaidTile

ZERO = Fraction(0)
NO_MONEY = Decimal("0.00")


@dataclass(frozen=True)
class Conventions:
    """How the firm measures: its deduct rule for openings, and whether fixed cabinets hide walls."""

    deduct: DeductRule = ALL_OPENINGS
    cabinets_hide_walls: bool = False


DEFAULT_CONVENTIONS = Conventions()


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

    Costs are dollars before tax and markup; `price_by_hand` stands in place of the price that they make.
    `client_supplies` holds codes of materials that the client brings, `conditions` those of what makes its
    hours longer. Options with the same `option_name` are one option; without any, each is its own.
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
    option_name: str = ""
    extra_hours: Fraction = ZERO
    material_cost: Decimal = NO_MONEY
    material_taxable: bool = True
    equipment_cost: Decimal = NO_MONEY
    subcontract_cost: Decimal = NO_MONEY
    price_by_hand: Decimal | None = None
    conditions: tuple[str, ...] = ()


def main_amount(assembly: AssemblySpec, measures: MeasureSet, firm_deduct: DeductRule) -> Fraction:
    """Return how much there is of the measure that an assembly scales with.

    Openings are deducted by the assembly's own rule for material, by the firm's where it has none. Raises
    MissingMeasure.
    """
    return measures.amount(assembly.measure, assembly.deduct_material or firm_deduct)


@dataclass(frozen=True)
class ItemQuantities:
    """A work item taken off: its measures and all that it requires, or the problem that prevents it."""

    work: Work
    measures: MeasureSet
    requirements: tuple[Requirement, ...] = ()
    problem: str = ""
    boards: Mapping[str, AssemblyBoards] = field(default_factory=dict)  # by the assembly that lays them
    tiles: Mapping[str, LaidTile] = field(default_factory=dict)  # by the component that lays them
    from_plan: bool = False  # whether the plan gives what would be entered by hand

    @property
    def board_layouts(self) -> tuple[BoardLayout, ...]:
        """The layouts of the boards of this work item, surface by surface."""
        return tuple(layout for boards in self.boards.values() for layout in boards.layouts)

    def scope(self, metric: bool = False) -> str:
        """Return what the client reads of it: its own words, and how small a cut of tile gets."""
        tiles = (tile.for_client(metric) for tile in self.tiles.values())
        return "\n".join(filter(None, (self.work.scope, *tiles)))

    @property
    def hours(self) -> Fraction:
        """Hours of labor, those typed on the item included."""
        return hours(self.requirements) + self.work.extra_hours

    def amount(self, firm_deduct: DeductRule) -> Fraction | None:
        """Return how much there is of the measure that its assembly scales with; None where there is none."""
        assembly = self.work.assembly
        if assembly is None or not self.measures.has(assembly.measure):
            return None
        return main_amount(assembly, self.measures, firm_deduct)

    @property
    def keeps_days(self) -> int | None:
        """Return within how many working days what is bought for it must be used; None where all keeps."""
        bought = self.materials()
        kept = [
            requirement.use.keeps_days
            for requirement in self.requirements
            if isinstance(requirement.use, MaterialSpec) and requirement.use.code in bought
        ]
        return min((days for days in kept if days), default=None)

    def materials(self) -> dict[str, Fraction]:
        """Return the quantity that must be bought by material code, without what the client brings."""
        totals: dict[str, Fraction] = defaultdict(lambda: ZERO)
        for requirement in self.requirements:
            material = requirement.use
            if isinstance(material, MaterialSpec) and material.code not in self.work.client_supplies:
                totals[material.code] += requirement.quantity
        return {code: quantity for code, quantity in totals.items() if quantity}
