"""What the Work and Price pages show of a draft: plain rows, ready to be printed."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import Requirement, measures_used
from catalog.assemblies.packaging import Purchase
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.measures.units import format_quantity
from catalog.phases import Phase
from estimating.estimates.draft import Draft
from estimating.models import Estimate, WorkItem
from estimating.pricing.price import Line
from estimating.takeoff.cautions import disturbs_paint, lead_at_work, work_cautions
from estimating.takeoff.takeoff import MaterialLine, Taken


@dataclass(frozen=True)
class WorkLine:
    """A work item in the list: the item, its priced line, and what stands in its way."""

    item: WorkItem
    line: Line
    amount: str
    problem: str


@dataclass(frozen=True)
class Uncounted:
    """An amount that no room gives and that wasn't typed yet: the work item's primary key and title."""

    item: int
    title: str
    measure: str


@dataclass(frozen=True)
class Worked:
    """A requirement in words: what, how much, how it was worked out, and where the rate comes from."""

    what: str
    how_much: str
    words: str
    source: str
    path: str
    labor: bool
    component: str  # primary key of the component that asks for it


@dataclass(frozen=True)
class Measured:
    """A measure of one work item as it is used: `by_hand` names the reason where it was put in."""

    label: str
    meaning: str
    amount: str
    by_hand: str
    estimated: bool


@dataclass(frozen=True)
class ToBuy:
    """A material over the whole job: required, bought in whole packages, left over, cost."""

    name: str
    required: str
    packages: str
    left_over: str
    cost: Decimal | None
    why: str = ""  # of sticks, why these are bought


@dataclass(frozen=True)
class ItemDetail:
    line: Line
    problem: str
    measures: tuple[Measured, ...]
    labor: tuple[Worked, ...]
    materials: tuple[Worked, ...]
    purchases: tuple[ToBuy, ...]
    cautions: tuple[str, ...]
    lead: str  # what the house's age asks of this work, empty where it asks nothing


def lines_by_key(draft: Draft) -> dict[str, Line]:
    return {line.key: line for line in (*draft.priced.lines, *draft.priced.options)}


def work_by_phase(draft: Draft, estimate: Estimate, metric: bool) -> list[tuple[str, list[WorkLine]]]:
    """The work items under the phases of the work, in order; phases without work are left out."""
    lines = lines_by_key(draft)
    taken = {each.work.key: each for each in draft.take_off.taken}
    rows: dict[str, list[WorkLine]] = {}
    for item in estimate.items.all():
        one = taken[str(item.pk)]
        rows.setdefault(item.phase, []).append(
            WorkLine(item, lines[str(item.pk)], own_amount(one, draft, metric), one.problem)
        )
    return [(phase.label, rows[phase]) for phase in Phase if phase in rows]


def uncounted(draft: Draft) -> tuple[Uncounted, ...]:
    """What is still to be counted by hand, in the order of the work."""
    return tuple(
        Uncounted(int(work.key), work.title, code)
        for work in draft.works
        if work.assembly is not None
        for code in measures_used(work.assembly)
        if code in BY_HAND and code not in {each.measure for each in work.overrides}
    )


def own_amount(taken: Taken, draft: Draft, metric: bool) -> str:
    """What the item's assembly scales with, such as "142.2 sq ft"; empty where there is none."""
    assembly = taken.work.assembly
    if assembly is None or not taken.measures.has(assembly.measure):
        return ""
    amount = taken.measures.amount(assembly.measure, assembly.deduct_material or draft.conventions.deduct)
    return format_quantity(amount, MEASURES[assembly.measure].unit, metric)


def item_detail(draft: Draft, key: str, metric: bool, year_built: int | None) -> ItemDetail:
    """One work item opened to its arithmetic, down to package and hour; cautions by the house's year."""
    taken = next(each for each in draft.take_off.taken if each.work.key == key)
    assembly = taken.work.assembly
    by_hand = {each.measure: each.reason for each in taken.work.overrides}
    codes = dict.fromkeys(each.working.measure for each in taken.requirements)
    worked = [_worked(each, metric) for each in taken.requirements]
    return ItemDetail(
        line=lines_by_key(draft)[key],
        problem=taken.problem,
        measures=tuple(_measured(taken, code, by_hand, metric) for code in codes),
        labor=tuple(each for each in worked if each.labor),
        materials=tuple(each for each in worked if not each.labor),
        purchases=tuple(to_buy(each, metric) for each in draft.take_off.materials if key in each.by_work),
        cautions=work_cautions(year_built, assembly) if assembly else (),
        lead=lead_at_work(year_built) if assembly and disturbs_paint(assembly) else "",
    )


def to_buy(line: MaterialLine, metric: bool = False) -> ToBuy:
    unit = line.material.unit
    purchase = line.purchase
    return ToBuy(
        name=line.material.name,
        required=format_quantity(line.required, unit, metric),
        packages=packages_in_words(purchase, unit, metric) if purchase else "no price yet",
        left_over=format_quantity(purchase.left_over, unit, metric) if purchase else "",
        cost=purchase.cost if purchase else None,
        why=line.why_sticks(metric) if line.differs or line.not_cut else "",
    )


def packages_in_words(purchase: Purchase, unit: str, metric: bool = False) -> str:
    """Such as "2 × 1 gal, 1 × 1 qt"."""
    return ", ".join(
        f"{count} × {format_quantity(offer.size, unit, metric)}" for offer, count in purchase.counts if count
    )


def _worked(requirement: Requirement, metric: bool) -> Worked:
    return Worked(
        what=requirement.use.name,
        how_much=format_quantity(requirement.quantity, requirement.unit, metric),
        words=requirement.in_words(metric),
        source=requirement.source or getattr(requirement.use, "source", ""),
        path=" > ".join(requirement.path[1:]),
        labor=requirement.is_labor,
        component=requirement.component,
    )


def _measured(taken: Taken, code: str, by_hand: dict[str, str], metric: bool) -> Measured:
    measure = MEASURES[code]
    amount = next(
        (each.working.amount for each in taken.requirements if each.working.measure == code), Fraction(0)
    )
    return Measured(
        label=measure.label,
        meaning=measure.meaning,
        amount=format_quantity(amount, measure.unit, metric),
        by_hand=(by_hand[code] or "typed by hand") if code in by_hand else "",
        estimated=code in taken.measures.estimated
        or any(each.working.estimated for each in taken.requirements if each.working.measure == code),
    )
