"""Money to come: open invoices by their due dates, and milestones by the dates on which they were reached or
are expected.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.urls import reverse

from estimating.models import Job
from invoicing.billing.draft import standing
from invoicing.ledger.accounts import Books
from invoicing.milestones.plan import NO_MONEY
from invoicing.payment_plan.plan import DrawnPlan, read_plans


@dataclass(frozen=True)
class ToCome:
    """Money expected on a day, or on none that was said yet; a milestone's is before sales tax and
    retainage."""

    on: date | None
    title: str
    url: str
    amount: Decimal
    is_billed: bool


def money_to_come(books: Books) -> list[ToCome]:
    """All that is expected, earliest first, and last what has no day. Four queries, however many jobs there
    are."""
    invoices = (_of_invoice(books, key) for key in books.documents)
    plans = read_plans(Job.objects.filter(closed=False), books).values()
    milestones = (row for plan in plans for row in _of_plan(plan))
    return sorted(
        (each for group in (*invoices, milestones) for each in group),
        key=lambda each: (each.on or date.max, each.title),
    )


def _of_invoice(books: Books, key: str) -> Iterable[ToCome]:
    document = books.documents[key]
    for each in books.of(document.job.client_id).owed:
        if each.key == key and each.open:
            yield ToCome(
                each.due, f"{key}, {document.job.name}", document.get_absolute_url(), each.open, True
            )


def _of_plan(plan: DrawnPlan) -> Iterable[ToCome]:
    """What a signed plan still has to bill, less the deposit that its next bills take off; one that can't
    stand says so on its job's page."""
    if plan.plan is None:
        return
    job, left, stands = plan.kept.job, plan.left, standing(plan.plan, plan.history)
    page, deposit = reverse("job-money", args=[job.pk]), stands.deposit_left
    for row in plan.rows:
        taken = min(deposit, max(left[row.key], NO_MONEY))
        deposit -= taken
        if (amount := left[row.key] - taken) > 0:
            on = row.reached_on or row.expected_on
            url = page if on else reverse("milestone", args=[row.pk])
            yield ToCome(on, f"{row.name}, {job.name}", url, amount, False)
    if stands.held > 0:
        yield ToCome(None, f"Retainage held, {job.name}", page, stands.held, False)
