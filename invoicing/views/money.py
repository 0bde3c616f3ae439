"""The Money place of a job: the plan of payments, its bills, and what was paid.

Each part is made by its own module: a function that takes the job and the day and returns what its
fragment of the page shows.
"""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.models import Job
from estimating.views.lookups import get_job
from invoicing.ledger.accounts import read_books
from invoicing.views.invoices import invoices_context
from invoicing.views.payments import payments_context
from invoicing.views.plan import plan_context


@require_GET
def job_money(request: HttpRequest, job_id: int) -> HttpResponse:
    context = money_context(get_job(job_id), timezone.localdate())
    return render(request, "invoicing/payments/money.html", {**context, "ordering": "order" in request.GET})


def money_context(job: Job, today: date) -> dict[str, Any]:
    """What the whole page shows."""
    books = read_books(job.client)
    return {
        "job": job,
        "place": "money",
        **plan_context(job, today),
        **invoices_context(job, books, today),
        **payments_context(job, books, today),
    }
