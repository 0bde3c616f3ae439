"""The Paperwork page of a job: what the client will read, as PDF too, its photos; the letterhead."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.changes.draft import contract_page
from estimating.client.cancel import cancelable_changes, right_to_cancel
from estimating.documents.billing_hooks import billing
from estimating.documents.estimate import prepare_estimate, reasons_against_issuing
from estimating.documents.history import document_rows, history
from estimating.documents.issue import CannotIssue
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.draft import Draft, read_draft
from estimating.estimates.snapshots import firm_party, pdf_file_name, read_shopping_snapshot
from estimating.forms.photos import EstimatePhotosForm, LetterheadForm, takes_logo, takes_photos
from estimating.models import Document, Estimate, EstimatePhoto, Job, JobLink, RoomPhoto
from estimating.models.document import with_events
from estimating.snapshots.priced_draft import reasons_not_ready
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response
from reading.prepared import prepared
from saving.forms import status_of


@require_GET
def job_papers(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the estimate as it would be printed, or why it can't be."""
    job, firm, estimate, draft = _read(job_id)
    try:
        unissued = prepare_estimate(estimate, firm, draft)
    except CannotIssue as error:
        return _refusal(request, job, error.reasons, status=200)
    context = {
        "job": job,
        "place": "papers",
        "snapshot": unissued.snapshot,
        "paper_asked": "paper" in request.GET,
        "objections": reasons_against_issuing(unissued, timezone.localdate()),
        **_issued(job),
    }
    return render(request, "estimating/documents/papers.html", context)


@require_GET
def estimate_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the draft of the estimate as PDF."""
    job, firm, estimate, draft = _read(job_id)
    try:
        unissued = prepare_estimate(estimate, firm, draft)
    except CannotIssue as error:
        return _refusal(request, job, error.reasons, status=409)
    return _pdf(request, job, unissued.snapshot)


@require_GET
def shopping_list_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the shopping list of the draft as PDF."""
    job, firm, estimate, draft = _read(job_id)
    if reasons := reasons_not_ready(draft):
        return _refusal(request, job, reasons, status=409)
    return _pdf(request, job, read_shopping_snapshot(estimate, firm, draft, timezone.localdate()))


def _read(job_id: int) -> tuple[Job, Firm, Estimate, Draft]:
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    estimate.dated = timezone.localdate()  # as it would be issued now
    return job, firm, estimate, read_draft(estimate, firm)


def _pdf(request: HttpRequest, job: Job, snapshot: Mapping[str, Any]) -> HttpResponse:
    """Return the PDF of a snapshot, to be shown by the browser under a name that says what it is."""
    try:
        pdf = make_pdf(snapshot)
    except PangoMissing as error:
        return _refusal(request, job, str(error).splitlines(), status=503)
    return pdf_response(pdf, pdf_file_name(snapshot["kind"], job))


def _issued(job: Job) -> dict[str, Any]:
    """Return the documents issued for a job and what happened to them, for the page."""
    documents, today = with_events(_documents_of(job.pk)), timezone.localdate()
    newest = next((document for document in documents if document.kind == Document.Kind.ESTIMATE), None)
    return {
        "documents": document_rows(documents, today),
        "newest": newest,
        "client_pages": _client_pages(job.pk),
        "right": right_to_cancel(newest, today) if newest else {},
        "refunds": billing().refunds_due([job]),
        "may_fall": cancelable_changes(documents, today),
        "history": history(documents, today),
        **contract_page(job),
    }


@prepared
def _documents_of(job: int) -> QuerySet[Document]:
    return Document.objects.filter(job=job).for_list().prefetch_related(None)


@prepared
def _client_pages(job: int) -> QuerySet[JobLink]:
    return JobLink.objects.filter(job=job, withdrawn_at=None)


def _refusal(request: HttpRequest, job: Job, reasons: Iterable[str], status: int) -> HttpResponse:
    """Show the page with the reasons why there is no document in place of it."""
    context = {"job": job, "place": "papers", "reasons": reasons, **_issued(job)}
    return render(request, "estimating/documents/papers.html", context, status=status)


@takes_photos
@require_http_methods(["GET", "POST"])
def estimate_photos(request: HttpRequest, job_id: int) -> HttpResponse:
    """Choose the photos that the estimate prints, and say what each shows."""
    job = get_job(job_id)
    estimate = get_estimate(job, Firm.current())
    rows = list(estimate.photos.defer("content"))
    of_rooms = RoomPhoto.objects.filter(room__job=job).exclude(sha256__in=[row.sha256 for row in rows])
    form = EstimatePhotosForm(
        request.POST or None,
        request.FILES or None,
        rows=rows,
        of_rooms=list(of_rooms.select_related("room").defer("content")),
    )
    if form.is_valid():
        with transaction.atomic():
            form.save(estimate)
        messages.success(request, "The photos are kept.")
        return redirect("estimate-photos" if form.cleaned_data["photos"] else "job-papers", job.pk)
    context = {"job": job, "place": "papers", "form": form}
    return render(request, "estimating/documents/photos.html", context, status=status_of(form))


@require_GET
def estimate_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(EstimatePhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def estimate_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(EstimatePhoto.objects.select_related("estimate").defer("content"), pk=photo_id)
    photo.delete()
    return redirect("hidden-conditions" if photo.is_opened else "estimate-photos", photo.estimate.job_id)


@takes_logo
@require_http_methods(["GET", "POST"])
def letterhead(request: HttpRequest) -> HttpResponse:
    """Show the logo and the color, and take others."""
    firm = Firm.current()
    form = LetterheadForm(request.POST or None, request.FILES or None, instance=firm)
    if form.is_valid():
        form.save()
        messages.success(request, "Papers made from now on carry it. What was issued stays as it was.")
        return redirect("letterhead")
    context = {"form": form, "snapshot": {"firm": firm_party(firm).for_snapshot()}, "place": "firm"}
    return render(request, "estimating/documents/letterhead.html", context, status=status_of(form))
