"""The Work page of a draft and the page of one work item: plain rows, ready to be shown."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import Calculation, Requirement
from catalog.assemblies.package_words import sizes_in_words
from catalog.assemblies.packaging import Purchase
from catalog.assemblies.specs import AssemblySpec, measures_used
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.measures.units import format_amount
from catalog.money.amounts import format_price
from catalog.phases import Phase
from estimating.estimates.draft import Draft
from estimating.estimates.proposed import PROPOSED
from estimating.pricing.price import PricedLine
from estimating.takeoff.cautions import disturbs_paint, lead_at_work, work_cautions
from estimating.takeoff.disturbed import disturbed, in_words
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.scope_text import amount_in_words
from estimating.takeoff.work import NO_MONEY, Conventions, ItemQuantities, Work


@dataclass(frozen=True)
class WorkRow:
    """A work item in the list: the item, its priced line, its amount in words, what that amount was proposed
    by where it was, and why it has no price."""

    work: Work
    line: PricedLine
    amount: str
    proposed_by: str
    problem: str


@dataclass(frozen=True)
class PhaseRows:
    """The work of a phase with its sums; options aren't in them."""

    code: str
    label: str
    rows: tuple[WorkRow, ...]
    hours: Decimal
    price: Decimal


@dataclass(frozen=True)
class MissingCount:
    """An amount that no room gives and that wasn't typed yet: the work item's primary key and title, and
    the code of the measure."""

    item: int
    title: str
    measure: str


@dataclass(frozen=True)
class RequirementRow:
    """A requirement in words: its name and quantity, its arithmetic, and where its rate comes from."""

    name: str
    quantity: str
    words: str
    source: str
    path: str
    is_labor: bool
    component: str  # primary key of the component that asks for it


@dataclass(frozen=True)
class MeasureRow:
    """A measure of one work item as it is used; `by_hand` is the reason where it was put in by hand."""

    label: str
    meaning: str
    amount: str
    by_hand: str
    estimated: bool
    from_plan: str = ""  # the measure of the plan that stands for it


@dataclass(frozen=True)
class PurchaseRow:
    """A material over the whole job: required, bought in whole packages, left over, cost."""

    name: str
    required: str
    packages: str
    left_over: str
    cost: Decimal | None
    why: str = ""  # why these sticks are bought
    from_stock: str = ""  # what is on hand of it, with what it is charged at


@dataclass(frozen=True)
class ItemDetail:
    """One work item with its arithmetic."""

    line: PricedLine
    problem: str
    measures: tuple[MeasureRow, ...]
    labor: tuple[RequirementRow, ...]
    materials: tuple[RequirementRow, ...]
    purchases: tuple[PurchaseRow, ...]
    cautions: tuple[str, ...]
    lead: str  # what the house's age asks of this work, empty where it asks nothing


def lines_by_key(draft: Draft) -> dict[str, PricedLine]:
    """Return the priced lines, with those of options, by their key."""
    options = (part for option in draft.priced.options for part in option.parts or (option,))
    return {line.key: line for line in (*draft.priced.lines, *options)}


def work_by_phase(draft: Draft, metric: bool) -> list[PhaseRows]:
    """Return the work items under the phases of the work, in order; phases without work are left out."""
    lines = lines_by_key(draft)
    rows: dict[str, list[WorkRow]] = {}
    for item in draft.take_off.items:
        work, amount = item.work, _amount_in_words(item, draft.conventions, metric)
        row = WorkRow(work, lines[work.key], amount, _proposed_by(work, item.from_plan), item.problem)
        rows.setdefault(work.phase, []).append(row)
    return [_phase_rows(phase, rows[phase]) for phase in Phase if phase in rows]


def _of_plan(assembly: AssemblySpec) -> str:
    """Say which measure of the plan stands for what would be entered by hand."""
    label = MEASURES[assembly.plan_measure].label
    return f"the plan: {label[0].lower()}{label[1:]}"


def _proposed_by(work: Work, from_plan: bool) -> str:
    reasons = [row.reason for row in work.overrides if work.assembly and row.measure == work.assembly.measure]
    if from_plan and work.assembly:
        return f"{PROPOSED}{_of_plan(work.assembly)}"
    return next((reason for reason in reasons if reason.startswith(PROPOSED)), "")


def _phase_rows(phase: Phase, rows: list[WorkRow]) -> PhaseRows:
    in_sum = [row.line for row in rows if not row.work.is_option]
    return PhaseRows(
        code=phase.value,
        label=phase.label,
        rows=tuple(rows),
        hours=sum((line.hours for line in in_sum), NO_MONEY),
        price=sum((line.price for line in in_sum), NO_MONEY),
    )


def missing_counts(draft: Draft) -> tuple[MissingCount, ...]:
    """Return what is still to be counted by hand, in the order of the work."""
    return tuple(
        MissingCount(int(work.key), work.title, code)
        for item in draft.take_off.items
        if (work := item.work).assembly is not None
        for code in measures_used(work.assembly)
        if code in BY_HAND and code not in {override.measure for override in work.overrides}
        if not (item.from_plan and code == work.assembly.measure)
    )


def _amount_in_words(quantities: ItemQuantities, conventions: Conventions, metric: bool) -> str:
    """Say how much there is of what the assembly scales with, such as "142.2 sq ft"; empty without any.

    What is counted is called as on papers, "2 doors"; one thing that its title names is "1".
    """
    assembly, amount = quantities.work.assembly, quantities.amount(conventions.deduct)
    if assembly is None or amount is None:
        return ""
    unit = MEASURES[assembly.measure].unit
    if unit == "each":
        counted = amount_in_words(assembly.measure, amount, metric, quantities.work.title)
        return counted or format_amount(amount, unit)
    return format_amount(amount, unit, metric)


def _measured(code: str, amount: Fraction, metric: bool, title: str) -> str:
    """Say how much of a measure is worked on; what was counted by hand as on papers: "7 cabinets"."""
    counted = amount_in_words(code, amount, metric, title) if code == "each" else ""
    return counted or format_amount(amount, MEASURES[code].unit, metric)


def item_detail(draft: Draft, key: str, metric: bool, year_built: int | None, state: str = "") -> ItemDetail:
    """Open one work item to its arithmetic, down to package and hour.

    Its cautions depend on the year the house was built.
    """
    quantities = draft.take_off.items_by_key()[key]
    assembly = quantities.work.assembly
    requirements = [_requirement_row(requirement, metric) for requirement in quantities.requirements]
    return ItemDetail(
        line=lines_by_key(draft)[key],
        problem=quantities.problem,
        measures=tuple(_measure_rows(quantities, metric)),
        labor=tuple(row for row in requirements if row.is_labor),
        materials=tuple(row for row in requirements if not row.is_labor),
        purchases=tuple(
            purchase_row(line, metric) for line in draft.take_off.materials if key in line.by_work
        ),
        cautions=work_cautions(year_built, assembly, state) if assembly else (),
        lead=lead_at_work(year_built) if assembly and disturbs_paint(assembly) else "",
    )


def disturbed_in_words(draft: Draft, metric: bool) -> list[str]:
    """Return how much painted surface the work of a draft disturbs in each room, in sentences."""
    names = {key: plan.name for key, plan in draft.rooms.items()}
    return in_words(disturbed(draft.take_off, names, draft.conventions.deduct), metric=metric)


def purchase_row(line: MaterialLine, metric: bool = False) -> PurchaseRow:
    """Put what is bought of a material into words."""
    unit, purchase = line.material.unit, line.purchase
    return PurchaseRow(
        name=line.material.name,
        required=format_amount(line.required, unit, metric),
        packages=(bought_in_words(purchase, unit, metric) or "none") if purchase else "no price yet",
        left_over=format_amount(purchase.left_over, unit, metric) if purchase else "",
        cost=line.cost,
        from_stock=_from_stock(line, metric),
        why=line.why_sticks(metric) if line.differs or line.not_cut else "",
    )


def _from_stock(line: MaterialLine, metric: bool) -> str:
    """Say what is on hand and what it is charged at, such as "3 on hand, $55.50"; empty for none."""
    if not line.from_stock:
        return ""
    amount = format_amount(line.from_stock, line.material.unit, metric)
    return f"{amount} on hand, {format_price(line.stock_cost)}"


def bought_in_words(purchase: Purchase, unit: str, metric: bool = False) -> str:
    """Say the packages of a purchase, such as "2 × 1 gal, 1 × 1 qt"; what is bought singly is counted."""
    return ", ".join(sizes_in_words(((offer.size, count) for offer, count in purchase.counts), unit, metric))


def _requirement_row(requirement: Requirement, metric: bool) -> RequirementRow:
    return RequirementRow(
        name=requirement.use.name,
        quantity=format_amount(requirement.quantity, requirement.unit, metric),
        words=requirement.in_words(metric),
        source=requirement.rate_source,
        path=" > ".join(requirement.path[1:]),
        is_labor=requirement.is_labor,
        component=requirement.component,
    )


def _measure_rows(quantities: ItemQuantities, metric: bool) -> Iterator[MeasureRow]:
    """Yield every measure that the item's requirements scale with, as it is used first."""
    by_hand = {override.measure: override.reason for override in quantities.work.overrides}
    assembly = quantities.work.assembly
    calculations: dict[str, list[Calculation]] = defaultdict(list)
    for requirement in quantities.requirements:
        calculations[requirement.calculation.measure].append(requirement.calculation)
    for code, used in calculations.items():
        measure = MEASURES[code]
        is_estimated = code in quantities.measures.estimated
        yield MeasureRow(
            label=measure.label,
            meaning=measure.meaning,
            amount=_measured(code, used[0].amount, metric, quantities.work.title),
            by_hand=(by_hand[code] or "typed by hand") if code in by_hand else "",
            from_plan=_of_plan(assembly)
            if quantities.from_plan and assembly and code == assembly.measure
            else "",
            estimated=is_estimated or any(calculation.estimated for calculation in used),
        )
