"""Where the money of a signed change goes in the payment schedule.

A change is placed once, in the transaction of its signature, and its parts are stored: what was spread over
the milestones open then must not move with later bills. It goes where its document says, else where the plan
sends changes; where there is no room, it gets a milestone of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from estimating.changes.price import RowKind
from estimating.contract.lines import SignedBasis
from estimating.models import ChangeOrder, Document, Job
from invoicing.ledger.history import billed_lines
from invoicing.milestones import plan as rules
from invoicing.milestones.change_placement import place_last, place_spread, place_with
from invoicing.milestones.contract_amounts import change_key, signed_changes_of
from invoicing.milestones.plan import NO_MONEY, ChangePart, PlanFault, SignedChange
from invoicing.models import Milestone, PaymentPlan, PlacedPart, PlannedChange, PlannedPart
from invoicing.models.plan import ChangePlacement
from invoicing.payment_plan.contract import change_title, read_contracts
from invoicing.payment_plan.plan import JobPlan, plan_by

OWN_CONDITION = "The work of {document} is done."


def place_signed_changes(job: Job) -> None:
    """Place every signed change that has no place in the job's plan yet. Call in a transaction.

    Without a plan nothing is done: making one places them.
    """
    payment_plan = PaymentPlan.objects.select_for_update().filter(job=job).first()
    if payment_plan is None:
        return
    payment_plan.job = job
    contract = read_contracts([job]).get(job.pk)
    if contract is None:
        return
    placed = set(PlacedPart.objects.filter(milestone__plan__job=job).values_list("document_id", flat=True))
    unplaced = [signed for signed in contract.documents[1:] if signed.document not in placed]
    if not unplaced:
        return
    keys = {change_key(signed.document, by_measure) for signed in unplaced for by_measure in (False, True)}
    without = replace(
        contract, changes=tuple(change for change in contract.changes if change.key not in keys)
    )
    job_plan = plan_by(payment_plan, without, billed_lines(job))
    documents = Document.objects.select_related("estimate__change")
    by_pk = documents.in_bulk([signed.document for signed in unplaced])
    for signed in unplaced:
        job_plan = _place(job_plan, by_pk[signed.document], signed)


def _place(job_plan: JobPlan, document: Document, signed: SignedBasis) -> JobPlan:
    """Store the parts of one change, and return the plan with it."""
    placement = placement_of(getattr(document.estimate, "change", None), job_plan.payment_plan)
    for change in signed_changes_of(signed, change_title(document)):
        parts = _parts_on_document(job_plan, change, signed)
        if parts is None:
            parts = parts_by_placement(job_plan, change, placement)
        if not parts:
            job_plan, own = _with_own_milestone(job_plan, document)
            parts = (ChangePart(change.key, own.key, change.amount, change.taxable),)
        _store(document, change, parts)
        job_plan = with_change(job_plan, change, parts)
    return job_plan


def _store(document: Document, change: SignedChange, parts: Iterable[ChangePart]) -> None:
    PlacedPart.objects.bulk_create(
        PlacedPart(
            document=document,
            by_measure=change.is_time_and_material,
            milestone_id=int(part.milestone),
            amount=part.amount,
            taxable=part.taxable,
        )
        for part in parts
    )


def with_change(job_plan: JobPlan, change: SignedChange, parts: Iterable[ChangePart]) -> JobPlan:
    """Return the plan with one more change and its parts; as it was where it can't stand anyway."""
    plan = job_plan.plan
    if plan is None:
        return job_plan
    plan = replace(plan, changes=(*plan.changes, change), parts=(*plan.parts, *parts))
    return replace(job_plan, plan=plan)


@dataclass(frozen=True)
class Placement:
    """Where a change's money is to go: a ChangePlacement, or before that the key of a chosen milestone.

    A change that gives up what was billed has `parts` of its own, each with the milestone that was billed.
    """

    goes: str
    milestone: str = ""
    parts: tuple[ChangePart, ...] = ()


def placement_of(change: ChangeOrder | None, payment_plan: PaymentPlan) -> Placement:
    """Return where a change's money is to go: where its owner sent it, or else the plan.

    Costs a query, and one more for a change that gives something up.
    """
    if change and change.reason == ChangeOrder.Reason.GIVEN:
        return Placement(payment_plan.changes_go, parts=tuple(map(_planned_part, change.planned_parts.all())))
    planned = PlannedChange.objects.filter(change=change).first() if change else None
    if planned is None:
        return Placement(payment_plan.changes_go)
    return Placement(planned.goes, f"{planned.milestone_id or ''}")


def _planned_part(part: PlannedPart) -> ChangePart:
    return ChangePart("", f"{part.milestone_id}", part.amount.amount, part.taxable.amount)


def open_milestones(job_plan: JobPlan) -> list[Milestone]:
    """Return the milestones of the estimate with something left, with which the money of a change can go.

    A deposit was asked for before anything could change, and the line of a change bills that change alone.
    """
    return [
        row for row in job_plan.own_milestones if not row.is_deposit and job_plan.left.get(row.key, 0) > 0
    ]


def parts_by_placement(
    job_plan: JobPlan, change: SignedChange, placement: Placement
) -> tuple[ChangePart, ...]:
    """Return the parts of a change by its placement; empty where it needs a milestone of its own."""
    plan = job_plan.plan
    if plan is None:
        return ()
    if placement.parts:
        return tuple(replace(part, change=change.key) for part in placement.parts)
    left = {row.key: job_plan.left[row.key] for row in open_milestones(job_plan)}
    try:
        if placement.milestone:
            placed = place_with(plan, change, placement.milestone, left)
        elif placement.goes == ChangePlacement.SPREAD:
            placed = place_spread(plan, change, left)
        elif placement.goes == ChangePlacement.LAST:
            placed = place_last(plan, change, left)
        else:
            return ()
    except PlanFault:
        return ()
    return placed.parts[len(plan.parts) :]


def _parts_on_document(
    job_plan: JobPlan, change: SignedChange, signed: SignedBasis
) -> tuple[ChangePart, ...] | None:
    """Return the parts that the signed document names; empty where the change gets a milestone of its own.

    None where it names nothing, or milestones that are gone or have no room for a credit any more. What is
    given up is billed already, and needs none.
    """
    if "plan" not in signed.basis:
        return None
    parts = tuple(
        ChangePart(change.key, part["milestone"], Decimal(part["amount"]), Decimal(part["taxable"]))
        for part in signed.basis["plan"]
        if part["by_measure"] == change.is_time_and_material
    )
    left = job_plan.left
    is_given = all(line["kind"] == RowKind.GIVEN_UP for line in signed.basis["lines"])
    fits = all(
        part.milestone in left and (is_given or left[part.milestone] + part.amount >= 0) for part in parts
    )
    return parts if fits else None


def _with_own_milestone(job_plan: JobPlan, document: Document) -> tuple[JobPlan, Milestone]:
    """Return the plan with a milestone of its own for a change, at the end of the plan; it is made once."""
    own = next((row for row in job_plan.milestones if row.change_id == document.pk), None)
    if own:
        return job_plan, own
    own = Milestone.objects.create(
        plan=job_plan.payment_plan,
        position=len(job_plan.milestones),
        name=change_title(document)[:80],
        condition=OWN_CONDITION.format(document=document),
        amount=NO_MONEY,
        change=document,
    )
    plan = job_plan.plan
    if plan:
        milestone = rules.Milestone(own.key, own.name, own.condition, NO_MONEY)
        plan = replace(plan, milestones=(*plan.milestones, milestone))
    return replace(job_plan, milestones=(*job_plan.milestones, own), plan=plan), own
