"""The schedule of payments that a client signs with an estimate.

The basis of an issued estimate keeps its terms under "payments": what each milestone asks for, so that the
amounts with options taken follow from the paper alone. The signature puts the plan of the job back to them;
from then on the milestones of the schedule change only by a further paper. The keys are frozen with every
issued document and must stay as they are.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimating.models import Document, Job
from estimating.plain_text import money
from invoicing.ledger.history import billed_lines
from invoicing.milestones.plan import NO_MONEY, MilestoneTerm, PlanFault, milestone_amounts
from invoicing.models import Milestone, PaymentPlan
from invoicing.payment_plan.plan import JobPlan

STAYS = (
    "Both of you signed it: it changes only by a paper that both have, such as a change order, "
    "or a new estimate after a cancellation."
)


def schedule_for_basis(payment_plan: PaymentPlan, milestones: Sequence[Milestone]) -> dict[str, Any]:
    """Return the terms of a plan as the basis of its estimate keeps them; a share is in percent."""
    return {
        "retainage_percent": f"{payment_plan.retainage_percent}",
        "deposit": money(payment_plan.deposit.amount),
        "changes_go": payment_plan.changes_go,
        "milestones": [
            {
                "key": milestone.key,
                "name": milestone.name,
                "condition": milestone.condition,
                "not_covered": milestone.not_covered,
                "share": None if milestone.share_percent is None else f"{milestone.share_percent}",
                "amount": None if milestone.amount is None else money(milestone.amount.amount),
                "is_deposit": milestone.is_deposit,
            }
            for milestone in milestones
        ],
    }


def payments_with(basis: Mapping[str, Any], amount: Decimal) -> list[dict[str, str]]:
    """Return the payments of an issued estimate that comes to an amount with the options taken.

    Empty where its basis keeps none.
    """
    rows = basis.get("payments", {}).get("milestones", [])
    terms = [_term(row) for row in rows]
    try:
        amounts = milestone_amounts(amount, terms) if terms else []
    except PlanFault:  # issued before payments were held to the options
        return []
    return [{"name": row["name"], "amount": money(amount)} for row, amount in zip(rows, amounts, strict=True)]


def check_options_fit(basis: Mapping[str, Any], milestones: Sequence[Milestone]) -> None:
    """Check that the payments can sum up with any option, and with all. Raises PlanFault."""
    terms, subtotal = [milestone.term() for milestone in milestones], Decimal(basis["subtotal"])
    prices = [Decimal(option["price"]) for option in basis["options"]]
    for added in (*prices, sum(prices, NO_MONEY)):
        milestone_amounts(subtotal + added, terms)


def schedule_is_signed(job_plan: JobPlan) -> bool:
    """Return whether the plan's milestones stand on the paper that was signed.

    Costs a query for an estimate that was issued before bases kept the schedule.
    """
    contract = job_plan.contract
    if not contract.is_signed:
        return False
    estimate = contract.documents[0]
    if "payments" in estimate.basis:
        return bool(estimate.basis["payments"])
    return bool(Document.objects.get(pk=estimate.document).read_snapshot().get("payments"))


def restore_signed_schedule(document: Document) -> None:
    """Put the plan of a job back to the schedule of the estimate that is signed now. Call in a transaction.

    An estimate without a schedule leaves the plan as it is.
    """
    schedule = document.read_basis().get("payments")
    if not schedule:
        return
    payment_plan, _ = PaymentPlan.objects.get_or_create(job=document.job)
    payment_plan.retainage_percent = Decimal(schedule["retainage_percent"])
    payment_plan.deposit = Decimal(schedule["deposit"])
    payment_plan.changes_go = schedule["changes_go"]
    payment_plan.save()
    signed = [_restored(payment_plan, position, row) for position, row in enumerate(schedule["milestones"])]
    _drop_others(payment_plan, document.job, signed)


def _restored(payment_plan: PaymentPlan, position: int, row: Mapping[str, Any]) -> Milestone:
    """Store a milestone as it was signed, and return it."""
    milestone = payment_plan.milestones.filter(pk=row["key"]).first() or Milestone(plan=payment_plan)
    milestone.position = position
    milestone.name, milestone.condition, milestone.not_covered = (
        row["name"],
        row["condition"],
        row["not_covered"],
    )
    milestone.share_percent = None if row["share"] is None else Decimal(row["share"])
    milestone.amount = None if row["amount"] is None else Decimal(row["amount"])
    milestone.is_deposit = row["is_deposit"]
    milestone.save()
    return milestone


def _drop_others(payment_plan: PaymentPlan, job: Job, signed: Sequence[Milestone]) -> None:
    """Take out what isn't on the paper; what was billed of it under a canceled contract asks for nothing."""
    billed = {line.milestone for line in billed_lines(job)}
    others = payment_plan.milestones.filter(change=None).exclude(pk__in=[row.pk for row in signed])
    for milestone in others:
        if milestone.key in billed or milestone.placed_parts.exists():
            milestone.share_percent, milestone.amount, milestone.is_deposit = None, NO_MONEY, False
            milestone.save()
        else:
            milestone.delete()


def _term(row: Mapping[str, Any]) -> MilestoneTerm:
    share = None if row["share"] is None else Fraction(row["share"]) / 100
    amount = None if row["amount"] is None else Decimal(row["amount"])
    return MilestoneTerm(row["key"], row["name"], row["condition"], share, amount, row["is_deposit"])
