"""From rooms and chosen work to requirements, whole packages, and each work item's part of their cost.

Pure: the pages, the command and the tests all call `take_off` with plain values.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import isqrt

from catalog.assemblies.expansion import Requirement, expand
from catalog.assemblies.specs import AssemblySpec, NestedInItself, job_set_ups
from catalog.measures.lengths import feet_from_nm
from catalog.measures.rates import Rate
from catalog.measures.room_measures import (
    BY_HAND,
    SHEET_MEASURES,
    DeductRule,
    MeasureSet,
    MissingMeasure,
    quick_measures,
)
from catalog.measures.units import format_number
from estimating.boards.layouts import DEFAULT_BOARDS, AssemblyBoards, Boards, assemblies_with_boards
from estimating.boards.tile_to_buy import LaidTile, lay_tile, tiles_in
from estimating.rooms.measures import measure
from estimating.rooms.outline import PlanError, wall_letter
from estimating.rooms.plan import RoomPlan
from estimating.sheet_layout.estimate_by_area import Sheet, estimate_sheets
from estimating.takeoff.job_conditions import under_conditions
from estimating.takeoff.purchasing import NOTHING, MaterialLine, PurchaseCosts, buy, purchase_costs_of
from estimating.takeoff.sharing import share_sheets
from estimating.takeoff.work import (
    DEFAULT_CONVENTIONS,
    ZERO,
    Conventions,
    ItemQuantities,
    RoomUse,
    Work,
    main_amount,
)

_SAME_SURFACE = {"wall_net": {"wall_net", "wall_gross"}}


@dataclass(frozen=True)
class TakeOff:
    """A job taken off.

    `materials` are pooled over all work items that are in the sum; `purchase_costs` are by the key of the
    work item. `use_measures` are the measures of every room as it is used, on all of its walls or some;
    `room_measures` those of whole rooms, by the room.
    """

    items: tuple[ItemQuantities, ...]
    materials: tuple[MaterialLine, ...]
    purchase_costs: Mapping[str, PurchaseCosts]
    room_measures: Mapping[str, MeasureSet] = field(default_factory=dict)
    use_measures: Mapping[RoomUse, MeasureSet] = field(default_factory=dict)
    problems: tuple[str, ...] = ()

    @property
    def items_in_sum(self) -> tuple[ItemQuantities, ...]:
        """All work items but the options."""
        return tuple(item for item in self.items if not item.work.is_option)

    def items_by_key(self) -> dict[str, ItemQuantities]:
        """Return the work items by their key, in their order."""
        return {item.work.key: item for item in self.items}


def take_off(
    rooms: Mapping[str, RoomPlan],
    works: Sequence[Work],
    conventions: Conventions = DEFAULT_CONVENTIONS,
    boards: Boards = DEFAULT_BOARDS,
    on_hand: Mapping[str, Fraction] = NOTHING,
) -> TakeOff:
    """Take off all work items and buy for them.

    Materials of one kind are pooled over the job and covered by whole packages at the least cost; the
    cost goes back to the work items in proportion to what each requires, to the cent, by largest
    remainder. An option is bought for on its own, whatever lines it has. Work that can't be taken off keeps
    its problem as a plain sentence and requires nothing. Boards are laid on the rooms' surfaces as `boards`
    says, and those of one material cut together; where the area was put in by hand, or there is no layout, a
    stated rule estimates them. What is sold in sticks is bought by a cut list where the pieces are known.
    What is `on_hand`, by the code of the material and in its unit, goes to the work in the sum before
    anything is bought; options, which may not be taken, are bought for whole.
    """
    measured = _MeasuredRooms(rooms, conventions.cabinets_hide_walls)
    items = _item_quantities(works, measured, conventions, boards)
    in_sum = [item for item in items if not item.work.is_option]
    lines = buy(in_sum, rooms, on_hand)
    costs = purchase_costs_of(in_sum, lines)
    option_lines: list[MaterialLine] = []
    for option in by_option(items):
        lines_of_option = buy(option, rooms)
        option_lines += lines_of_option
        costs |= purchase_costs_of(option, lines_of_option)
    problems = [f"{item.work.title}: {item.problem}" for item in items if item.problem]
    problems += sorted({line.problem for line in (*lines, *option_lines) if line.problem})
    return TakeOff(
        items=tuple(items),
        materials=tuple(lines),
        purchase_costs=costs,
        room_measures=measured.whole_rooms(),
        use_measures=measured.by_use,
        problems=tuple(problems),
    )


def by_option(items: Iterable[ItemQuantities]) -> list[list[ItemQuantities]]:
    """Return the work items that are options, those of one option together, in their order."""
    options: dict[tuple[str, str], list[ItemQuantities]] = {}
    for item in items:
        work = item.work
        if work.is_option:
            place = (work.option_name, "" if work.option_name else work.key)
            options.setdefault(place, []).append(item)
    return list(options.values())


class _MeasuredRooms:
    """The rooms of a job and their measures, on all of their walls or some, each worked out once."""

    def __init__(self, plans: Mapping[str, RoomPlan], cabinets_hide_walls: bool) -> None:
        self.plans = plans
        self.by_use: dict[RoomUse, MeasureSet] = {}
        self._cabinets_hide_walls = cabinets_hide_walls

    def measures(self, use: RoomUse) -> MeasureSet:
        """Measure a room on the walls that are used. Raises PlanError."""
        if use not in self.by_use:
            self._refuse_lost_walls(use)
            self.by_use[use] = measure(self.plans[use.room], use.walls, self._cabinets_hide_walls)
        return self.by_use[use]

    def _refuse_lost_walls(self, use: RoomUse) -> None:
        """Work on a wall that the room lost by a new shape must not come to nothing unseen."""
        plan = self.plans[use.room]
        lost = sorted(wall for wall in use.walls or () if wall >= len(plan.legs))
        if lost:
            letters = " and ".join(wall_letter(wall) for wall in lost)
            raise PlanError(f"{plan.name} has no wall {letters} any more: choose its walls again.", "walls")

    def whole_rooms(self) -> dict[str, MeasureSet]:
        """Measure every room on all of its walls; rooms that can't be measured are left out."""
        measured = {}
        for key in self.plans:
            try:
                measured[key] = self.measures(RoomUse(key))
            except PlanError:
                continue
        return measured


def _item_quantities(
    works: Sequence[Work], rooms: _MeasuredRooms, conventions: Conventions, boards: Boards
) -> list[ItemQuantities]:
    """Take off the work items in their order: what is set up once for the job is left out afterwards.

    What an option sets up is left out of its own further lines alone, as it may not be taken.
    """
    items: list[ItemQuantities] = []
    nothing: frozenset[str] = frozenset()
    set_up = {"": nothing}  # by the name of the option; that of the work in the sum under none
    measured = [_measured(work, rooms, conventions, boards) for work in works]
    for work, found in zip(works, share_sheets(measured, boards), strict=True):
        own = work.option_name
        tiled = _tiled_before(work, measured)
        item = _take_off_item(found, conventions, boards, set_up[""] | set_up.get(own, nothing), tiled)
        items.append(item)
        if work.assembly is not None and (own or not work.is_option) and not item.problem:
            begun = {
                requirement.component
                for requirement in item.requirements
                if requirement.calculation.amount and requirement.calculation.times
            }
            set_up[own] = set_up.get(own, nothing) | job_set_ups(work.assembly) & begun
    return items


def _measured(work: Work, rooms: _MeasuredRooms, conventions: Conventions, boards: Boards) -> ItemQuantities:
    """Measure the rooms of a work item and lay its boards and tile; what it requires comes afterwards."""
    measures = MeasureSet()
    if work.assembly is None:
        return ItemQuantities(work, measures)
    try:
        for use in work.rooms:
            measures = measures + rooms.measures(use) if measures.values else rooms.measures(use)
        by_hand = {override.measure: override.amount for override in work.overrides}
        measures = measures.with_values(by_hand) if work.rooms else quick_measures(by_hand)
        measures, from_plan = _from_plan(work.assembly, measures, by_hand)
        laid = _lay_boards(work, work.assembly, frozenset(by_hand), rooms.plans, conventions, boards)
        tiles = _lay_tiles(work, work.assembly, frozenset(by_hand), rooms.plans, conventions)
    except (NestedInItself, PlanError) as error:
        return ItemQuantities(work, measures, problem=str(error))
    return ItemQuantities(work, measures, boards=laid, tiles=tiles, from_plan=from_plan)


def _from_plan(
    assembly: AssemblySpec, measures: MeasureSet, by_hand: Mapping[str, Fraction]
) -> tuple[MeasureSet, bool]:
    """Take what would be entered by hand from the plan, where that has it and nothing was typed."""
    code, on_plan = assembly.measure, assembly.plan_measure
    if code not in BY_HAND or code in by_hand or on_plan not in measures.values:
        return measures, False
    return measures.with_values({code: measures.values[on_plan]}), True


def _take_off_item(
    item: ItemQuantities,
    conventions: Conventions,
    boards: Boards,
    set_up_done: frozenset[str],
    tiled: ItemQuantities | None,
) -> ItemQuantities:
    """Return a work item, measured and with its boards laid, with all that it requires.

    `tiled` is the work whose tile it grouts, if any.
    """
    work = item.work
    if work.assembly is None or item.problem:
        return item
    by_hand = frozenset(override.measure for override in work.overrides)
    try:
        requirements = expand(
            work.assembly,
            item.measures,
            firm_deduct=conventions.deduct,
            layout=_SheetMeasures(conventions.deduct, by_hand, item.boards, boards),
            set_up_done=set_up_done,
        )
    except (MissingMeasure, NestedInItself) as error:
        return ItemQuantities(work, item.measures, problem=str(error))
    if tiled is not None:
        requirements = _by_joints(tuple(requirements), work.assembly, item, tiled, conventions)
    bought = tuple(_as_laid(row, item.tiles, item.measures, conventions) for row in requirements)
    return replace(
        item,
        requirements=under_conditions(bought, work.conditions),
        tiles={row.component: item.tiles[row.component] for row in bought if row.laid},
    )


def _lay_boards(
    work: Work,
    assembly: AssemblySpec,
    by_hand: frozenset[str],
    plans: Mapping[str, RoomPlan],
    conventions: Conventions,
    boards: Boards,
) -> dict[str, AssemblyBoards]:
    """Lay the boards of the work on surfaces of its rooms, by the code of the assembly that lays them.

    None are laid where there are no rooms, or where the area was put in by hand: then no surface is known.
    """
    uses = tuple((use.room, use.walls) for use in work.rooms)
    return {
        part.code: boards.lay(part, plans, uses, conventions.cabinets_hide_walls)
        for part in assemblies_with_boards(assembly)
        if uses and not by_hand & _SAME_SURFACE.get(part.measure, {part.measure})
    }


def _lay_tiles(
    work: Work,
    assembly: AssemblySpec,
    by_hand: frozenset[str],
    plans: Mapping[str, RoomPlan],
    conventions: Conventions,
) -> dict[str, LaidTile]:
    """Lay the tile of the work on surfaces of its rooms, by the key of the component that lays it."""
    places = [(use.room, use.walls) for use in work.rooms]
    tiles = {}
    for use in tiles_in(assembly):
        typed = by_hand & _SAME_SURFACE.get(use.covers, {use.covers, use.assembly.measure})
        if places and not typed:
            tiles[use.component.key] = lay_tile(use, plans, places, conventions.cabinets_hide_walls)
        else:
            tiles[use.component.key] = LaidTile(use, problem="no surface was measured for it")
    return tiles


def _tiled_before(work: Work, items: Sequence[ItemQuantities]) -> ItemQuantities | None:
    """Return the one work item whose tile is laid before this work in the same rooms and on the same walls.

    None where this work fills no joints, or where several or none are laid there.
    """
    assembly = work.assembly
    if assembly is None or not any(component.fills_joints for component in assembly.components):
        return None
    found = [
        item
        for item in items
        if item.work.assembly is not None
        and item.work.assembly.code in assembly.after
        and item.tiles
        and set(item.work.rooms) == set(work.rooms)
        and item.work.option_name == work.option_name
    ]
    return found[0] if len(found) == 1 else None


def _by_joints(
    requirements: Sequence[Requirement],
    assembly: AssemblySpec,
    item: ItemQuantities,
    tiled: ItemQuantities,
    conventions: Conventions,
) -> tuple[Requirement, ...]:
    """Return what fills joints by the length that the laid tile has; as it is where areas differ."""
    (tile, *others), area = tiled.tiles.values(), tiled.amount(conventions.deduct)
    if others or not tile.layouts or not area or item.amount(conventions.deduct) != area:
        return tuple(requirements)
    by_area = tile.joint_nm_of(area)
    share = tile.joint_nm / by_area
    said = (
        f"{format_number(feet_from_nm(tile.joint_nm))} ft of joint as the tile is laid, where area alone says"
        f" {format_number(feet_from_nm(by_area))}"
    )
    keys = {component.key for component in assembly.components if component.fills_joints}
    return tuple(
        _of_rate(row, Rate(f"{row.calculation.rate.typed}, {said}", row.calculation.rate.per_unit * share))
        if row.component in keys and row.calculation.measure == assembly.measure
        else row
        for row in requirements
    )


def _of_rate(requirement: Requirement, rate: Rate) -> Requirement:
    calculation = replace(requirement.calculation, rate=rate)
    return replace(requirement, calculation=calculation, quantity=calculation.quantity())


def _as_laid(
    requirement: Requirement, tiles: Mapping[str, LaidTile], measures: MeasureSet, conventions: Conventions
) -> Requirement:
    """Return the requirement of a tile as its layout takes it; any other as it is.

    Tile that covers a part of the surface, or covers it twice, isn't what was laid: it keeps its area.
    """
    tile = tiles.get(requirement.component)
    if tile is None or requirement.use != tile.use.tile:
        return requirement
    if not tile.layouts:
        return replace(requirement, by_area=tile.problem or "nothing is left to lay it on")
    calculation, covers = (
        requirement.calculation,
        main_amount(tile.use.assembly, measures, conventions.deduct),
    )
    if calculation.amount * calculation.times * calculation.rate.per_unit != covers:
        return replace(requirement, by_area="it covers another area than the surface")
    quantity = tile.to_buy_sqft + calculation.set_up
    return replace(requirement, quantity=quantity, laid=tile.in_words())


@dataclass(frozen=True)
class _SheetMeasures:
    """Adds the measures of the sheets that an assembly lays; what was put in by hand stays."""

    deduct: DeductRule
    by_hand: frozenset[str]
    boards_by_assembly: Mapping[str, AssemblyBoards]
    boards: Boards

    def __call__(self, assembly: AssemblySpec, measures: MeasureSet) -> MeasureSet:
        if assembly.board is None or assembly.board.sheet is None:
            return measures
        boards = self.boards_by_assembly.get(assembly.code)
        if boards and not boards.problem:
            return measures.with_values(self._not_by_hand(boards.measures()))
        size = assembly.board.sheet
        area = main_amount(assembly, measures, self.deduct)
        sheet = Sheet(size.length_nm, size.width_nm, size.thickness_nm)
        edge_ft = _edge_ft(assembly.measure, area, measures)
        cut_ft = along_cuts_ft(assembly.measure, measures, sheet)
        rules = self.boards.area_rules_for(assembly)
        estimated = self._not_by_hand(estimate_sheets(area, edge_ft, sheet, rules, cut_ft))
        return measures.with_values(estimated, estimated=SHEET_MEASURES & estimated.keys())

    def _not_by_hand(self, amounts: Mapping[str, Fraction]) -> dict[str, Fraction]:
        return {code: amount for code, amount in amounts.items() if code not in self.by_hand}


def along_cuts_ft(surface: str, measures: MeasureSet, sheet: Sheet) -> Fraction | None:
    """Return the length along which boards on walls are cut, in feet; None where nothing is known of it.

    Courses lie level and are cut at one end of each wall, the last one along the wall, too, unless so many
    courses are just as high.
    """
    known = measures.values
    if (
        surface not in ("wall_net", "wall_gross")
        or not known.get("ceiling_line")
        or "wall_gross" not in known
    ):
        return None
    courses = known["wall_gross"] / known["ceiling_line"] / feet_from_nm(min(sheet.length_nm, sheet.width_nm))
    lengthwise = ZERO if courses.denominator == 1 else known["ceiling_line"]
    return known.get("inside_corner", ZERO) + lengthwise


def _edge_ft(surface: str, area_sqft: Fraction, measures: MeasureSet) -> Fraction:
    """Return the length of the edge around a surface.

    Where the rooms don't give it, it is that of a square of the same area, rounded down to 4/1000 ft.
    """
    known = measures.values
    if surface == "floor" and "floor_perimeter" in known:
        return known["floor_perimeter"]
    if surface == "ceiling" and "ceiling_line" in known:
        return known["ceiling_line"]
    if surface in ("wall_net", "wall_gross") and "ceiling_line" in known:
        return 2 * (known["ceiling_line"] + known.get("inside_corner", ZERO))
    return 4 * Fraction(isqrt(int(area_sqft * 1_000_000)), 1000)
