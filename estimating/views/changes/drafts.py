"""Change orders: written on the job, issued, and the contract sum that they make."""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.changes.draft import SignedJob, begin_change, read_change, signed_job
from estimating.changes.issue import NOT_SIGNED, change_to_issue, issue_change, statement
from estimating.changes.snapshot import days_in_words
from estimating.changes.state_rules import change_cautions
from estimating.contract.cancellation_rule import EMERGENCY
from estimating.contract.unit_prices import ONE
from estimating.documents.issue import CannotIssue, Unissued
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import paper_name
from estimating.forms.changes import ChangeForm, ChangeTermsForm
from estimating.models import ChangeOrder, ChangePhoto, Document, Job
from estimating.views.lookups import get_estimate, get_job
from estimating.views.pdf import pdf_response

CHANGED = "It was changed since you opened this page. Read it again before you issue it."
SIGNED = "That change is signed: it stays as it is. What comes now goes on a further change."


def get_change(change_id: int) -> ChangeOrder:
    changes = ChangeOrder.objects.select_related("job__client", "estimate__job")
    return get_object_or_404(changes, pk=change_id)


def to_signed(request: HttpRequest, change: ChangeOrder) -> HttpResponse | None:
    """The way to the issued paper where the change is signed and can't be edited; else None."""
    if not change.is_signed():
        return None
    messages.info(request, SIGNED)
    return redirect(change.issued())


def show(request: HttpRequest, job: Job, template: str, status: int = 200, **context: Any) -> HttpResponse:
    return render(
        request, f"estimating/{template}.html", {"job": job, "place": "papers", **context}, status=status
    )


def _cautions(job: Job) -> list[str]:
    return change_cautions(job.address, job.state)


@require_http_methods(["GET", "POST"])
def change_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """First what was found, with photos; the work comes on the next page."""
    job, firm = get_job(job_id), Firm.current()
    signed = signed_job(job)
    if signed is None:
        return show(request, job, "changes/not_yet", status=409, reason=NOT_SIGNED)
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
            _add_photos(change, form.cleaned_data["photos"])
        return redirect(change)
    status = 422 if form.is_bound else 200
    return show(request, job, "changes/form", status=status, form=form, cautions=_cautions(job))


def _add_photos(change: ChangeOrder, photos: Sequence[bytes]) -> None:
    for content in photos:
        change.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults={"content": content})


@require_http_methods(["GET", "POST"])
def change_edit(request: HttpRequest, change_id: int) -> HttpResponse:
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    form = ChangeForm(request.POST or None, request.FILES or None, instance=change)
    if form.is_valid():
        with transaction.atomic():
            form.save()
            _add_photos(change, form.cleaned_data["photos"])
        return redirect(change)
    status = 422 if form.is_bound else 200
    cautions = _cautions(change.job)
    return show(
        request, change.job, "changes/form", status=status, form=form, change=change, cautions=cautions
    )


@require_GET
def change_page(request: HttpRequest, change_id: int) -> HttpResponse:
    """The change as it stands: photos, why, what it adds and takes out with the rule beside each number."""
    change, firm = get_change(change_id), Firm.current()
    signed = signed_job(change.job)
    if signed is None:
        return show(request, change.job, "changes/not_yet", status=409, reason=NOT_SIGNED)
    if elsewhere := to_signed(request, change):
        return elsewhere
    today = timezone.localdate()
    draft = read_change(change, signed, firm, today)
    return show(
        request,
        change.job,
        "changes/change",
        change=change,
        draft=draft,
        signed=signed,
        issued=change.issued(),
        options=[(each, each.why_not(ONE, today)) for each in signed.options_left],
        lines={f"line-{line.pk}": line.pk for line in change.lines.all()},
        days=days_in_words(change.days),
        days_before=signed.days,
        days_after=signed.days + change.days,
        cautions=_cautions(change.job),
        costs_client=change.reason == ChangeOrder.Reason.OURS and draft.priced.total > 0,
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
    return show(request, change.job, "changes/discard", change=change)


@require_GET
def change_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(ChangePhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def change_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(ChangePhoto.objects.select_related("change"), pk=photo_id)
    if elsewhere := to_signed(request, photo.change):
        return elsewhere
    photo.delete()
    return redirect(photo.change)


@require_http_methods(["GET", "POST"])
def change_issue(request: HttpRequest, change_id: int) -> HttpResponse:
    """The question before a change is issued, and the issuing: it can't be undone."""
    change, firm = get_change(change_id), Firm.current()
    typed = request.POST.get("key", "")
    key = typed if typed.isalnum() else ""
    if issued := Document.objects.filter(job=change.job, issue_key=key).first():
        return redirect(issued)
    try:
        _, paper = change_to_issue(change.job, change, firm, timezone.localdate())
        if request.method == "GET":
            return _question(request, change, paper=paper)
        if key != paper.key:
            return _question(request, change, paper=paper, changed=CHANGED)
        document = issue_change(change, paper, timezone.now())
    except CannotIssue as error:
        return _question(request, change, error.reasons)
    except PangoMissing as error:
        return _question(request, change, str(error).splitlines(), status=503)
    messages.success(request, f"{document} is issued. Have it signed before its work starts.")
    return redirect(document)


def _question(
    request: HttpRequest,
    change: ChangeOrder,
    reasons: Iterable[str] = (),
    paper: Unissued | None = None,
    status: int = 409,
    changed: str = "",
) -> HttpResponse:
    return show(
        request,
        change.job,
        "changes/issue",
        status=status if request.method == "POST" else 200,
        change=change,
        reasons=reasons,
        unissued=paper,
        paper=paper.snapshot if paper else None,
        changed=changed,
        cautions=[*_cautions(change.job), *([EMERGENCY] if paper and paper.snapshot["cancellation"] else [])],
    )


@require_GET
def change_pdf(request: HttpRequest, change_id: int) -> HttpResponse:
    """The draft as it would look on paper."""
    change, firm = get_change(change_id), Firm.current()
    try:
        _, paper = change_to_issue(change.job, change, firm, timezone.localdate())
        pdf = make_pdf(paper.snapshot)
    except CannotIssue as error:
        return _question(request, change, error.reasons)
    except PangoMissing as error:
        return _question(request, change, str(error).splitlines(), status=503)
    return pdf_response(pdf, paper_name("draft change order", change.job))


@require_GET
def contract_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """The statement of the contract: what was signed, and what it comes to."""
    job = get_job(job_id)
    signed: SignedJob | None = signed_job(job)
    if signed is None:
        reason = "Nothing is signed yet, so there is no contract sum."
        return show(request, job, "changes/not_yet", status=409, reason=reason)
    try:
        pdf = make_pdf(statement(job, signed, timezone.localdate()))
    except PangoMissing as error:
        return show(request, job, "changes/not_yet", status=503, reason=str(error))
    return pdf_response(pdf, paper_name("contract sum", job))


@require_http_methods(["GET", "POST"])
def change_terms(request: HttpRequest, job_id: int) -> HttpResponse:
    """What the estimate says of later changes."""
    job, firm = get_job(job_id), Firm.current()
    form = ChangeTermsForm(request.POST or None, instance=get_estimate(job, firm))
    if form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/changes/terms.html", context, status=422 if form.errors else 200)
