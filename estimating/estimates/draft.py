"""A draft estimate, read from the database as plain values, taken off and priced."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec, with_boards
from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from estimating.boards.layouts import LAID_AFRESH, Boards, Effort, Laying
from estimating.estimates.saved_layouts import keep, read_boards, read_sizes
from estimating.models import (
    Allowance,
    ClientSupply,
    Estimate,
    HiddenCondition,
    Job,
    MeasureOverride,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.pricing.change_terms import ChangeTerms
from estimating.pricing.hidden_conditions import Condition, NoUnitPrice, unit_price
from estimating.pricing.price import AllowanceInput, Policy, PricedEstimate, price
from estimating.rooms.measures import RoomPlan
from estimating.takeoff.takeoff import NO_MONEY, Conventions, Override, RoomUse, TakeOff, Work, take_off


@dataclass(frozen=True)
class Draft:
    """All that is known of a draft: what went in, and what it comes to."""

    rooms: Mapping[str, RoomPlan]
    works: tuple[Work, ...]
    policy: Policy
    conventions: Conventions
    allowances: tuple[AllowanceInput, ...]
    boards: Boards
    take_off: TakeOff
    priced: PricedEstimate
    conditions: tuple[Condition, ...] = ()

    @property
    def unsought(self) -> list[Laying]:
        """What is laid by a first answer only, in the order of the work; and what the choices are measured
        against, all being left to the search."""
        wanted: dict[str, Laying] = {}
        for laid in (each for one in self.take_off.taken for each in one.laid):
            for laying in (laid.laying, laid.laying.left_free):
                if laying.key not in self.boards.known:
                    wanted.setdefault(laying.key, laying)
        return list(wanted.values())


def work_out(
    rooms: Mapping[str, RoomPlan],
    works: Sequence[Work],
    policy: Policy,
    conventions: Conventions,
    allowances: Sequence[AllowanceInput] = (),
    boards: Boards = LAID_AFRESH,
    conditions: Sequence[Condition] = (),
) -> Draft:
    """Take off and price: the one road from what was typed to the total, for pages and command alike."""
    taken = take_off(rooms, works, conventions, boards)
    priced = price(taken, policy, allowances)
    return Draft(
        rooms,
        tuple(works),
        policy,
        conventions,
        tuple(allowances),
        boards,
        taken,
        priced,
        tuple(conditions),
    )


def read_draft(
    estimate: Estimate, firm: Firm, effort: Effort = "best", policy: Policy | None = None
) -> Draft:
    """The estimate as it stands in the database, priced by its own rates or by another policy. The number
    of queries does not grow with its lines.

    Boards that were never laid are laid by the best layout, which is kept; with "first" by a first answer,
    for a page that can't wait.
    """
    specs = CatalogSpecs(firm)
    rooms = Room.objects.filter(job=estimate.job_id).prefetch_related("openings", "footprints")
    # Lists of their own: a queryset for each of 300 items would take longer than its rows.
    items = estimate.items.prefetch_related(
        Prefetch("in_rooms", WorkRoom.objects.order_by("room__position", "room_id"), to_attr="uses"),
        Prefetch("overrides", to_attr="by_hand"),
        Prefetch("client_supplies", ClientSupply.objects.select_related("material"), to_attr="supplied"),
    )
    boards, sizes = read_boards(estimate.job, effort), read_sizes(estimate.job, specs.materials)
    policy = policy or policy_of(estimate, estimate.job)
    conventions = conventions_of(firm)
    draft = work_out(
        {str(room.pk): room.plan() for room in rooms},
        [_work(item, specs, sizes) for item in items],
        policy,
        conventions,
        [allowance_of(each, f"allowance-{each.pk}") for each in estimate.allowances.all()],
        boards,
        read_conditions(estimate, specs, policy, conventions),
    )
    if effort == "best":
        keep((each for one in draft.take_off.taken for each in one.laid), boards.known)
    return draft


def policy_of(estimate: Estimate, job: Job) -> Policy:
    return Policy(
        labor_rate=estimate.labor_rate.amount,
        labor=estimate.labor_markup,
        material=estimate.material_markup,
        equipment=estimate.equipment_markup,
        subcontract=estimate.subcontract_markup,
        tax_policy=job.tax_policy,
        tax_rate=Fraction(job.tax_percent) / 100,
        contingency=Fraction(estimate.contingency_percent) / 100,
        show_contingency=estimate.show_contingency,
        minimum_charge=estimate.minimum_charge.amount,
        hours_per_day=Fraction(estimate.hours_per_day),
        run_hours=Fraction(estimate.run_hours),
        days_per_run=estimate.days_per_run,
        runs=estimate.runs,
        visit_hours=Fraction(estimate.visit_hours),
        changes=ChangeTerms(
            markup=estimate.change_markup,
            fee=estimate.change_fee.amount,
            minimum=estimate.change_minimum.amount,
            keeps=Fraction(estimate.deduct_keeps_percent) / 100,
        ),
    )


def conventions_of(firm: Firm) -> Conventions:
    return Conventions(firm.deduct_rule, firm.cabinets_hide_walls)


def work_of(
    item: WorkItem,
    key: str,
    assembly: AssemblySpec | None,
    rooms: Iterable[RoomUse],
    overrides: Iterable[MeasureOverride],
    client_supplies: Iterable[str],
) -> Work:
    """A work item, stored or not, for the pure rules."""
    return Work(
        key=key,
        title=item.title,
        phase=item.phase,
        scope=item.scope,
        assembly=assembly,
        rooms=tuple(rooms),
        overrides=tuple(Override(each.measure, Fraction(each.amount), each.reason) for each in overrides),
        client_supplies=frozenset(client_supplies),
        is_option=item.is_option,
        extra_hours=Fraction(item.extra_hours),
        material_cost=item.material_cost.amount,
        material_taxable=item.material_taxable,
        equipment_cost=item.equipment_cost.amount,
        subcontract_cost=item.subcontract_cost.amount,
    )


def allowance_of(allowance: Allowance, key: str) -> AllowanceInput:
    """An allowance, stored or not, for the pure rules."""
    return AllowanceInput(
        key=key,
        name=allowance.name,
        phase=allowance.phase,
        amount=allowance.amount.amount,
        at_cost=allowance.basis == Allowance.Basis.COST,
        covers_tax=allowance.covers_tax,
    )


def read_conditions(
    estimate: Estimate, specs: CatalogSpecs, policy: Policy, conventions: Conventions
) -> list[Condition]:
    """What the estimate prices in advance. Costs a query."""
    rows = estimate.conditions.all()
    assemblies = [specs.assembly(each.assembly_id) if each.assembly_id else None for each in rows]
    return [
        condition_of(row, row.key, assembly, policy, conventions)
        for row, assembly in zip(rows, assemblies, strict=True)
    ]


def condition_of(
    row: HiddenCondition, key: str, assembly: AssemblySpec | None, policy: Policy, conventions: Conventions
) -> Condition:
    """A condition, stored or not, for the pure rules; worked out where it is made of an assembly."""
    known = Condition(key, row.name, row.unit, NO_MONEY, row.most, by_receipt=row.by_receipt)
    known = replace(known, caution=row.caution, least=row.least or Decimal(0))
    if assembly is None:
        return replace(known, price=row.price.amount)
    try:
        price_of_one, taxable = unit_price(assembly, row.usual, row.unit, policy, conventions)
    except NoUnitPrice as error:
        return replace(known, problem=f"If we find {row.name}: {error}")
    return replace(known, price=price_of_one, taxable=taxable)


def _work(item: WorkItem, specs: CatalogSpecs, sizes: Mapping[str, MaterialSpec]) -> Work:
    """A work item as `read_draft` reads it, laying boards in the sizes of its job."""
    return work_of(
        item,
        str(item.pk),
        with_boards(specs.assembly(item.assembly_id), sizes) if item.assembly_id else None,
        [RoomUse(str(each.room_id), each.chosen_walls()) for each in item.uses],
        item.by_hand,
        [each.material.code for each in item.supplied],
    )
