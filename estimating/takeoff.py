"""From rooms and chosen work to requirements, whole packages, and each work item's share of them.

Pure: the pages, the command and the tests all call `take_off` with plain values.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import isqrt

from catalog.expansion import (
    AssemblySpec,
    MaterialSpec,
    NestedInItself,
    Requirement,
    expand,
    hours,
    job_set_ups,
)
from catalog.measures import (
    ALL_OPENINGS,
    SHEET_MEASURES,
    DeductRule,
    MeasureSet,
    MissingMeasure,
    quick_measures,
)
from catalog.money import split_cents
from catalog.packaging import Purchase, UnusableOffers, cover
from estimating.board_layouts import LAID_AFRESH, AssemblyBoards, Boards, Laid, boards_in
from estimating.geometry import PlanError, RoomPlan, measure
from estimating.sheet_estimate import Sheet, estimate_sheets

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
class Conventions:
    """How the firm measures: its deduct rule for openings, and whether fixed cabinets hide walls."""

    deduct: DeductRule = ALL_OPENINGS
    cabinets_hide_walls: bool = False


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


@dataclass(frozen=True)
class Bought:
    """What one work item's share of the purchases costs, before tax, in whole cents."""

    material_taxable: Decimal = NO_MONEY
    material_untaxed: Decimal = NO_MONEY
    equipment_taxable: Decimal = NO_MONEY
    equipment_untaxed: Decimal = NO_MONEY
    subcontract: Decimal = NO_MONEY


@dataclass(frozen=True)
class MaterialLine:
    """One material over the whole job: what is required, what is bought, and for which work items.

    Without a purchase, `problem` says in a plain sentence why there is none.
    """

    material: MaterialSpec
    required: Fraction
    purchase: Purchase | None
    by_work: Mapping[str, Fraction]
    cost_by_work: Mapping[str, Decimal]
    problem: str = ""


@dataclass(frozen=True)
class TakeOff:
    """A job taken off. `materials` are pooled over all work items that are in the sum."""

    taken: tuple[Taken, ...]
    materials: tuple[MaterialLine, ...]
    bought: Mapping[str, Bought]
    room_measures: Mapping[str, MeasureSet] = field(default_factory=dict)
    problems: tuple[str, ...] = ()


def take_off(
    rooms: Mapping[str, RoomPlan],
    work: Sequence[Work],
    conventions: Conventions = Conventions(),
    boards: Boards = LAID_AFRESH,
) -> TakeOff:
    """Take off all work items and buy for them.

    Materials of one kind are pooled over the job and covered by whole packages at the least cost; the
    cost goes back to the work items in proportion to what each requires, to the cent, by largest
    remainder. An option is bought for on its own. Work that can't be taken off keeps its problem as a
    plain sentence and requires nothing. Boards are laid on the rooms' surfaces as `boards` says; where
    the area was put in by hand, or there is no layout, a stated rule estimates them.
    """
    measured = _Rooms(rooms, conventions)
    taken: list[Taken] = []
    set_up_done: frozenset[str] = frozenset()
    for each in work:
        one = _take(each, measured, conventions, boards, set_up_done)
        taken.append(one)
        if each.assembly is not None and not each.is_option and not one.problem:
            set_up_done |= job_set_ups(each.assembly)
    in_sum = [each for each in taken if not each.work.is_option]
    lines = buy(in_sum)
    bought = shares(in_sum, lines)
    problems = [f"{each.work.title}: {each.problem}" for each in taken if each.problem]
    option_lines: list[MaterialLine] = []
    for option in (each for each in taken if each.work.is_option):
        alone = buy([option])
        option_lines += alone
        bought |= shares([option], alone)
    problems += sorted({line.problem for line in (*lines, *option_lines) if line.problem})
    return TakeOff(tuple(taken), tuple(lines), bought, measured.whole(), tuple(problems))


class _Rooms:
    """Measures of rooms and of some of their walls, each worked out once."""

    def __init__(self, plans: Mapping[str, RoomPlan], conventions: Conventions) -> None:
        self.plans = plans
        self._hide = conventions.cabinets_hide_walls
        self._known: dict[RoomUse, MeasureSet] = {}

    def of(self, use: RoomUse) -> MeasureSet:
        if use not in self._known:
            self._known[use] = measure(self.plans[use.room], use.walls, self._hide)
        return self._known[use]

    def whole(self) -> dict[str, MeasureSet]:
        measured = {}
        for key in self.plans:
            try:
                measured[key] = self.of(RoomUse(key))
            except PlanError:
                continue
        return measured


def _take(
    work: Work, measured: _Rooms, conventions: Conventions, boards: Boards, set_up_done: frozenset[str]
) -> Taken:
    measures = MeasureSet()
    if work.assembly is None:
        return Taken(work, measures)
    try:
        for use in work.rooms:
            measures = measures + measured.of(use) if measures.values else measured.of(use)
        by_hand = {each.measure: each.amount for each in work.overrides}
        measures = measures.with_values(by_hand) if work.rooms else quick_measures(by_hand)
        laid = _lay_boards(work, frozenset(by_hand), measured.plans, conventions, boards)
        requirements = expand(
            work.assembly,
            measures,
            firm_deduct=conventions.deduct,
            layout=_SheetLayout(conventions.deduct, frozenset(by_hand), laid),
            set_up_done=set_up_done,
        )
    except (MissingMeasure, NestedInItself, PlanError) as error:
        return Taken(work, measures, problem=str(error))
    return Taken(work, measures, requirements, boards=laid)


def _lay_boards(
    work: Work,
    by_hand: frozenset[str],
    plans: Mapping[str, RoomPlan],
    conventions: Conventions,
    boards: Boards,
) -> dict[str, AssemblyBoards]:
    """The boards that the work lays on surfaces of its rooms, by the code of the assembly that lays them.

    None where there are no rooms, or where the area was put in by hand: then no surface is known.
    """
    areas = {"wall_net": {"wall_net", "wall_gross"}}
    uses = tuple((each.room, each.walls) for each in work.rooms)
    return {
        each.code: boards.lay(each, plans, uses, conventions.cabinets_hide_walls)
        for each in boards_in(work.assembly)
        if uses and not by_hand & areas.get(each.measure, {each.measure})
    }


@dataclass(frozen=True)
class _SheetLayout:
    """Adds the measures of the sheets that an assembly lays; what was put in by hand stays."""

    deduct: DeductRule
    by_hand: frozenset[str]
    laid: Mapping[str, AssemblyBoards]

    def __call__(self, assembly: AssemblySpec, measures: MeasureSet) -> MeasureSet:
        if assembly.board is None or assembly.board.sheet is None:
            return measures
        boards = self.laid.get(assembly.code)
        if boards and not boards.problem:
            return measures.with_values(
                {code: amount for code, amount in boards.measures().items() if code not in self.by_hand}
            )
        size = assembly.board.sheet
        area = measures.amount(assembly.measure, assembly.deduct_material or self.deduct)
        sheets = estimate_sheets(
            area,
            _edge_ft(assembly.measure, area, measures),
            Sheet(size.length_nm, size.width_nm, size.thickness_nm),
        )
        laid = {code: amount for code, amount in sheets.items() if code not in self.by_hand}
        return measures.with_values(laid, estimated=SHEET_MEASURES & laid.keys())


def _edge_ft(surface: str, area_sqft: Fraction, measures: MeasureSet) -> Fraction:
    """Length of the edge round a surface; that of a square of its area where the rooms don't give it."""
    known = measures.values
    if surface == "floor" and "floor_perimeter" in known:
        return known["floor_perimeter"]
    if surface == "ceiling" and "ceiling_line" in known:
        return known["ceiling_line"]
    if surface in ("wall_net", "wall_gross") and "ceiling_line" in known:
        return 2 * (known["ceiling_line"] + known.get("inside_corner", ZERO))
    return 4 * Fraction(isqrt(int(area_sqft * 1_000_000)), 1000)


def buy(taken: Iterable[Taken]) -> list[MaterialLine]:
    """Pool what these work items require and cover it by whole packages, cheapest first found exactly."""
    materials: dict[str, MaterialSpec] = {}
    by_work: dict[str, dict[str, Fraction]] = defaultdict(dict)
    for one in taken:
        for each in one.requirements:
            if isinstance(each.use, MaterialSpec):
                materials[each.use.code] = each.use
        for code, quantity in one.materials().items():
            by_work[code][one.work.key] = quantity
    lines = []
    for code, wanted in by_work.items():
        material = materials[code]
        required = sum(wanted.values(), ZERO)
        purchase, problem = _purchase(material, required)
        parts = split_cents(purchase.cost, list(wanted.values())) if purchase else [NO_MONEY] * len(wanted)
        lines.append(
            MaterialLine(material, required, purchase, wanted, dict(zip(wanted, parts, strict=True)), problem)
        )
    return sorted(lines, key=lambda line: line.material.name)


def _purchase(material: MaterialSpec, required: Fraction) -> tuple[Purchase | None, str]:
    """The cheapest packages, or none and the reason."""
    if not material.offers:
        return None, f"{material.name} has no price: give it a package in the catalog."
    try:
        return cover(required, material.offers), ""
    except UnusableOffers as error:
        return None, f"{material.name}: {error}"


def shares(taken: Iterable[Taken], lines: Iterable[MaterialLine]) -> dict[str, Bought]:
    """What each work item's purchases cost by kind: its share of the packages, and costs as entered."""
    sums: dict[str, dict[str, Decimal]] = {
        one.work.key: {
            "material_taxable" if one.work.material_taxable else "material_untaxed": one.work.material_cost,
            "equipment_untaxed": one.work.equipment_cost,
            "subcontract": one.work.subcontract_cost,
        }
        for one in taken
    }
    for line in lines:
        kind = line.material.kind
        if kind != "subcontract":
            kind = f"{kind}_{'taxable' if line.material.taxable else 'untaxed'}"
        for key, cost in line.cost_by_work.items():
            sums[key][kind] = sums[key].get(kind, NO_MONEY) + cost
    return {key: Bought(**by_kind) for key, by_kind in sums.items()}
