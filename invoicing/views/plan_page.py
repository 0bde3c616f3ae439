"""Pages of a job's plan: a view is called with the plan, and renders its page under the job's head."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from functools import wraps
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from estimating.models import Job
from estimating.views.lookups import get_job
from invoicing.payment_plan.plan import JobPlan, read_plan

PlanView = Callable[[HttpRequest, Job, JobPlan], HttpResponse]


def plan_page(
    request: HttpRequest, job: Job, template: str, status: int = 200, **context: Any
) -> HttpResponse:
    """Render a page of the job's plan."""
    page = {"job": job, "place": "money", **context}
    return render(request, f"invoicing/payment_plan/{template}.html", page, status=status)


def to_money(job: Job) -> HttpResponse:
    return redirect("job-money", job.pk)


def one_transaction(request: HttpRequest) -> AbstractContextManager[None]:
    """Return a transaction for a post: on SQLite it keeps others from writing, and reading needs none."""
    return transaction.atomic() if request.method == "POST" else nullcontext()


def with_plan(view: PlanView) -> Callable[[HttpRequest, int], HttpResponse]:
    """Call the view with the job and its plan, posts in one transaction; go to the Money page without one.

    In a post the plan is locked, so that nobody bills by it meanwhile.
    """

    @wraps(view)
    def wrapped(request: HttpRequest, job_id: int) -> HttpResponse:
        job = get_job(job_id)
        with one_transaction(request):
            job_plan = read_plan(job, lock=request.method == "POST")
            return to_money(job) if job_plan is None else view(request, job, job_plan)

    return wrapped
