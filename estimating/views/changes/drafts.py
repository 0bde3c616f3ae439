"""The pages of change orders: writing one, issuing it, and the statement of the contract sum."""

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.changes.draft import read_change, row_key, signed_job
from estimating.changes.edit import add_photos, begin_change
from estimating.changes.issue import NOT_SIGNED, issue_change, prepare_change, statement
from estimating.changes.snapshot import days_in_words
from estimating.changes.state_rules import change_cautions
from estimating.contract.cancellation_rule import EMERGENCY
from estimating.contract.unit_prices import ONE
from estimating.documents.clock import NOT_TICKED, TICK, DateInDoubt, date_question
from estimating.documents.issue import CannotIssue, UnissuedDocument
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.events import states
from estimating.forms.changes import ChangeForm, ChangeTermsForm
from estimating.forms.photos import takes_photos
from estimating.models import ChangeOrder, ChangePhoto, Document, Job
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response
from saving.forms import status_of
from saving.once import keeps_own_transactions

THEN = ("document-send", "go-ahead")  # where a change goes at once that is issued by their buttons
CHANGED = "It was changed since you opened this page. Read it again before you issue it."
SIGNED = "That change is signed: it stays as it is. What comes now goes on a further change."


def get_change(change_id: int) -> ChangeOrder:
    """Return the change with its job and its estimate, or answer 404."""
    changes = ChangeOrder.objects.select_related("job__client", "estimate__job")
    return get_object_or_404(changes, pk=change_id)


def redirect_if_signed(request: HttpRequest, change: ChangeOrder) -> HttpResponse | None:
    """Redirect to the issued document where the change is signed and can't be edited; None where it can."""
    issued = change.issued()
    if issued is None or issued.state() != states.ACCEPTED:
        return None
    messages.info(request, SIGNED)
    return redirect(issued)


def for_open_change(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let a view edit the change of its address; a signed one leads to its document instead."""

    @wraps(view)
    def answered(request: HttpRequest, change_id: int, **names: Any) -> HttpResponse:
        change = get_change(change_id)
        return redirect_if_signed(request, change) or view(request, change, **names)

    return answered


def render_on_job(
    request: HttpRequest, job: Job, template: str, status: int = 200, **context: Any
) -> HttpResponse:
    """Render a page of a job, on its tab of documents."""
    context |= {"job": job, "place": "papers"}
    return render(request, f"estimating/{template}.html", context, status=status)


def _cautions(job: Job) -> list[str]:
    return change_cautions(job.address, job.state)


@takes_photos
@require_http_methods(["GET", "POST"])
def change_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Ask what was found, with photos; the work comes on the next page."""
    job, firm = get_job(job_id), Firm.current()
    signed = signed_job(job)
    if signed is None:
        return render_on_job(request, job, "changes/not_yet", status=409, reason=NOT_SIGNED)
    form = ChangeForm(
        request.POST or None,
        request.FILES or None,
        instance=ChangeOrder(job=job),
        initial={"days": "", "reason": request.GET.get("reason", "")},
    )
    if form.is_valid():
        change = form.save(commit=False)
        with transaction.atomic():
            begin_change(change, signed, firm, timezone.localdate())
            add_photos(change, form.cleaned_data["photos"])
        return redirect(change)
    status = status_of(form)
    return render_on_job(request, job, "changes/form", status=status, form=form, cautions=_cautions(job))


@takes_photos
@require_http_methods(["GET", "POST"])
@for_open_change
def change_edit(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    form = ChangeForm(request.POST or None, request.FILES or None, instance=change)
    if form.is_valid():
        with transaction.atomic():
            form.save()
            add_photos(change, form.cleaned_data["photos"])
        return redirect(change)
    status = status_of(form)
    cautions = _cautions(change.job)
    return render_on_job(
        request, change.job, "changes/form", status=status, form=form, change=change, cautions=cautions
    )


@require_GET
def change_page(request: HttpRequest, change_id: int) -> HttpResponse:
    """Show the change so far: photos, reason, and the lines with the rule beside each number."""
    change, firm = get_change(change_id), Firm.current()
    signed = signed_job(change.job)
    if signed is None:
        return render_on_job(request, change.job, "changes/not_yet", status=409, reason=NOT_SIGNED)
    if not_editable := redirect_if_signed(request, change):
        return not_editable
    today = timezone.localdate()
    draft = read_change(change, signed, firm, today)
    line_ids = {row_key(line): line.pk for line in change.lines.all()}
    return render_on_job(
        request,
        change.job,
        "changes/change",
        change=change,
        draft=draft,
        signed=signed,
        issued=change.issued(),
        options=[(option, option.why_not(ONE, today)) for option in signed.options_left],
        rows=[(row, line_ids.get(row.key)) for row in draft.priced.rows],
        days=days_in_words(change.days),
        cautions=_cautions(change.job),
    )


@require_http_methods(["GET", "POST"])
def change_discard(request: HttpRequest, change_id: int) -> HttpResponse:
    """Throw away a change that was never issued."""
    change = get_change(change_id)
    if document := change.issued():
        messages.info(request, f"{document} was issued, so it stays. Withdraw it on its page.")
        return redirect(document)
    if request.method == "POST":
        change.estimate.delete()
        messages.success(request, f"{change} is thrown away.")
        return redirect("job-papers", change.job_id)
    return render_on_job(request, change.job, "changes/discard", change=change)


@require_GET
def change_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(ChangePhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def change_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(ChangePhoto.objects.select_related("change"), pk=photo_id)
    if not_editable := redirect_if_signed(request, photo.change):
        return not_editable
    photo.delete()
    return redirect(photo.change)


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def change_issue(request: HttpRequest, change_id: int) -> HttpResponse:
    """Ask before a change is issued, which can't be undone; then issue it."""
    change, firm = get_change(change_id), Firm.current()
    typed = request.POST.get("key", "")
    key = typed if typed.isalnum() else ""
    then = request.POST.get("then")
    if issued := Document.objects.filter(job=change.job, issue_key=key).first():
        return redirect(then, issued.pk) if then in THEN else redirect(issued)
    now = timezone.now()
    try:
        unissued = prepare_change(change, firm, timezone.localdate(now))
        if request.method == "GET" or key != unissued.key:
            changed, asked = CHANGED if request.method == "POST" else "", date_question(now)
            return _issue_page(request, change, unissued=unissued, changed=changed, asked=asked)
        document = issue_change(change, unissued, now, date_is_right=TICK in request.POST)
    except DateInDoubt as error:
        return _issue_page(request, change, unissued=unissued, changed=NOT_TICKED, asked=str(error))
    except CannotIssue as error:
        return _issue_page(request, change, error.reasons)
    except PangoMissing as error:
        return _issue_page(request, change, str(error).splitlines(), status=503)
    messages.success(request, f"{document} is issued. Have it signed before its work starts.")
    return redirect(then, document.pk) if then in THEN else redirect(document)


def _issue_page(
    request: HttpRequest,
    change: ChangeOrder,
    reasons: Iterable[str] = (),
    unissued: UnissuedDocument | None = None,
    status: int = 409,
    changed: str = "",
    asked: str = "",
) -> HttpResponse:
    """Return the page before a change is issued, with the reasons against it; `status` answers a post."""
    cautions = _cautions(change.job)
    if unissued and unissued.snapshot["cancellation"]:
        cautions.append(EMERGENCY)
    return render_on_job(
        request,
        change.job,
        "changes/issue",
        status=status if request.method == "POST" else 200,
        change=change,
        reasons=reasons,
        unissued=unissued,
        snapshot=unissued.snapshot if unissued else None,
        changed=changed,
        date_question=asked,
        cautions=cautions,
    )


@require_GET
def change_pdf(request: HttpRequest, change_id: int) -> HttpResponse:
    """Return the PDF of the change as it would be issued now."""
    change, firm = get_change(change_id), Firm.current()
    try:
        pdf = make_pdf(prepare_change(change, firm, timezone.localdate()).snapshot)
    except CannotIssue as error:
        return _issue_page(request, change, error.reasons)
    except PangoMissing as error:
        return _issue_page(request, change, str(error).splitlines(), status=503)
    return pdf_response(pdf, pdf_file_name("draft change order", change.job))


@require_GET
def contract_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return the statement of the contract as a PDF: what was signed, and what it comes to."""
    job = get_job(job_id)
    signed = signed_job(job)
    if signed is None:
        reason = "Nothing is signed yet, so there is no contract sum."
        return render_on_job(request, job, "changes/not_yet", status=409, reason=reason)
    try:
        pdf = make_pdf(statement(job, signed, timezone.localdate()))
    except PangoMissing as error:
        return render_on_job(request, job, "changes/not_yet", status=503, reason=str(error))
    return pdf_response(pdf, pdf_file_name("contract sum", job))


@require_http_methods(["GET", "POST"])
def change_terms(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the terms for later changes that the estimate states."""
    job, firm = get_job(job_id), Firm.current()
    form = ChangeTermsForm(request.POST or None, instance=get_estimate(job, firm))
    if form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/changes/terms.html", context, status=status_of(form))
