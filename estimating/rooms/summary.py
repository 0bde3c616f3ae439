"""What is shown of a room beside its form and in the list: the plan, the figures, what is amiss."""

from dataclasses import dataclass, replace

from catalog.measures.lengths import half_up
from catalog.measures.room_measures import BY_HAND, MEASURES, SHEET_MEASURES, DeductRule, MeasureSet
from catalog.measures.units import NM_PER_FOOT, format_length, format_quantity
from estimating.rooms.drawing import plan_svg
from estimating.rooms.measures import RoomPlan, faults, measure, outline

FIRST = ("floor", "floor_perimeter", "wall_net")


@dataclass(frozen=True)
class Figure:
    """A measure in words: "Floor", "142.22 sq ft", and how it is measured."""

    code: str
    label: str
    amount: str
    meaning: str


@dataclass(frozen=True)
class Sketch:
    """A room drawn; without measures where something is amiss, which `remarks` say."""

    svg: str = ""
    measures: MeasureSet | None = None
    figures: tuple[Figure, ...] = ()
    remarks: tuple[str, ...] = ()
    waiting: str = ""  # what has still to be typed before anything can be drawn
    unread_rows: int = 0  # rows that are begun but can't be read, and so are left out

    @property
    def first(self) -> tuple[Figure, ...]:
        return tuple(figure for figure in self.figures if figure.code in FIRST)

    @property
    def others(self) -> tuple[Figure, ...]:
        return tuple(figure for figure in self.figures if figure.code not in FIRST)


def sketch(
    plan: RoomPlan,
    deduct: DeductRule,
    cabinets_hide_walls: bool = False,
    metric: bool = False,
    ident: str = "plan",
) -> Sketch:
    """The plan drawn and measured. Raises PlanError where it can't even be drawn."""
    svg = plan_svg(replace(plan, name=plan.name or "the room"), metric, ident=ident)
    if plan.height_nm <= 0:
        return Sketch(svg, waiting="Type the ceiling height, and the areas follow.")
    amiss = tuple(str(fault) for fault in faults(plan, metric))
    if amiss:
        return Sketch(svg, remarks=amiss)
    measures = measure(plan, cabinets_hide_walls=cabinets_hide_walls)
    return Sketch(svg, measures, figures(measures, deduct, metric), _balance(plan, metric))


def figures(measures: MeasureSet, deduct: DeductRule, metric: bool = False) -> tuple[Figure, ...]:
    """Every measure of a room in words; lengths as a tape shows them, areas to two decimals half-up."""
    codes = [code for code in MEASURES if code not in BY_HAND | SHEET_MEASURES and measures.has(code)]
    return tuple(_figure(code, measures, deduct, metric) for code in codes if code != "rooms")


def _figure(code: str, measures: MeasureSet, deduct: DeductRule, metric: bool) -> Figure:
    named = MEASURES[code]
    amount = measures.amount(code, deduct)
    if named.unit == "ft":
        shown = format_length(half_up(amount * NM_PER_FOOT), metric)
    elif named.unit == "each":
        shown = str(amount)
    else:
        shown = format_quantity(amount, named.unit, metric)
    rule = f"; here: {deduct.in_words()}" if code == "wall_net" else ""
    meaning = f"{named.meaning[0].upper()}{named.meaning[1:]}{rule}."
    return Figure(code, named.label, shown, meaning)


def _balance(plan: RoomPlan, metric: bool) -> tuple[str, ...]:
    closing = outline(plan).closing
    if not plan.balanced or not closing.distance_nm:
        return ()
    return (f"As typed, {closing.in_words(metric)}. The difference is spread over the walls.",)
