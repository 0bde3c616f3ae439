"""Money to come: open invoices by due date, milestones by the day they were reached or are expected."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.urls import reverse

from invoicing.billing.status import billing_status
from invoicing.ledger.accounts import Books
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.payment_plan.plan import JobPlan, read_plans


@dataclass(frozen=True)
class ExpectedMoney:
    """Money expected on a day, or on none that was said yet.

    The amount of a milestone is before sales tax and retainage. `url` is where it is billed or its day set.
    """

    on: date | None
    title: str
    url: str
    amount: Decimal
    is_billed: bool


def expected_money(books: Books) -> list[ExpectedMoney]:
    """Return all that is expected, the earliest first, and last what has no day.

    `books` hold the clients who owe, and those whose job is open and was billed.
    Costs four queries, however many jobs there are.
    """
    plans = read_plans(None, books).values()
    of_plans = (item for job_plan in plans for item in _of_plan(job_plan))
    return sorted([*_of_invoices(books), *of_plans], key=lambda item: (item.on or date.max, item.title))


def amount_without_day(expected: Iterable[ExpectedMoney]) -> Decimal:
    """Return the sum of what is expected on no day that was said."""
    return sum_money(item.amount for item in expected if item.on is None)


def _of_invoices(books: Books) -> Iterator[ExpectedMoney]:
    for key, document in books.documents.items():
        for owed in books.account_of(document.job.client_id).receivables:
            if owed.key == key and owed.open:
                title, url = f"{key}, {document.job.name}", document.get_absolute_url()
                yield ExpectedMoney(owed.due, title, url, owed.open, True)


def _of_plan(job_plan: JobPlan) -> Iterator[ExpectedMoney]:
    """Yield what a signed plan still has to bill, less the deposit that its next bills take off.

    Of a plan that can't stand nothing is expected; the page of its job says so.
    """
    plan, job = job_plan.plan, job_plan.job
    if plan is None:
        return
    status, page = billing_status(plan, job_plan.history), reverse("job-money", args=[job.pk])
    deposit = status.deposit_left
    for milestone in job_plan.milestones:
        left = job_plan.left[milestone.key]
        taken_off = min(deposit, max(left, NO_MONEY))
        deposit -= taken_off
        if (amount := left - taken_off) > 0:
            on = milestone.reached_on or milestone.expected_on
            url = page if on else reverse("milestone", args=[milestone.pk])
            yield ExpectedMoney(on, f"{milestone.name}, {job.name}", url, amount, False)
    if status.held > 0:
        yield ExpectedMoney(None, f"Retainage held, {job.name}", page, status.held, False)
