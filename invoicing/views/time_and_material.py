"""Hours and receipts of a change that is billed by them: entered, deleted, settled."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ObjectDoesNotExist
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.money.amounts import format_price
from estimating.views.lookups import get_job
from invoicing.forms.invoices import HoursForm, ReceiptForm
from invoicing.invoices.time_and_material import (
    StillBilled,
    delete_entry,
    read_billed_change,
    settle_change,
)
from invoicing.milestones.plan import PlanFault
from invoicing.views.lookups import typed_pk
from jobsite.hours.read import read_day, read_job
from jobsite.models import HoursWorked, ReceiptKept


@require_http_methods(["GET", "POST"])
def time_and_material(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """Show what was entered and what it comes to, and take the next entry."""
    job, today = get_job(job_id), timezone.localdate()
    try:
        change = read_billed_change(job, document_id)
    except ObjectDoesNotExist as error:
        raise Http404 from error
    entry = request.POST.get("entry")
    data = {entry: request.POST}
    options: dict[str, Any] = {"today": today, "initial": {"on": today}}
    hours_form = HoursForm(
        data.get("hours"), prefix="h", read_day=lambda on: read_day(on, read_job(job), job), **options
    )
    receipt_form = ReceiptForm(data.get("receipt"), prefix="r", **options)
    sent = hours_form if hours_form.is_bound else receipt_form if receipt_form.is_bound else None
    if sent and sent.is_valid():
        sent.instance.job, sent.instance.document_id = job, document_id
        sent.save()
        messages.success(request, f"{sent.instance} entered.")
        return redirect("measured", job.pk, document_id)
    context: dict[str, Any] = {
        "job": job,
        "place": "money",
        "change": change,
        "entered": change.entered,
        "hours_form": hours_form,
        "receipt_form": receipt_form,
        "form": sent,
    }
    return render(request, "invoicing/invoices/time_and_material.html", context, status=422 if sent else 200)


@require_POST
def entry_remove(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """Take an entry off again, unless it is billed."""
    job = get_job(job_id)
    try:
        if "hours" in request.POST:
            entry = delete_entry(job, document_id, HoursWorked, typed_pk(request, "hours"))
        else:
            entry = delete_entry(job, document_id, ReceiptKept, typed_pk(request, "receipt"))
    except ObjectDoesNotExist as error:
        raise Http404 from error
    except StillBilled as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{entry} removed.")
    return redirect("measured", job.pk, document_id)


@require_POST
def change_settle(request: HttpRequest, job_id: int, document_id: int) -> HttpResponse:
    """End the work of a change: the plan counts on what it came to, no longer on its limit."""
    job = get_job(job_id)
    try:
        change = settle_change(job, document_id)
    except ObjectDoesNotExist as error:
        raise Http404 from error
    except PlanFault as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{change.title} is settled at {format_price(change.amount)}.")
    return redirect("measured", job.pk, document_id)
