"""What is shown of a room beside its form and in the list: the plan, the measures, what is amiss."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from catalog.measures.lengths import NM_PER_FOOT, format_length, half_up
from catalog.measures.room_measures import BY_HAND, MEASURES, SHEET_MEASURES, DeductRule, MeasureSet
from catalog.measures.units import format_quantity
from estimating.rooms.cabinet_runs import run_remarks
from estimating.rooms.drawing import plan_svg
from estimating.rooms.elevation import elevation_svg, walls_to_draw
from estimating.rooms.faults import plan_faults
from estimating.rooms.measures import measure
from estimating.rooms.plan import RoomPlan, room_outline

FIRST = ("floor", "floor_perimeter", "wall_net")


@dataclass(frozen=True)
class RoomFigure:
    """A measure in words: "Floor", "142.22 sq ft", and how it is measured."""

    code: str
    label: str
    amount: str
    meaning: str


@dataclass(frozen=True)
class RoomSummary:
    """A room drawn and measured; without measures where something is amiss, which `remarks` say."""

    svg: str = ""
    elevations: tuple[str, ...] = ()  # the walls with cabinets, drawn as they look
    measures: MeasureSet | None = None
    figures: tuple[RoomFigure, ...] = ()
    remarks: tuple[str, ...] = ()
    waiting: str = ""  # what has still to be typed before anything can be drawn
    unread_rows: int = 0  # rows that are begun but can't be read, and so are left out

    @property
    def first(self) -> tuple[RoomFigure, ...]:
        return tuple(figure for figure in self.figures if figure.code in FIRST)

    @property
    def others(self) -> tuple[RoomFigure, ...]:
        return tuple(figure for figure in self.figures if figure.code not in FIRST)


def summarize_room(
    plan: RoomPlan,
    deduct: DeductRule,
    cabinets_hide_walls: bool = False,
    metric: bool = False,
    ident: str = "plan",
) -> RoomSummary:
    """Return the plan drawn and measured. Raises PlanError where it can't even be drawn."""
    svg = plan_svg(replace(plan, name=plan.name or "the room"), metric, ident=ident)
    if plan.height_nm <= 0:
        return RoomSummary(svg, waiting="Type the ceiling height, and the areas follow.")
    faults = tuple(str(fault) for fault in plan_faults(plan, metric))
    if faults:
        return RoomSummary(svg, remarks=faults)
    measures = measure(plan, cabinets_hide_walls=cabinets_hide_walls)
    remarks = (*_balance(plan, metric), *run_remarks(plan, metric))
    elevations = tuple(
        elevation_svg(plan, wall, metric, ident=f"{ident}-wall-{wall}") for wall in walls_to_draw(plan)
    )
    return RoomSummary(svg, elevations, measures, room_figures(measures, deduct, metric), remarks)


def room_figures(measures: MeasureSet, deduct: DeductRule, metric: bool = False) -> tuple[RoomFigure, ...]:
    """Return every measure in words: lengths as a tape shows them, areas to two decimals half up."""
    codes = [code for code in MEASURES if code not in BY_HAND | SHEET_MEASURES and measures.has(code)]
    return tuple(_figure(code, measures, deduct, metric) for code in codes if code != "rooms")


def total_figures(
    summaries: Iterable[RoomSummary], deduct: DeductRule, metric: bool = False
) -> tuple[RoomFigure, ...]:
    """Return the measures of all rooms together; empty unless two rooms or more are measured."""
    measured = [summary.measures for summary in summaries if summary.measures]
    return room_figures(sum(measured, MeasureSet()), deduct, metric) if len(measured) > 1 else ()


def _figure(code: str, measures: MeasureSet, deduct: DeductRule, metric: bool) -> RoomFigure:
    kind = MEASURES[code]
    amount = measures.amount(code, deduct)
    if kind.unit == "ft":
        amount_text = format_length(half_up(amount * NM_PER_FOOT), metric)
    elif kind.unit == "each":
        amount_text = str(amount)
    else:
        amount_text = format_quantity(amount, kind.unit, metric)
    rule = f"; here: {deduct.in_words()}" if code == "wall_net" else ""
    meaning = f"{kind.meaning[0].upper()}{kind.meaning[1:]}{rule}."
    return RoomFigure(code, kind.label, amount_text, meaning)


def _balance(plan: RoomPlan, metric: bool) -> tuple[str, ...]:
    """Return the remark on a closing error that is spread over the walls, if there is one."""
    misclosure = room_outline(plan).misclosure
    if not plan.balanced or not misclosure.distance_nm:
        return ()
    return (f"As typed, {misclosure.in_words(metric)}. The difference is spread over the walls.",)
