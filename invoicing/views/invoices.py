"""Bills: begun on a reached milestone, looked at, issued; and the credit notes that take them back."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.documents.issue import CannotIssue
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import paper_name
from estimating.models import Document, Job
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from invoicing.forms.invoices import BillForm, CreditForm
from invoicing.invoices.issue import (
    ToIssue,
    bill_to_issue,
    credit_to_issue,
    issue_bill,
    issue_credit,
)
from invoicing.invoices.lists import billed_rows, can_bill, credit_notes, left_to_credit
from invoicing.ledger.accounts import Books
from invoicing.models import BillDraft, Milestone
from invoicing.payment_plan.page import Ahead, billed_and_done
from invoicing.payment_plan.plan import read_plan

CHANGED = "Something in it changed since you opened this page. Read it again before you issue it."
REPLACED = "This bill takes the place of the one that was begun: {}. Begin that one again after it."
NOTHING_BEGUN = "No bill is being written on this job. Begin one at a milestone that is reached."


def invoices_context(job: Job, books: Books, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    drawn = read_plan(job)
    can = can_bill(drawn)
    return {
        "billed_rows": billed_rows(job, books, today),
        "bill_draft": BillDraft.objects.filter(job=job).first(),
        "can_bill": can,
        "measured": can.measured.values() if can else (),
    }


@require_POST
def bill_start(request: HttpRequest, job_id: int) -> HttpResponse:
    """Begin a bill: of a milestone, of the deposit or of retainage. One that is begun takes the milestone
    too; what is of another sort is begun anew."""
    job = get_job(job_id)
    kind = request.POST.get("kind", BillDraft.Kind.WORK)
    if kind not in BillDraft.Kind.values:
        kind = BillDraft.Kind.WORK
    typed = request.POST.get("milestone", "")
    milestone = None
    if kind == BillDraft.Kind.WORK:
        pk = int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0
        milestone = get_object_or_404(Milestone, pk=pk, plan__job=job)
    draft, begun = BillDraft.objects.get_or_create(job=job, defaults={"kind": kind})
    if draft.kind != kind:
        messages.warning(request, REPLACED.format(draft.get_kind_display().lower()))
        draft.delete()
        draft = BillDraft.objects.create(job=job, kind=kind)
    if milestone:
        draft.milestones.add(milestone)
    return redirect(draft)


def _draft(job: Job) -> BillDraft | None:
    draft = BillDraft.objects.filter(job=job).first()
    if draft:
        draft.job = job
    return draft


def _no_draft(request: HttpRequest, job: Job) -> HttpResponse:
    messages.info(request, NOTHING_BEGUN)
    return redirect("job-money", job.pk)


@require_http_methods(["GET", "POST"])
def bill(request: HttpRequest, job_id: int) -> HttpResponse:
    """The bill as it would be issued now, and what he can change of it."""
    job, firm, today = get_job(job_id), Firm.current(), timezone.localdate()
    draft = _draft(job)
    if draft is None:
        return _no_draft(request, job)
    form = _bill_form(request, draft, firm, today)
    if form.is_valid():
        form.save()
        return redirect(draft)
    if form.is_bound:
        draft = BillDraft.objects.get(pk=draft.pk)
        draft.job = job
    return _bill_page(request, draft, firm, today, form)


def _bill_form(request: HttpRequest, draft: BillDraft, firm: Firm, today: date) -> BillForm:
    can = can_bill(read_plan(draft.job))
    offered = {each.pk: each for each in (*(can.milestones if can else ()), *draft.milestones.all())}
    return BillForm(
        request.POST if request.method == "POST" and "key" not in request.POST else None,
        instance=draft,
        offered=list(offered.values()),
        stands=can.stands if can else None,
        today=today,
        usual_due=today + timedelta(days=firm.pay_within_days),
    )


def _bill_page(
    request: HttpRequest,
    draft: BillDraft,
    firm: Firm,
    today: date,
    form: BillForm,
    reasons: Iterable[str] = (),
    **more: Any,
) -> HttpResponse:
    """The draft with its paper, or with the reasons why there is none; a post that comes here is refused."""
    to_issue: ToIssue | None = None
    if not reasons:
        try:
            to_issue = bill_to_issue(draft, firm, today)
        except CannotIssue as error:
            reasons = error.reasons
    context = {
        "job": draft.job,
        "place": "money",
        "draft": draft,
        "form": form,
        "reasons": reasons,
        "to_issue": to_issue,
        "paper": to_issue.paper.snapshot if to_issue else None,
        "ahead": _ahead(draft.job, to_issue),
        **more,
    }
    status = 200 if request.method == "GET" else 422 if form.is_bound else 409
    return render(request, "invoicing/invoices/bill.html", context, status=status)


def _ahead(job: Job, to_issue: ToIssue | None) -> Ahead | None:
    """The bill beside the work that is finished."""
    drawn = read_plan(job) if to_issue else None
    return billed_and_done(drawn, job.state, to_issue.bill) if drawn and to_issue else None


@require_POST
def bill_issue(request: HttpRequest, job_id: int) -> HttpResponse:
    """Issue the bill that he looked at; then it is sent."""
    job, firm, today = get_job(job_id), Firm.current(), timezone.localdate()
    key = _typed_key(request)
    if issued := Document.objects.filter(job=job, issue_key=key).first():
        return redirect(issued)
    draft = _draft(job)
    if draft is None:
        return _no_draft(request, job)
    form = _bill_form(request, draft, firm, today)
    try:
        to_issue = bill_to_issue(draft, firm, today)
        if key != to_issue.paper.key:
            return _bill_page(request, draft, firm, today, form, changed=CHANGED)
        document = issue_bill(draft, to_issue.paper, timezone.now())
    except CannotIssue as error:
        return _bill_page(request, draft, firm, today, form, error.reasons)
    except PangoMissing as error:
        return _bill_page(request, draft, firm, today, form, str(error).splitlines())
    messages.success(request, f"{document} is issued. Now send it.")
    return redirect("document-send", document.pk)


def _typed_key(request: HttpRequest) -> str:
    key = request.POST.get("key", "")
    return key if key.isascii() and key.isalnum() else ""


@require_POST
def bill_discard(request: HttpRequest, job_id: int) -> HttpResponse:
    job = get_job(job_id)
    BillDraft.objects.filter(job=job).delete()
    messages.success(request, "The bill you were writing is thrown away. Nothing was issued.")
    return redirect("job-money", job.pk)


@require_GET
def bill_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """The draft as it would look on paper."""
    job, firm, today = get_job(job_id), Firm.current(), timezone.localdate()
    draft = _draft(job)
    if draft is None:
        return _no_draft(request, job)
    try:
        pdf = make_pdf(bill_to_issue(draft, firm, today).paper.snapshot)
    except CannotIssue as error:
        return _bill_page(request, draft, firm, today, _bill_form(request, draft, firm, today), error.reasons)
    except PangoMissing as error:
        reasons = str(error).splitlines()
        return _bill_page(request, draft, firm, today, _bill_form(request, draft, firm, today), reasons)
    return pdf_response(pdf, paper_name("draft invoice", job))


@require_http_methods(["GET", "POST"])
def credit_new(request: HttpRequest, document_id: int) -> HttpResponse:
    """Take an invoice back, whole or in part: first what and why, then the question, then the issuing."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE).select_related("job__client")
    invoice = get_object_or_404(invoices, pk=document_id)
    key = _typed_key(request)
    if key and (issued := Document.objects.filter(job=invoice.job, issue_key=key).first()):
        return redirect(issued)
    lines = left_to_credit(invoice, credit_notes(invoice))
    form = CreditForm(request.POST or None, lines=lines)
    if not form.is_valid():
        return _credit_page(request, invoice, form, status=422 if form.is_bound else 200)
    try:
        to_issue = credit_to_issue(
            invoice, form.amounts(), form.cleaned_data["note"], Firm.current(), timezone.localdate()
        )
        if key != to_issue.paper.key:
            changed = CHANGED if key else ""
            return _credit_page(
                request,
                invoice,
                form,
                409 if key else 200,
                to_issue=to_issue,
                changed=changed,
                paper=to_issue.paper.snapshot,
            )
        document = issue_credit(invoice, to_issue.paper, timezone.now())
    except CannotIssue as error:
        return _credit_page(request, invoice, form, 409, reasons=error.reasons)
    except PangoMissing as error:
        return _credit_page(request, invoice, form, 503, reasons=str(error).splitlines())
    messages.success(request, f"{document} is issued. What it takes back can be billed again.")
    return redirect(document)


def _credit_page(
    request: HttpRequest, invoice: Document, form: CreditForm, status: int, **more: Any
) -> HttpResponse:
    context = {"job": invoice.job, "place": "money", "invoice": invoice, "form": form, **more}
    return render(request, "invoicing/invoices/credit.html", context, status=status)
