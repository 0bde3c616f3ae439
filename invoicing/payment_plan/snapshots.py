"""What papers of estimates and changes say of how a job is paid."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price
from estimating.contract.lines import SignedPaper
from estimating.documents.billing_hooks import PaymentsUnfit
from estimating.models import Acceptance, ChangeOrder, Document, Job
from estimating.plain_text import money
from invoicing.milestones.contract_amounts import changes_of
from invoicing.milestones.plan import ChangePart, PlanFault, SignedChange
from invoicing.models import PaymentPlan
from invoicing.models.plan import ChangesGo
from invoicing.payment_plan.plan import (
    DrawnPlan,
    agreed_in_draft,
    goes_of,
    parts_of,
    place_signed_changes,
    read_plan,
    summed,
)

CHANGES_GO = {
    ChangesGo.OWN: "Each signed change is paid for by itself, once its work is done.",
    ChangesGo.SPREAD: "What a signed change adds or takes off is spread over the payments still to come.",
    ChangesGo.LAST: "What a signed change adds or takes off goes with the last payment.",
}


def estimate_on_plan(job: Job, basis: Mapping[str, Any]) -> dict[str, Any]:
    """The plan as the estimate prints it, summed to the estimate before tax; nothing where none is drawn.

    Raises PaymentsUnfit where it can't stand.
    """
    kept = PaymentPlan.objects.filter(job=job).first()
    if kept is None:
        return {}
    rows = [row for row in kept.milestones.all() if row.change_id is None]
    agreed = agreed_in_draft(basis)
    try:
        plan = summed(kept, rows, agreed, ())
    except PlanFault as fault:
        if Acceptance.objects.filter(document__job=job).exists():
            return {}  # the plan follows what was signed, and no further estimate will be
        raise _unfit(str(fault)) from fault
    taxed = bool(agreed.tax)
    return {
        "first_line": "Each payment falls due when anyone can see that its condition is met.",
        "rows": [
            {
                "name": row.name,
                "condition": row.condition,
                "not_covered": row.not_covered,
                "amount": money(plan.milestone(row.key).base),
            }
            for row in rows
        ],
        "label": "Total before tax" if taxed else "Total",
        "total": money(plan.signed_sum),
        "notes": list(_notes(kept, taxed)),
    }


def _notes(kept: PaymentPlan, taxed: bool) -> Iterator[str]:
    if taxed:
        yield "Each bill adds the sales tax on what it asks for."
    if kept.deposit.amount:
        yield (
            f"A deposit of {format_price(kept.deposit.amount)} is asked for before the work; later bills "
            "take it off."
        )
    if kept.retainage:
        share = format_percent(kept.retainage)
        yield f"{share} of each bill for work is held back and falls due when all work is done."
    yield CHANGES_GO[ChangesGo(kept.changes_go)]


def change_on_plan(
    change: ChangeOrder, basis: Mapping[str, Any]
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The milestones that a change moves, with old and new amounts, and its parts for the basis.

    Nothing where no plan is drawn. Raises PaymentsUnfit where the plan can't stand.
    """
    drawn = read_plan(change.job)
    changes = changes_of(SignedPaper(0, "", basis), change.title)
    if drawn is None or not changes:
        return {}, []
    if drawn.plan is None:
        raise _unfit(drawn.fault)
    moved, parts = placed(drawn, changes, goes_of(change, drawn.kept))
    rows = [
        {"name": row.name, "before": money(before), "after": money(after)}
        for row in drawn.rows
        if (before := drawn.plan.amount(row.key)) != (after := moved.plan.amount(row.key))
    ]
    alone = sum((each.amount for each in changes), Decimal(0)) - sum(
        (part.amount for part in parts), Decimal(0)
    )
    if alone:
        rows.append({"name": f"A line of its own: {change.title}", "before": "", "after": money(alone)})
    taxed = " Before sales tax." if Decimal(basis["tax"]) else ""
    limit = " What goes by the hour counts at its limit." if any(each.by_measure for each in changes) else ""
    shown = {"first_line": f"Payments that it moves; the others stay.{taxed}{limit}", "rows": rows}
    return shown, [
        {
            "by_measure": part.change == changes[-1].key and changes[-1].by_measure,
            "milestone": part.milestone,
            "amount": money(part.amount),
            "taxable": money(part.taxable),
        }
        for part in parts
    ]


def placed(
    drawn: DrawnPlan, changes: tuple[SignedChange, ...], way: str
) -> tuple[DrawnPlan, list[ChangePart]]:
    """The plan with these changes where they would go, and their parts; those that get lines of their own
    are in neither."""
    found: list[ChangePart] = []
    for change in changes:
        if parts := parts_of(drawn, change, way):
            plan = drawn.plan
            plan = replace(plan, changes=(*plan.changes, change), parts=(*plan.parts, *parts))
            drawn = replace(drawn, plan=plan)
            found += parts
    return drawn, found


def _unfit(fault: str) -> PaymentsUnfit:
    return PaymentsUnfit(f"The plan of payments on the Money page can't stand. {fault}")


def change_was_signed(document: Document) -> None:
    """Give a change its place in the plan as it is signed."""
    if document.kind == Document.Kind.CHANGE_ORDER:
        with transaction.atomic():
            place_signed_changes(document.job)
