"""The Money page of a job: the payment schedule, its bills, and what was paid.

What it shows is read here once. Each part of the page has its own module with a function that takes what was
read and returns the context of its fragment.
"""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.models import Job
from estimating.views.lookups import get_job
from invoicing.invoices.job_billing import read_job_billing
from invoicing.ledger.accounts import job_balance, read_books
from invoicing.payment_plan.contract import read_contract
from invoicing.payments.refunds import refunds_due
from invoicing.views.invoices import invoices_context
from invoicing.views.payments import payments_context
from invoicing.views.plan import plan_context


@require_GET
def job_money(request: HttpRequest, job_id: int) -> HttpResponse:
    context = money_context(get_job(job_id), timezone.localdate())
    return render(request, "invoicing/payments/money.html", {**context, "ordering": "order" in request.GET})


def money_context(job: Job, today: date) -> dict[str, Any]:
    """Return what the whole page shows."""
    books = read_books(job.client)
    billing = read_job_billing(job, books)
    contract = billing.contract if billing else read_contract(job)
    balance = job_balance(books, job, today)
    return {
        "job": job,
        "place": "money",
        **plan_context(job, billing.job_plan if billing else None, contract, today),
        **invoices_context(job, billing, contract, books, balance, today),
        **payments_context(job, books, balance, today),
        "refunds": refunds_due([job], books),
    }
