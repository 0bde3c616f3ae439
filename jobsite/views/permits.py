"""Permits of a job with their inspections, and the papers of lead-safe work."""

from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from estimating.client.photos import LONGEST_SIDE
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.forms.photos import takes_photos_of
from estimating.models import Job
from estimating.takeoff.cautions import lead_at_work
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from jobsite.days.disturbed import read_disturbed
from jobsite.forms.permits import InspectionForm, LeadRecordForm, PermitForm
from jobsite.models import LeadRecord, OutsideEvent, Permit, PermitPhoto
from jobsite.permits.lead import LeadDays, kept_until, lead_faults, record_due
from jobsite.permits.read import lead_record_of, read_lead_record, read_pamphlet
from saving.forms import status_of


@require_GET
def permits(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the permits of a job with their inspections, and what lead asks of it."""
    job = get_job(job_id)
    rows = Permit.objects.filter(job=job).prefetch_related("inspections")
    record, caution = lead_record_of(job), lead_at_work(job.year_built)
    context = {
        "job": job,
        "place": "days",
        "permits": rows,
        "caution": caution,
        "disturbed": read_disturbed(job, timezone.localdate()) if caution else (),
        "record": record,
        "faults": _lead_faults(record),
    }
    return render(request, "jobsite/permits/permits.html", context)


@takes_photos_of(LONGEST_SIDE)
@require_http_methods(["GET", "POST"])
def permit_new(request: HttpRequest, job_id: int) -> HttpResponse:
    return _permit_form(request, Permit(job=get_job(job_id)))


@takes_photos_of(LONGEST_SIDE)
@require_http_methods(["GET", "POST"])
def permit(request: HttpRequest, permit_id: int) -> HttpResponse:
    """Show a permit with its inspections and photos, and change it."""
    return _permit_form(request, _get_permit(permit_id))


def _permit_form(request: HttpRequest, row: Permit) -> HttpResponse:
    form = PermitForm(request.POST or None, request.FILES or None, instance=row)
    if form.is_valid():
        with transaction.atomic():
            kept = form.save()
            for content in form.cleaned_data["photos"]:
                digest = sha256(content).hexdigest()
                PermitPhoto.objects.get_or_create(permit=kept, sha256=digest, defaults={"content": content})
        messages.success(request, f"{kept} is kept.")
        return redirect(kept)
    context = {
        "job": row.job,
        "place": "days",
        "form": form,
        "permit": row,
        "inspections": row.inspections.all() if row.pk else (),
        "photos": row.photos.defer("content") if row.pk else (),
    }
    return render(request, "jobsite/permits/permit.html", context, status=status_of(form))


@require_POST
def permit_remove(request: HttpRequest, permit_id: int) -> HttpResponse:
    """Remove a permit that was entered by mistake. Its inspections stay among the days."""
    row = _get_permit(permit_id)
    row.delete()
    messages.success(request, f"{row} is removed. Its inspections are still under Days.")
    return redirect("permits", row.job_id)


@require_GET
def permit_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(PermitPhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


def _get_permit(permit_id: int) -> Permit:
    return get_object_or_404(Permit.objects.select_related("job__client"), pk=permit_id)


@require_http_methods(["GET", "POST"])
def inspection_new(request: HttpRequest, permit_id: int) -> HttpResponse:
    row = _get_permit(permit_id)
    event = OutsideEvent(job=row.job, permit=row, kind=OutsideEvent.Kind.INSPECTION)
    return _inspection_form(request, row, event)


@require_http_methods(["GET", "POST"])
def inspection(request: HttpRequest, event_id: int) -> HttpResponse:
    """Enter the day of an inspection, or what came of it."""
    events = OutsideEvent.objects.filter(kind=OutsideEvent.Kind.INSPECTION, permit__isnull=False)
    event = get_object_or_404(events.select_related("permit__job__client"), pk=event_id)
    assert event.permit is not None  # chosen so
    return _inspection_form(request, event.permit, event)


def _inspection_form(request: HttpRequest, row: Permit, event: OutsideEvent) -> HttpResponse:
    """Show the form; one that isn't passed is followed by the next, which holds back the same work."""
    had_failed = event.result == OutsideEvent.Result.FAILED
    form = InspectionForm(request.POST or None, instance=event, today=timezone.localdate())
    if form.is_valid():
        kept = form.save(commit=False)
        kept.done = bool(kept.result)
        with transaction.atomic():
            kept.save()
            if kept.result == OutsideEvent.Result.FAILED and not had_failed:
                OutsideEvent.objects.create(
                    job=row.job,
                    permit=row,
                    kind=OutsideEvent.Kind.INSPECTION,
                    title=f"{kept.title[:72]}, again",
                    holds_back=kept.holds_back,
                )
                messages.success(request, "Kept. The next one is entered too: type its day when you know it.")
        return redirect(row)
    context = {"job": row.job, "place": "days", "form": form, "permit": row, "event": event}
    return render(request, "jobsite/permits/inspection.html", context, status=status_of(form))


@require_http_methods(["GET", "POST"])
def lead_record(request: HttpRequest, job_id: int) -> HttpResponse:
    """Enter how the lead pamphlet was given and what was done of lead-safe work."""
    job = get_job(job_id)
    record = lead_record_of(job)
    initial = {} if record.pk else {"given_to": job.client.name}
    form = LeadRecordForm(request.POST or None, instance=record, initial=initial)
    if form.is_valid():
        form.save()
        messages.success(request, "The record is kept.")
        return redirect("lead-record", job.pk)
    record = lead_record_of(job)  # as it is saved, whatever is typed
    context = {
        "job": job,
        "place": "days",
        "form": form,
        "faults": _lead_faults(record),
        "due": record_due(record.ended_on) if record.ended_on else None,
        "kept_until": kept_until(record.ended_on) if record.ended_on else None,
    }
    return render(request, "jobsite/permits/lead.html", context, status=status_of(form))


@require_GET
def lead_pamphlet_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the acknowledgment for the owner to sign."""
    job = get_job(job_id)
    return _pdf(read_pamphlet(job, timezone.localdate()), job)


@require_GET
def lead_record_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the record of the work, ticked as far as it is entered."""
    job = get_job(job_id)
    record = lead_record_of(job)
    return _pdf(read_lead_record(job, record, timezone.localdate()), job)


def _lead_faults(record: LeadRecord) -> list[str]:
    """Return what is wrong with the days of the pamphlet; nothing in a house that holds no lead."""
    job, mailed = record.job, record.how == LeadRecord.How.MAILED
    if not lead_at_work(job.year_built):
        return []
    return list(lead_faults(LeadDays(job.work_begins_on, record.given_on, mailed, record.ended_on)))


def _pdf(snapshot: Mapping[str, Any], job: Job) -> HttpResponse:
    try:
        return pdf_response(make_pdf(snapshot), pdf_file_name(snapshot["label"].lower(), job))
    except PangoMissing as error:
        return HttpResponse(str(error), content_type="text/plain", status=503)
