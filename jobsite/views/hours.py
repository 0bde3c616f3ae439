"""Hours of a job: what it took so far against what was priced, and each entry typed or corrected."""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.html import escape
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.measures.hours import UnreadableHours, parse_time_worked, spans_from_text
from estimating.documents.billing_hooks import billing
from estimating.models import Job
from estimating.views.lookups import get_job
from jobsite.corrections import corrections_of, keep_corrected, keep_removed, said
from jobsite.forms.hours import HoursForm, as_typed
from jobsite.hours.read import SignedWork, read_day, read_job, read_job_hours
from jobsite.models import Correction, HoursWorked
from jobsite.views.lookups import page_of
from saving.forms import status_of


@require_http_methods(["GET", "POST"])
def hours(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what a job took so far, and take hours that are typed."""
    job, today = get_job(job_id), timezone.localdate()
    signed = read_job(job)
    form = HoursForm(request.POST or None, signed=signed, today=today, initial={"on": today})
    if form.is_valid() and form.refuse_impossible_day(read_day(form.cleaned_data["on"], signed, job)):
        row = form.fill(HoursWorked(job=job))
        row.save()
        messages.success(request, f"{row} kept, on {signed.label_of(row)}.")
        return redirect("hours", job.pk)
    rows = page_of(request, HoursWorked.objects.filter(job=job).order_by("-on", "-pk"))
    context: dict[str, Any] = {
        "job": job,
        "place": "days",
        "form": form,
        "every_line": "lines" in request.GET,
        "so_far": read_job_hours(job, signed),
        "entries": [(row, signed.label_of(row), spans_from_text(row.spans)) for row in rows],
        "page": rows,
        "removed": Correction.objects.filter(job=job, kind=Correction.Kind.HOURS, removed=True)[:20],
    }
    return render(request, "jobsite/hours.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def hours_edit(request: HttpRequest, row_id: int) -> HttpResponse:
    """Correct an entry; what it was is kept."""
    row = get_object_or_404(HoursWorked.objects.select_related("job__client"), pk=row_id)
    job, signed = row.job, read_job(row.job)
    form = HoursForm(request.POST or None, signed=signed, today=timezone.localdate(), initial=as_typed(row))
    form.keep_old_target(row, signed.label_of(row))
    if form.is_valid() and _is_possible(form, row, job, signed):
        _correct(form, row, signed)
        if not form.errors:
            messages.success(request, "Corrected.")
            return redirect("hours", job.pk)
    context = {"job": job, "place": "days", "form": form, "row": row, "before": corrections_of(row)}
    return render(request, "jobsite/hours_edit.html", context, status=status_of(form))


def _is_possible(form: HoursForm, row: HoursWorked, job: Job, signed: SignedWork) -> bool:
    return form.refuse_impossible_day(read_day(form.cleaned_data["on"], signed, job, row.pk))


def _correct(form: HoursForm, row: HoursWorked, signed: SignedWork) -> None:
    """Save the correction and what the row was, unless a bill asked for more than is left then."""
    was, of_change = said(row, signed.label_of(row)), row.document_id
    with transaction.atomic():
        form.fill(row).save()
        keep_corrected(row, was, timezone.now())
        fault = next(
            (
                fault
                for change in {of_change, row.document_id} - {None}
                if change and (fault := billing().fault_of_entries(row.job, change))
            ),
            "",
        )
        if fault:
            transaction.set_rollback(True)
            form.add_error("worked", fault)


@require_POST
def hours_remove(request: HttpRequest, row_id: int) -> HttpResponse:
    """Remove an entry; what it was is kept."""
    row = get_object_or_404(HoursWorked.objects.select_related("job"), pk=row_id)
    job, document = row.job, row.document_id
    with transaction.atomic():
        keep_removed(row, timezone.now(), read_job(job).label_of(row))
        row.delete()
        fault = billing().fault_of_entries(job, document) if document else ""
        if fault:
            transaction.set_rollback(True)
    if fault:
        messages.error(request, fault)
        return redirect("hours-edit", row_id)
    messages.success(request, "Removed. What it was is kept below.")
    return redirect("hours", job.pk)


@require_GET
def hours_typed(request: HttpRequest) -> HttpResponse:
    """Say how hours are read while they are typed."""
    typed = request.GET.get("worked", "")
    try:
        words = parse_time_worked(typed).in_words() if typed.strip() else ""
    except UnreadableHours as error:
        words = str(error)
    return HttpResponse(escape(words), content_type="text/plain; charset=utf-8")
