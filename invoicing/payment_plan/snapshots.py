"""What estimates and change orders print of how a job is paid."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price
from estimating.contract.lines import SignedBasis
from estimating.documents.billing_hooks import PaymentsUnfit
from estimating.models import Acceptance, ChangeOrder, Document, Job
from estimating.plain_text import money
from invoicing.milestones.contract_amounts import signed_changes_of
from invoicing.milestones.plan import ChangePart, Plan, PlanFault, SignedChange, sum_money
from invoicing.models import Milestone, MoneyRules, PaymentPlan
from invoicing.models.plan import ChangePlacement
from invoicing.payment_plan.changes import (
    Placement,
    parts_by_placement,
    place_signed_changes,
    placement_of,
    with_change,
)
from invoicing.payment_plan.contract import draft_contract
from invoicing.payment_plan.plan import JobPlan, read_payment_plans, read_plan, sum_plan
from invoicing.payment_plan.signed_schedule import (
    check_options_fit,
    restore_signed_schedule,
    schedule_for_basis,
)
from invoicing.receivables.late_charges import late_share
from reading.prepared import first_of

OPTIONS_MOVE = (
    "Options taken move the payments: a payment that is a share of the sum is the same share of the sum with "
    "them, a fixed amount stays, and the balance takes the rest. The signed copy prints each amount."
)
LATE_CHARGE = "Money that is late costs {share} a year, simple interest counted by the day from the due date."
RETURNED_CHECK = "A check that your bank returns unpaid costs {fee}, once for each such check."
CHANGES_GO = {
    ChangePlacement.OWN: "Each signed change is paid for by itself, once its work is done.",
    ChangePlacement.SPREAD: (
        "What a signed change adds or deducts is spread over the payments still to come."
    ),
    ChangePlacement.LAST: "What a signed change adds or deducts goes with the last payment.",
}


def estimate_payments(job: Job, basis: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the plan as an estimate prints it, summed to the estimate before tax, and as its basis keeps it.

    Both are empty where none was made. Raises PaymentsUnfit where the plan can't sum to the estimate, or not
    with the options that its client may take.
    """
    payment_plan = first_of(read_payment_plans([job.pk]))
    if payment_plan is None:
        return {}, {}
    milestones = [milestone for milestone in payment_plan.milestones.all() if milestone.change_id is None]
    contract = draft_contract(basis)
    try:
        plan = sum_plan(payment_plan, milestones, contract, ())
    except PlanFault as fault:
        if Acceptance.objects.filter(document__job=job).exists():
            return {}, {}  # the plan follows what was signed, and no further estimate will be
        raise _unfit(str(fault)) from fault
    try:
        check_options_fit(basis, milestones)
    except PlanFault as fault:
        raise _unfit(f"With options taken, {str(fault)[0].lower()}{str(fault)[1:]}") from fault
    taxed = bool(contract.tax)
    shown = {
        "first_line": "Each payment falls due when its condition is met.",
        "rows": [
            {
                "name": milestone.name,
                "condition": milestone.condition,
                "not_covered": milestone.not_covered,
                "amount": money(plan.milestone(milestone.key).base),
                **({"begins": True} if milestone.is_deposit and not payment_plan.deposit.amount else {}),
            }
            for milestone in milestones
        ],
        "label": "Total before tax" if taxed else "Total",
        "total": money(plan.signed_sum),
        "to_begin": _to_begin(payment_plan, milestones, plan),
        "notes": list(_notes(payment_plan, milestones, taxed, bool(basis["options"]))),
    }
    return shown, schedule_for_basis(payment_plan, milestones)


def _to_begin(payment_plan: PaymentPlan, milestones: Sequence[Milestone], plan: Plan) -> str:
    """Return what is paid before work begins, before tax; empty where no payment is a deposit."""
    if payment_plan.deposit.amount:
        return money(payment_plan.deposit.amount)
    deposits = [plan.milestone(milestone.key).base for milestone in milestones if milestone.is_deposit]
    return money(sum_money(deposits)) if deposits else ""


def estimate_terms(rules: MoneyRules) -> tuple[list[str], dict[str, str]]:
    """Return the charges as an estimate states them, and as its basis keeps them; empty without any."""
    terms, kept = [], {}
    if rules.late_percent:
        terms.append(LATE_CHARGE.format(share=late_share(rules.late_percent)))
        kept["late_percent"] = f"{rules.late_percent}"
    if rules.returned_fee:
        terms.append(RETURNED_CHECK.format(fee=format_price(rules.returned_fee)))
        kept["returned_fee"] = f"{rules.returned_fee}"
    return terms, kept


def _notes(
    payment_plan: PaymentPlan, milestones: Sequence[Milestone], taxed: bool, has_options: bool
) -> Iterator[str]:
    if has_options:
        yield OPTIONS_MOVE
    if taxed:
        yield "Each bill adds the sales tax on what it asks for."
    if payment_plan.deposit.amount:
        yield (
            f"A deposit of {format_price(payment_plan.deposit.amount)} is asked for before the work and "
            "applied to later bills."
        )
    if payment_plan.retainage:
        share = format_percent(payment_plan.retainage)
        but = " but the deposit" if any(row.is_deposit for row in milestones) else ""
        yield f"{share} of each bill for work{but} is held back and falls due when all work is done."
    yield CHANGES_GO[ChangePlacement(payment_plan.changes_go)]


def change_payments(
    change: ChangeOrder, basis: Mapping[str, Any]
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Return the milestones that a change moves, with old and new amounts, and its parts for the basis.

    Both are empty where no plan was made. Raises PaymentsUnfit where the plan can't stand.
    """
    job_plan = read_plan(change.job)
    changes = signed_changes_of(SignedBasis(0, "", basis), change.title)
    if job_plan is None or not changes:
        return {}, []
    if job_plan.plan is None:
        raise _unfit(job_plan.fault)
    changed, parts = _place_unsigned(job_plan, changes, placement_of(change, job_plan.payment_plan))
    rows = _moved_rows(job_plan, changed)
    if alone := sum_money(change.amount for change in changes) - sum_money(part.amount for part in parts):
        rows.append({"name": f"A line of its own: {change.title}", "before": "", "after": money(alone)})
    taxed = " Before sales tax." if Decimal(basis["tax"]) else ""
    by_measure = {signed.key for signed in changes if signed.is_time_and_material}
    limit = " What goes by the hour counts at its limit." if by_measure else ""
    shown = {"first_line": f"Only these payments move; the others stay.{taxed}{limit}", "rows": rows}
    return shown, [
        {
            "by_measure": part.change in by_measure,
            "milestone": part.milestone,
            "amount": money(part.amount),
            "taxable": money(part.taxable),
        }
        for part in parts
    ]


def _moved_rows(before: JobPlan, after: JobPlan) -> list[dict[str, Any]]:
    """Return the milestones that come to another amount, with both amounts."""
    if before.plan is None or after.plan is None:
        return []
    return [
        {"name": milestone.name, "before": money(old), "after": money(new)}
        for milestone in before.milestones
        if (old := before.plan.amount(milestone.key)) != (new := after.plan.amount(milestone.key))
    ]


def _place_unsigned(
    job_plan: JobPlan, changes: Sequence[SignedChange], placement: Placement
) -> tuple[JobPlan, list[ChangePart]]:
    """Return the plan with these changes where they would go, and their parts.

    Changes that would get milestones of their own are in neither.
    """
    all_parts: list[ChangePart] = []
    for change in changes:
        if parts := parts_by_placement(job_plan, change, placement):
            job_plan = with_change(job_plan, change, parts)
            all_parts += parts
    return job_plan, all_parts


def _unfit(fault: str) -> PaymentsUnfit:
    return PaymentsUnfit(f"The payment schedule on the Money page can't stand. {fault}")


def document_signed(document: Document) -> None:
    """Place a change order in the plan as it is signed; an estimate brings the plan that it prints.

    With a certificate of completion all work is done, so each milestone is reached and can be billed.
    """
    with transaction.atomic():
        if document.kind == Document.Kind.COMPLETION:
            waiting = Milestone.objects.filter(plan__job=document.job_id, reached_on=None, is_deposit=False)
            waiting.update(reached_on=document.acceptance.signed_on)
        elif document.kind == Document.Kind.CHANGE_ORDER:
            place_signed_changes(document.job)
        else:
            restore_signed_schedule(document)
