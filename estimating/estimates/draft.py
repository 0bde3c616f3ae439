"""A draft estimate as plain values, read from the database, taken off and priced."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.specs import AssemblySpec, MaterialSpec, with_boards
from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.boards.layout_request import LayoutRequest
from estimating.boards.layouts import DEFAULT_BOARDS, BoardLayout, Boards, Effort
from estimating.estimates.saved_layouts import (
    board_choices_of,
    board_layouts_of,
    board_rules,
    board_sizes_of,
    boards_of,
    save_layouts,
)
from estimating.models import (
    Allowance,
    BoardChoice,
    BoardRules,
    ClientSupply,
    Estimate,
    FixedFootprint,
    HiddenCondition,
    Job,
    KeptLayout,
    MeasureOverride,
    Opening,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.pricing.change_terms import ChangeTerms
from estimating.pricing.hidden_conditions import NoUnitPrice, PricedCondition, unit_price
from estimating.pricing.price import AllowanceInput, Policy, PricedEstimate, price
from estimating.rooms.plan import RoomPlan
from estimating.snapshots.wording import NO_WORDING, AllowanceTerms, ClientMaterial, DraftWording
from estimating.takeoff.purchasing import NOTHING
from estimating.takeoff.sharing import share_sheets
from estimating.takeoff.takeoff import TakeOff, take_off
from estimating.takeoff.work import NO_MONEY, Conventions, Override, RoomUse, Work
from reading.prepared import made_of

DRAFTS_KEPT = 16  # in this process, so that the pages of one job don't work it out one after the other


@dataclass(frozen=True)
class Draft:
    """All that is known of a draft: what went in, and what it comes to.

    `rooms` are by the key that the work refers to them by; `wording` is what the same rows say beside the
    prices; `on_hand` is stock by the code of its material.
    """

    rooms: Mapping[str, RoomPlan]
    works: tuple[Work, ...]
    policy: Policy
    conventions: Conventions
    allowances: tuple[AllowanceInput, ...]
    boards: Boards
    take_off: TakeOff
    priced: PricedEstimate
    conditions: tuple[PricedCondition, ...] = ()
    wording: DraftWording = NO_WORDING
    on_hand: Mapping[str, Fraction] = field(default_factory=dict)

    @property
    def not_yet_optimized(self) -> list[LayoutRequest]:
        """Return the layouts that have only a first answer so far, in the order of the work.

        Where choices were made, the layout without them counts too: the choices are compared with it.
        """
        requests: dict[str, LayoutRequest] = {}
        for layout in self.board_layouts():
            for request in (layout.request, layout.request.without_choices):
                if request.key not in self.boards.known:
                    requests.setdefault(request.key, request)
        return list(requests.values())

    @property
    def not_yet_shared(self) -> list[BoardLayout]:
        """Return a layout of each board whose sheets are shared by a first answer so far."""
        shared = {id(layout.shared): layout for layout in self.board_layouts() if layout.shared}
        return [layout for layout in shared.values() if layout.shared and not layout.shared.best]

    def best_shared(self) -> list[BoardLayout]:
        """Return the layouts whose sheets have only a first answer, with the sheets shared at best.

        Each surface must have its best layout.
        """
        items = share_sheets(self.take_off.items, replace(self.boards, effort="best"))
        return [layout for item in items for layout in item.board_layouts]

    def board_layouts(self) -> Iterator[BoardLayout]:
        """Yield the layouts of all boards, in the order of the work."""
        for item in self.take_off.items:
            yield from item.board_layouts


def price_draft(
    rooms: Mapping[str, RoomPlan],
    works: Sequence[Work],
    policy: Policy,
    conventions: Conventions,
    allowances: Sequence[AllowanceInput] = (),
    boards: Boards = DEFAULT_BOARDS,
    conditions: Sequence[PricedCondition] = (),
    wording: DraftWording = NO_WORDING,
    on_hand: Mapping[str, Fraction] = NOTHING,
) -> Draft:
    """Take off and price: the one way from what was typed to the total, for pages and command alike."""
    taken_off = take_off(rooms, works, conventions, boards, on_hand)
    return Draft(
        rooms=rooms,
        works=tuple(works),
        policy=policy,
        conventions=conventions,
        allowances=tuple(allowances),
        boards=boards,
        take_off=taken_off,
        priced=price(taken_off, policy, allowances),
        conditions=tuple(conditions),
        wording=wording,
        on_hand=on_hand,
    )


def price_again(draft: Draft, works: Sequence[Work], boards: Boards) -> Draft:
    """Return a draft with other work or boards, its sums alone."""
    rules = (draft.policy, draft.conventions, draft.allowances)
    return price_draft(draft.rooms, works, *rules, boards, on_hand=draft.on_hand)


def read_draft(
    estimate: Estimate, firm: Firm, effort: Effort = "best", policy: Policy | None = None
) -> Draft:
    """Read an estimate as it stands in the database, priced by its own rates or by another policy.

    The number of queries doesn't grow with its lines. Boards that were never laid get the best layout, which
    is stored; with the effort "first" they get a first answer, for a page that can't wait. A draft of which
    nothing has changed since it was read last isn't worked out again.
    """
    reader, rows = CatalogReader(firm), _read_rows(estimate.job_id, estimate.pk)
    made_by = _MadeBy(
        reader.catalog,
        policy or policy_of(estimate, estimate.job),
        conventions_of(firm),
        estimate.stock(),
    )
    known = rows.drafts.get(effort)
    if known is None or known[0] != made_by:
        known = rows.drafts[effort] = made_by, _draft_of(rows, reader, effort, made_by)
    draft = known[1]
    if effort == "best":
        save_layouts(draft.board_layouts(), draft.boards)
    return draft


@dataclass(frozen=True)
class _MadeBy:
    """What a draft was made by beside its own rows; of the catalog, the same as it was last read."""

    catalog: object
    policy: Policy
    conventions: Conventions
    on_hand: Mapping[str, Fraction]


@dataclass(frozen=True)
class _Rows:
    """The rows of an estimate and of its job's rooms and boards; what belongs to an item is by its key.

    `drafts` are those that were last made of them, by effort.
    """

    rooms: Mapping[str, RoomPlan]
    items: Sequence[WorkItem]
    uses: Mapping[int, Sequence[RoomUse]]
    overrides: Mapping[int, Sequence[MeasureOverride]]
    supplies: Mapping[int, Sequence[ClientSupply]]
    allowances: Sequence[Allowance]
    conditions: Sequence[HiddenCondition]
    boards: Boards
    sizes: Sequence[tuple[int, int]]
    drafts: dict[Effort, tuple[_MadeBy, Draft]] = field(default_factory=dict)


@made_of(
    lambda job, estimate: Room.objects.filter(job=job),
    lambda job, estimate: Opening.objects.filter(room__job=job),
    lambda job, estimate: FixedFootprint.objects.filter(room__job=job),
    lambda job, estimate: WorkItem.objects.filter(estimate=estimate),
    lambda job, estimate: WorkRoom.objects.filter(item__estimate=estimate).order_by(
        "room__position", "room_id"
    ),
    lambda job, estimate: MeasureOverride.objects.filter(item__estimate=estimate),
    lambda job, estimate: ClientSupply.objects.filter(item__estimate=estimate).select_related("material"),
    lambda job, estimate: Allowance.objects.filter(estimate=estimate),
    lambda job, estimate: HiddenCondition.objects.filter(estimate=estimate),
    lambda job, estimate: board_layouts_of(job),
    lambda job, estimate: board_rules(),
    lambda job, estimate: board_choices_of(job),
    lambda job, estimate: board_sizes_of(job),
    kept=DRAFTS_KEPT,
)
def _read_rows(
    rooms: Iterable[Room],
    openings: Iterable[Opening],
    footprints: Iterable[FixedFootprint],
    items: Sequence[WorkItem],
    uses: Iterable[WorkRoom],
    overrides: Iterable[MeasureOverride],
    supplies: Iterable[ClientSupply],
    allowances: Sequence[Allowance],
    conditions: Sequence[HiddenCondition],
    layouts: Iterable[KeptLayout],
    rules: Iterable[BoardRules],
    choices: Iterable[BoardChoice],
    sizes: Sequence[tuple[int, int]],
) -> _Rows:
    in_room, standing = _grouped(openings, "room_id"), _grouped(footprints, "room_id")
    return _Rows(
        rooms={
            str(room.pk): room.plan_with(in_room.get(room.pk, ()), standing.get(room.pk, ()))
            for room in rooms
        },
        items=items,
        uses={
            item: [RoomUse(str(use.room_id), use.chosen_walls()) for use in used]
            for item, used in _grouped(uses, "item_id").items()
        },
        overrides=_grouped(overrides, "item_id"),
        supplies=_grouped(supplies, "item_id"),
        allowances=allowances,
        conditions=conditions,
        boards=boards_of(layouts, rules, choices),
        sizes=sizes,
    )


def _grouped(rows: Iterable[Any], key: str) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = {}
    for row in rows:
        groups.setdefault(getattr(row, key), []).append(row)
    return groups


def _draft_of(rows: _Rows, reader: CatalogReader, effort: Effort, made_by: _MadeBy) -> Draft:
    sizes = {reader.materials[board].code: reader.materials[instead] for board, instead in rows.sizes}
    return price_draft(
        rows.rooms,
        [
            work_of(
                item,
                str(item.pk),
                _assembly_in_sizes(item.assembly_id, reader, sizes),
                rows.uses.get(item.pk, ()),
                rows.overrides.get(item.pk, ()),
                [supply.material.code for supply in rows.supplies.get(item.pk, ())],
            )
            for item in rows.items
        ],
        made_by.policy,
        made_by.conventions,
        [allowance_of(allowance, _allowance_key(allowance)) for allowance in rows.allowances],
        replace(rows.boards, effort=effort),
        _conditions(rows.conditions, reader, made_by.policy, made_by.conventions),
        draft_wording(
            [(str(item.pk), item) for item in rows.items],
            [(_allowance_key(allowance), allowance) for allowance in rows.allowances],
            [
                _client_material(item, supply)
                for item in rows.items
                for supply in rows.supplies.get(item.pk, ())
            ],
        ),
        made_by.on_hand,
    )


def policy_of(estimate: Estimate, job: Job) -> Policy:
    """Return how an estimate is priced: by its own rates and its job's sales tax."""
    return Policy(
        labor_rate=estimate.labor_rate.amount,
        labor=estimate.labor_markup,
        material=estimate.material_markup,
        equipment=estimate.equipment_markup,
        subcontract=estimate.subcontract_markup,
        tax_policy=job.tax_policy,
        tax_rate=Fraction(job.tax_percent) / 100,
        contingency=Fraction(estimate.contingency_percent) / 100,
        contingency_of=estimate.contingency_of,
        show_contingency=estimate.show_contingency,
        show_trips=estimate.show_trips,
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
    """Return how the firm measures."""
    return Conventions(firm.deduct_rule, firm.cabinets_hide_walls)


def work_of(
    item: WorkItem,
    key: str,
    assembly: AssemblySpec | None,
    rooms: Iterable[RoomUse],
    overrides: Iterable[MeasureOverride],
    client_supplies: Iterable[str],
) -> Work:
    """Return a work item, stored or not, as the pure rules take it."""
    return Work(
        key=key,
        title=item.title,
        phase=item.phase,
        scope=item.scope,
        assembly=assembly,
        rooms=tuple(rooms),
        overrides=tuple(
            Override(override.measure, Fraction(override.amount), override.reason) for override in overrides
        ),
        client_supplies=frozenset(client_supplies),
        is_option=item.is_option,
        option_name=item.option_name if item.is_option else "",
        extra_hours=Fraction(item.extra_hours),
        material_cost=item.material_cost.amount,
        material_taxable=item.material_taxable,
        equipment_cost=item.equipment_cost.amount,
        subcontract_cost=item.subcontract_cost.amount,
        price_by_hand=None if item.price_by_hand is None else item.price_by_hand.amount,
        conditions=tuple(filter(None, item.conditions.split(","))),
    )


def allowance_of(allowance: Allowance, key: str) -> AllowanceInput:
    """Return an allowance, stored or not, as the pure rules take it."""
    return AllowanceInput(
        key=key,
        name=allowance.name,
        phase=allowance.phase,
        amount=allowance.amount.amount,
        at_cost=allowance.basis == Allowance.Basis.COST,
        covers_tax=allowance.covers_tax,
    )


def read_conditions(
    estimate: Estimate, reader: CatalogReader, policy: Policy, conventions: Conventions
) -> list[PricedCondition]:
    """Read and price the hidden conditions of an estimate. Costs a query."""
    return _conditions(estimate.conditions.all(), reader, policy, conventions)


def _conditions(
    rows: Iterable[HiddenCondition], reader: CatalogReader, policy: Policy, conventions: Conventions
) -> list[PricedCondition]:
    return [
        condition_of(
            row,
            row.key,
            reader.assembly(row.assembly_id) if row.assembly_id else None,
            policy,
            conventions,
        )
        for row in rows
    ]


def condition_of(
    row: HiddenCondition, key: str, assembly: AssemblySpec | None, policy: Policy, conventions: Conventions
) -> PricedCondition:
    """Return a hidden condition, stored or not, as the pure rules take it.

    Where it is made of an assembly, its price is computed; where that can't be, its `problem` says why.
    """
    unpriced = PricedCondition(
        key=key,
        name=row.name,
        unit=row.unit,
        price=NO_MONEY,
        most=row.most,
        least=row.least or Decimal(0),
        by_receipt=row.by_receipt,
        caution=row.caution,
    )
    if assembly is None or row.usual is None:
        return replace(unpriced, price=NO_MONEY if row.price is None else row.price.amount)
    try:
        price_of_one, taxable = unit_price(assembly, row.usual, row.unit, policy, conventions)
    except NoUnitPrice as error:
        return replace(unpriced, problem=f"Hidden condition, {row.name}: {error}")
    return replace(unpriced, price=price_of_one, taxable=taxable, price_is_worked_out=True)


def draft_wording(
    items: Iterable[tuple[str, WorkItem]],
    allowances: Iterable[tuple[str, Allowance]],
    brought: Sequence[ClientMaterial],
) -> DraftWording:
    """Return what the rows of a draft, stored or not, say beside its prices; items and allowances by key."""
    terms = {
        key: AllowanceTerms(allowance.covers_labor, allowance.covers_delivery, allowance.decide_by)
        for key, allowance in allowances
    }
    options = {key: item.decide_by for key, item in items if item.decide_by}
    choices = {key: term.decide_by for key, term in terms.items() if term.decide_by}
    return DraftWording(decide_by=options | choices, allowances=terms, brought=tuple(brought))


def _assembly_in_sizes(
    assembly_id: int | None, reader: CatalogReader, sizes: Mapping[str, MaterialSpec]
) -> AssemblySpec | None:
    """Read an assembly, with its boards in the sizes that the job has chosen."""
    return with_boards(reader.assembly(assembly_id), sizes) if assembly_id else None


def _client_material(item: WorkItem, supply: ClientSupply) -> ClientMaterial:
    return ClientMaterial(str(item.pk), supply.material.code, supply.material.name, supply.needed_by)


def _allowance_key(allowance: Allowance) -> str:
    return f"allowance-{allowance.pk}"
