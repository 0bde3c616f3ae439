"""Money to come: open invoices by their due dates, and milestones by the dates expected of them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.urls import reverse

from estimating.models import Acceptance, Document
from invoicing.accounts import Books
from invoicing.agreed import agreed_on
from invoicing.billing import left_to_bill
from invoicing.milestones import PlanFault
from invoicing.models import Milestone, PaymentPlan, PlacedPart
from invoicing.plans import change_title, counted, signed_paper, summed


@dataclass(frozen=True)
class ToCome:
    """Money expected on a day; a milestone's is before sales tax and retainage."""

    on: date
    title: str
    url: str
    amount: Decimal
    is_billed: bool


def money_to_come(books: Books) -> list[ToCome]:
    """All that is expected on a day, earliest first. Four queries, however many jobs there are."""
    invoices = (_of_invoice(books, key) for key in books.documents)
    milestones = (row for plan in _plans() for row in _of_plan(plan, books))
    return sorted(
        (each for group in (*invoices, milestones) for each in group), key=lambda each: (each.on, each.title)
    )


def _of_invoice(books: Books, key: str) -> Iterable[ToCome]:
    document = books.documents[key]
    for each in books.of(document.job.client_id).owed:
        if each.key == key and each.open:
            yield ToCome(
                each.due, f"{key}, {document.job.name}", document.get_absolute_url(), each.open, True
            )


@dataclass(frozen=True)
class _Plan:
    kept: PaymentPlan
    rows: Sequence[Milestone]
    signed: Sequence[Acceptance]
    parts: Sequence[PlacedPart]


def _plans() -> list[_Plan]:
    plans = PaymentPlan.objects.filter(job__closed=False).select_related("job__client")
    kept = {plan.job_id: plan for plan in plans.prefetch_related("milestones")}
    signed: dict[int, list[Acceptance]] = defaultdict(list)
    rows = (
        Acceptance.objects.uncanceled()
        .filter(
            document__job__in=kept, document__kind__in=(Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
        )
        .select_related("document__estimate__change")
    )
    # Estimates come last by kind, and the plan wants them first.
    for row in rows.defer("document__pdf", "document__snapshot").order_by(
        "-document__kind", "document__number"
    ):
        signed[row.document.job_id].append(row)
    parts: dict[int, list[PlacedPart]] = defaultdict(list)
    for part in PlacedPart.objects.filter(milestone__plan__in=kept.values()).select_related("milestone"):
        parts[part.milestone.plan_id].append(part)
    return [
        _Plan(plan, list(plan.milestones.all()), signed[job], parts[plan.pk])
        for job, plan in kept.items()
        if signed[job] and signed[job][0].document.kind == Document.Kind.ESTIMATE
    ]


def _of_plan(plan: _Plan, books: Books) -> Iterable[ToCome]:
    """What signed plans still have to bill; one that can't stand says so on its job's page."""
    first, *changes = plan.signed
    agreed = agreed_on(
        signed_paper(first), [(signed_paper(each), change_title(each.document)) for each in changes], True
    )
    job = plan.kept.job
    history = books.billed_lines(job)
    rows, parts = counted(plan.rows, plan.parts, agreed, history)
    try:
        left = left_to_bill(summed(plan.kept, rows, agreed, parts), history)
    except PlanFault:
        return
    for row in rows:
        if row.expected_on and left[row.key] > 0:
            url = reverse("job-money", args=[job.pk])
            yield ToCome(row.expected_on, f"{row.name}, {job.name}", url, left[row.key], False)
