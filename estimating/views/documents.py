"""Issuing an estimate, and the pages of what was issued."""

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from catalog.models import Firm
from estimating.client.status import with_client
from estimating.documents.history import BESIDE, history, rows
from estimating.documents.issue import (
    CannotIssue,
    Unissued,
    changes_for_firm,
    issue,
    objections,
    unissued_estimate,
)
from estimating.documents.pdf import PangoMissing
from estimating.estimates.draft import read_draft
from estimating.estimates.review import reminders
from estimating.estimates.snapshots import paper_name
from estimating.models import Document, Job
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response

CHANGED = "The estimate was changed since you opened this page. Read it again before you issue it."
DAMAGED = (
    "This PDF is no longer the one that was issued, so it isn't shown. Bring it back from a backup; "
    "python manage.py verify_documents names everything that differs."
)


@require_http_methods(["GET", "POST"])
def document_issue(request: HttpRequest, job_id: int) -> HttpResponse:
    """The question before an estimate is issued, and the issuing: it can't be undone."""
    job, firm = get_job(job_id), Firm.current()
    key = _typed_key(request)
    if issued := Document.objects.filter(job=job, issue_key=key).first():
        return redirect(issued)
    estimate = get_estimate(job, firm)
    try:
        draft = read_draft(estimate, firm)
        paper = unissued_estimate(estimate, firm, draft)
        reasons = objections(paper, timezone.localdate())
        if request.method == "GET" or reasons or key != paper.key:
            changed = CHANGED if request.method == "POST" and not reasons else ""
            look = () if reasons else list(reminders(estimate, draft, firm, timezone.localdate()))
            return _question(request, job, reasons, paper=paper, changed=changed, look=look)
        document = issue(paper, timezone.now())
    except CannotIssue as error:
        return _question(request, job, error.reasons)
    except PangoMissing as error:
        return _question(request, job, str(error).splitlines(), status=503)
    messages.success(request, f"{document} is issued. From now on it stays as it is.")
    return redirect(document)


@require_GET
def document_page(request: HttpRequest, document_id: int) -> HttpResponse:
    """An issued paper as it was handed over, how it stands, and what happened to it."""
    document, today = get_document(document_id), timezone.localdate()
    snapshot = document.read_snapshot()
    beside = BESIDE.get(document.kind)
    context = {
        "job": document.job,
        "place": "papers",
        "row": rows([document], today)[0],
        "later": Document.objects.filter(supersedes=document).first(),
        "history": history([document], today),
        "paper": snapshot,
        "article": f"documents/_{document.kind}.html",
        "changes": changes_for_firm(document.supersedes, snapshot, document.read_basis()),
        **with_client(document, timezone.now(), today),
        **(beside(document, today) if beside else {}),
    }
    return render(request, "estimating/documents/document.html", context)


@require_GET
def document_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    """The very bytes that were issued; refused when they are no longer those."""
    document = get_document(document_id)
    if not document.pdf_is_whole():
        context = {"job": document.job, "place": "papers", "damaged": DAMAGED}
        return render(request, "estimating/documents/document.html", context, status=409)
    name = paper_name(f"{document.kind} {document.number}", document.job)
    return pdf_response(bytes(document.pdf), name)


def get_document(document_id: int) -> Document:
    documents = Document.objects.select_related("job__client").prefetch_related("events")
    return get_object_or_404(documents, pk=document_id)


def _typed_key(request: HttpRequest) -> str:
    key = request.POST.get("key", "")
    return key if key.isalnum() else ""


def _question(
    request: HttpRequest, job: Job, reasons: Iterable[str], paper: Unissued | None = None, **more: Any
) -> HttpResponse:
    """The question, or why there is none to ask; to a post it is always a refusal."""
    status = more.pop("status", 409) if request.method == "POST" else 200
    if paper:
        more["unissued"] = paper
        more["changes"] = changes_for_firm(paper.supersedes, paper.snapshot, paper.basis)
    context = {"job": job, "place": "papers", "reasons": reasons, **more}
    return render(request, "estimating/documents/issue.html", context, status=status)
