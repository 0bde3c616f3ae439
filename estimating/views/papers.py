"""The Papers place of a job: what the client will read, and the papers as PDF."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from estimating.changes.draft import contract_page
from estimating.client.cancel import changes_to_wait_with, right_to_cancel
from estimating.documents.history import history, rows
from estimating.documents.issue import CannotIssue, objections, unissued_estimate
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.draft import Draft, read_draft
from estimating.estimates.snapshots import paper_name, shopping_on_paper
from estimating.models import Document, Estimate, Job
from estimating.snapshots.estimate import what_is_missing
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response


@require_GET
def job_papers(request: HttpRequest, job_id: int) -> HttpResponse:
    """The estimate as it looks on paper, or what stands in its way."""
    job, firm, estimate, draft = _read(job_id)
    try:
        unissued = unissued_estimate(estimate, firm, draft)
    except CannotIssue as error:
        return _no_paper(request, job, error.reasons, status=200)
    context = {
        "job": job,
        "place": "papers",
        "paper": unissued.snapshot,
        "objections": objections(unissued, timezone.localdate()),
        **_issued(job),
    }
    return render(request, "estimating/documents/papers.html", context)


@require_GET
def estimate_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    job, firm, estimate, draft = _read(job_id)
    try:
        unissued = unissued_estimate(estimate, firm, draft)
    except CannotIssue as error:
        return _no_paper(request, job, error.reasons, status=409)
    return _pdf(request, job, unissued.snapshot)


@require_GET
def shopping_list_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    job, firm, estimate, draft = _read(job_id)
    if missing := what_is_missing(draft):
        return _no_paper(request, job, missing, status=409)
    return _pdf(request, job, shopping_on_paper(estimate, firm, draft, timezone.localdate()))


def _read(job_id: int) -> tuple[Job, Firm, Estimate, Draft]:
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    return job, firm, estimate, read_draft(estimate, firm)


def _pdf(request: HttpRequest, job: Job, snapshot: Mapping[str, Any]) -> HttpResponse:
    """The paper, to be shown by the browser under a name that says what it is."""
    try:
        pdf = make_pdf(snapshot)
    except PangoMissing as error:
        return _no_paper(request, job, str(error).splitlines(), status=503)
    return pdf_response(pdf, paper_name(snapshot["kind"], job))


def _issued(job: Job) -> dict[str, Any]:
    """What was issued for the job and what happened to it, for the page."""
    documents, today = Document.objects.filter(job=job).for_list(), timezone.localdate()
    estimates = (each for each in documents if each.kind == Document.Kind.ESTIMATE)
    newest = next(estimates, None)
    return {
        "documents": rows(documents, today),
        "newest": newest,
        "right": right_to_cancel(newest, today) if newest else {},
        "may_fall": changes_to_wait_with(documents, today),
        "history": history(documents, today),
        **contract_page(job),
    }


def _no_paper(request: HttpRequest, job: Job, reasons: Iterable[str], status: int) -> HttpResponse:
    context = {"job": job, "place": "papers", "reasons": reasons, **_issued(job)}
    return render(request, "estimating/documents/papers.html", context, status=status)
