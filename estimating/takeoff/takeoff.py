"""From rooms and chosen work to requirements, whole packages, and each work item's share of them.

Pure: the pages, the command and the tests all call `take_off` with plain values.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import isqrt

from catalog.assemblies.expansion import AssemblySpec, NestedInItself, expand, job_set_ups
from catalog.measures.room_measures import (
    ALL_OPENINGS,
    SHEET_MEASURES,
    DeductRule,
    MeasureSet,
    MissingMeasure,
    quick_measures,
)
from estimating.boards.layouts import LAID_AFRESH, AssemblyBoards, Boards, boards_in
from estimating.rooms.measures import PlanError, RoomPlan, measure, wall_letter
from estimating.sheet_layout.estimate_by_area import Sheet, estimate_sheets
from estimating.takeoff.purchasing import Bought, MaterialLine, buy, shares
from estimating.takeoff.work import NO_MONEY, ZERO, Override, RoomUse, Taken, Work

__all__ = [
    "NO_MONEY",
    "Bought",
    "Conventions",
    "MaterialLine",
    "Override",
    "RoomUse",
    "TakeOff",
    "Taken",
    "Work",
    "take_off",
]


@dataclass(frozen=True)
class Conventions:
    """How the firm measures: its deduct rule for openings, and whether fixed cabinets hide walls."""

    deduct: DeductRule = ALL_OPENINGS
    cabinets_hide_walls: bool = False


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
    the area was put in by hand, or there is no layout, a stated rule estimates them. What is sold in
    sticks is bought by a cut list where the pieces are known.
    """
    measured = _Rooms(rooms, conventions)
    taken: list[Taken] = []
    set_up_done: frozenset[str] = frozenset()
    for each in work:
        one = _take(each, measured, conventions, boards, set_up_done)
        taken.append(one)
        if each.assembly is not None and not each.is_option and not one.problem:
            begun = {use.component for use in one.requirements if use.working.amount and use.working.times}
            set_up_done |= job_set_ups(each.assembly) & begun
    in_sum = [each for each in taken if not each.work.is_option]
    lines = buy(in_sum, rooms)
    bought = shares(in_sum, lines)
    problems = [f"{each.work.title}: {each.problem}" for each in taken if each.problem]
    option_lines: list[MaterialLine] = []
    for option in (each for each in taken if each.work.is_option):
        alone = buy([option], rooms)
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
            self._refuse_lost_walls(use)
            self._known[use] = measure(self.plans[use.room], use.walls, self._hide)
        return self._known[use]

    def _refuse_lost_walls(self, use: RoomUse) -> None:
        """Work on a wall that the room lost by a new shape must not come to nothing unseen."""
        plan = self.plans[use.room]
        lost = sorted(wall for wall in use.walls or () if wall >= len(plan.legs))
        if lost:
            letters = " and ".join(wall_letter(wall) for wall in lost)
            raise PlanError(f"{plan.name} has no wall {letters} any more: choose its walls again.", "walls")

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
