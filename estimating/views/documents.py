"""Issuing an estimate, and the pages of what was issued."""

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from catalog.models import Firm
from estimating.client.signed_copy import as_signed
from estimating.client.status import client_status
from estimating.documents.billing_hooks import billing
from estimating.documents.clock import NOT_TICKED, TICK, DateInDoubt, date_question
from estimating.documents.estimate import changes_for_firm, prepare_estimate, reasons_against_issuing
from estimating.documents.history import document_rows, history
from estimating.documents.issue import CannotIssue, UnissuedDocument, issue
from estimating.documents.pdf import PangoMissing
from estimating.estimates.draft import read_draft
from estimating.estimates.review import review_notes
from estimating.estimates.snapshots import pdf_file_name
from estimating.forms.extension import IssueForm
from estimating.models import Document, Job
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response
from saving.once import keeps_own_transactions

CHANGED = "The estimate was changed since you opened this page. Read it again before you issue it."
REDATED = "The day on which it is valid to has moved with its date. Read both below, then issue it."
DAMAGED = (
    "This PDF is no longer the one that was issued, so it isn't shown. Bring it back from a backup; "
    "python manage.py verify_documents names everything that differs."
)


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def document_issue(request: HttpRequest, job_id: int) -> HttpResponse:
    """Ask before an estimate is issued, and issue it: that can't be undone.

    It is dated today or as typed. With another date than the question showed, it is asked again: its last
    day moves with it.
    """
    key, now = _posted_key(request), timezone.now()
    today = timezone.localdate(now)
    job, firm = get_job(job_id), Firm.current()
    if issued := Document.objects.filter(job=job, issue_key=key).first():
        return redirect(issued)
    estimate, form = get_estimate(job, firm), IssueForm(request.POST or None, initial={"dated": today})
    estimate.dated = form.cleaned_data["dated"] if form.is_valid() else today
    try:
        draft = read_draft(estimate, firm)
        unissued = prepare_estimate(estimate, firm, draft)
        reasons = reasons_against_issuing(unissued, today)
        if not form.is_valid() or reasons or key != unissued.key:
            changed = _why_not_issued(request, form, unissued) if form.is_bound and not reasons else ""
            look = () if reasons else list(review_notes(estimate, draft, firm, today))
            asked = "" if reasons else date_question(now)
            return _question(
                request, job, reasons, unissued, changed=changed, look=look, form=form, date_question=asked
            )
        document = issue(unissued, now, date_is_right=TICK in request.POST)
    except DateInDoubt as error:
        return _question(request, job, (), unissued, changed=NOT_TICKED, form=form, date_question=str(error))
    except CannotIssue as error:
        return _question(request, job, error.reasons)
    except PangoMissing as error:
        return _question(request, job, str(error).splitlines(), status=503)
    messages.success(request, f"{document} is issued. From now on it stays as it is.")
    return redirect(document)


@require_GET
def document_page(request: HttpRequest, document_id: int) -> HttpResponse:
    """Show an issued document as it was handed over, its state, and what happened to it."""
    document, today = get_document(document_id), timezone.localdate()
    client, snapshot = client_status(document, timezone.now(), today), document.read_snapshot()
    if signed := client["signed"]:
        snapshot = as_signed(snapshot, signed)
    context = {
        "job": document.job,
        "place": "papers",
        "row": document_rows([document], today)[0],
        "later": Document.objects.filter(supersedes=document).first(),
        "history": history([document], today),
        "snapshot": snapshot,
        "paper_asked": "paper" in request.GET,
        "article": f"documents/_{document.kind}.html",
        "changes": changes_for_firm(document.supersedes, snapshot, document.read_basis()),
        **client,
        **billing().document_page(document, today),
    }
    return render(request, "estimating/documents/document.html", context)


@require_GET
def document_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    """Return the very bytes that were issued; refuse where they are no longer those."""
    document = get_document(document_id)
    if not document.pdf_is_whole():
        context = {"job": document.job, "place": "papers", "damaged": DAMAGED}
        return render(request, "estimating/documents/document.html", context, status=409)
    name = pdf_file_name(f"{document.kind} {document.printed_number}", document.job)
    return pdf_response(bytes(document.pdf), name)


def get_document(document_id: int) -> Document:
    """Return an issued document with its job, client and events, or answer 404."""
    documents = Document.objects.select_related("job__client").prefetch_related("events")
    return get_object_or_404(documents, pk=document_id)


def _why_not_issued(request: HttpRequest, form: IssueForm, unissued: UnissuedDocument) -> str:
    """Say why an answer to the question didn't issue; empty where its field says so."""
    if not form.is_valid():
        return ""
    return CHANGED if request.POST.get("asked") == unissued.dated.isoformat() else REDATED


def _posted_key(request: HttpRequest) -> str:
    key = request.POST.get("key", "")
    return key if key.isalnum() else ""


def _question(
    request: HttpRequest,
    job: Job,
    reasons: Iterable[str],
    unissued: UnissuedDocument | None = None,
    status: int = 409,
    **context: object,
) -> HttpResponse:
    """Show the question, or why there is none to ask; in answer to a post it is always a refusal."""
    if unissued:
        context["unissued"] = unissued
        context["changes"] = changes_for_firm(unissued.supersedes, unissued.snapshot, unissued.basis)
    return render(
        request,
        "estimating/documents/issue.html",
        {"job": job, "place": "papers", "reasons": reasons, **context},
        status=status if request.method == "POST" else 200,
    )
