"""Hours and receipts of a change that is billed by measure."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.money.amounts import format_price
from estimating.models import Job
from estimating.views.lookups import get_job
from invoicing.billing.draft import WORK, SoFar
from invoicing.forms.invoices import HoursForm, ReceiptForm
from invoicing.invoices.time_and_material import Measured, measured_changes
from invoicing.ledger.accounts import sum_of
from invoicing.milestones.plan import Plan, PlanFault, settle, standing_at
from invoicing.models import HoursWorked, PaymentPlan, PlacedPart, ReceiptKept
from invoicing.payment_plan.plan import read_plan


@require_http_methods(["GET", "POST"])
def measured(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """What was entered, what it comes to, and the next entry."""
    job, today = get_job(job_id), timezone.localdate()
    found, billed, plan = _found(job, document_id)
    entry = request.POST.get("entry")
    first = {"on": today}
    forms = {
        "hours": HoursForm(
            request.POST if entry == "hours" else None, today=today, initial=first, prefix="h"
        ),
        "receipt": ReceiptForm(
            request.POST if entry == "receipt" else None, today=today, initial=first, prefix="r"
        ),
    }
    sent = forms.get(entry)
    if sent and sent.is_valid():
        sent.instance.document_id = document_id
        sent.save()
        messages.success(request, f"{sent.instance} entered.")
        return redirect("measured", job.pk, document_id)
    context: dict[str, Any] = {
        "job": job,
        "place": "money",
        "measured": found,
        "billed": billed.amount,
        "stands_at": plan.change(found.change.key).amount,
        "hours_form": forms["hours"],
        "receipt_form": forms["receipt"],
        "form": sent,
    }
    return render(request, "invoicing/invoices/time_and_material.html", context, status=422 if sent else 200)


def _found(job: Job, document_id: int) -> tuple[Measured, SoFar, Plan]:
    """The part of the job's change that is billed by measure, what is billed of it, and the plan."""
    drawn = read_plan(job)
    changes = measured_changes(drawn.agreed).values() if drawn else ()
    found = next((each for each in changes if each.document == document_id), None)
    if drawn is None or drawn.plan is None or found is None:
        raise Http404
    mine = [line for line in drawn.history if line.kind in WORK and line.change == found.change.key]
    billed = SoFar(sum_of(line.amount for line in mine), sum_of(line.taxable for line in mine))
    return found, billed, drawn.plan


@require_POST
def measured_remove(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """Take an entry off again, unless it is billed."""
    job = get_job(job_id)
    model, name = (HoursWorked, "hours") if "hours" in request.POST else (ReceiptKept, "receipt")
    typed = request.POST.get(name, "")
    pk = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
    with transaction.atomic():
        PaymentPlan.objects.select_for_update().filter(job=job).first()
        row = get_object_or_404(model, pk=pk, document=document_id, document__job=job)
        row.delete()
        found, billed, _ = _found(job, document_id)
        if found.worth.billable < billed.amount or found.taxable < billed.taxable:
            transaction.set_rollback(True)
            messages.error(
                request,
                f"{format_price(billed.amount)} is billed of this: with that taken off, less would "
                "be entered than was billed or taxed. Give a credit note first.",
            )
        else:
            messages.success(request, f"{row} taken off.")
    return redirect("measured", job.pk, document_id)


@require_POST
def measured_settle(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """The work is done: the plan counts on what it came to, no more on the limit."""
    job = get_job(job_id)
    with transaction.atomic():
        PaymentPlan.objects.select_for_update().filter(job=job).first()
        found, billed, plan = _found(job, document_id)
        try:
            limit = standing_at(plan, found.change)
            key, worth = found.change.key, found.worth.billable
            ended = settle(limit, key, worth, found.taxable, billed.amount).change(key)
        except PlanFault as error:
            messages.error(request, str(error))
        else:
            PlacedPart.objects.filter(document=document_id, by_measure=True).update(
                amount=ended.amount, taxable=ended.taxable
            )
            messages.success(request, f"{ended.title} is settled at {format_price(ended.amount)}.")
    return redirect("measured", job.pk, document_id)
