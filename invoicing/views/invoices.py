"""Bills: begun on a reached milestone, looked at, issued; and the credit notes that take them back."""

from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.documents.clock import NOT_TICKED, TICK, DateInDoubt, date_question
from estimating.documents.issue import CannotIssue
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Document, Job
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from invoicing.forms.invoices import BillForm, CreditForm
from invoicing.invoices.bill_draft import begin_bill, begin_late_charge, begin_returned_fee, read_draft
from invoicing.invoices.billable import Billable
from invoicing.invoices.credit_notes import read_credited_invoice
from invoicing.invoices.given_up import GivenUp, draft_change, issue_given_up
from invoicing.invoices.issue import issue_bill, issue_credit
from invoicing.invoices.issued import bill_rows, is_without_contract
from invoicing.invoices.job_billing import JobBilling, read_billable, read_job_billing
from invoicing.invoices.prepare import BillToIssue, bill_to_issue, credit_to_issue, usual_due
from invoicing.invoices.questions import questions
from invoicing.invoices.time_and_material import TimeAndMaterial
from invoicing.ledger.accounts import Books, JobBalance
from invoicing.milestones.contract_amounts import ContractAmounts
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import BillDraft, Milestone, Payment
from invoicing.payment_plan.finished_work import compare_billing
from invoicing.views.lookups import get_invoice, typed_pk
from saving.forms import status_of
from saving.once import keeps_own_transactions

CHANGED = "Something in it changed since you opened this page. Read it again before you issue it."
UNSURE = "Read what speaks against it now. Tick that you ask for it all the same, or wait."
REPLACED = "This bill takes the place of the one that was begun: {}. Begin that one again after it."
NOTHING_BEGUN = "No bill is being written on this job. Begin one at a milestone that is complete."

FREE_AGAIN = "What it credits can be billed again."
NOT_AGAIN = "What it credits is more than the contract has, and isn't billed again."
FALLEN = "The contract sum has fallen by what you gave up. Send the client both papers."
SIGN_FIRST = (
    "The change is drafted. Issue it and have it signed; then take {} back by what is billed too much."
)

BillView = Callable[[HttpRequest, BillDraft, Firm, date], HttpResponse]


def invoices_context(
    job: Job,
    billing: JobBilling | None,
    contract: ContractAmounts,
    books: Books,
    balance: JobBalance,
    today: date,
) -> dict[str, Any]:
    """Return what this part of the job's Money page shows."""
    billable = billing.billable if billing else None
    return {
        "bill_rows": bill_rows(job, books, today),
        "bill_draft": BillDraft.objects.filter(job=job).first(),
        "billable": billable,
        "without_contract": is_without_contract(contract, balance),
        "time_and_material": _time_and_material(billing) if billing and billable else (),
    }


def _time_and_material(billing: JobBilling) -> list[tuple[TimeAndMaterial, Decimal]]:
    """Return the changes by hours and receipts, each with what the plan counts on for it."""
    plan = billing.job_plan.plan
    assert plan is not None  # something of it can be billed
    return [(change, plan.change(key).amount) for key, change in billing.time_and_material.items()]


@require_POST
def bill_start(request: HttpRequest, job_id: int) -> HttpResponse:
    """Begin a bill of a milestone, of the deposit or of retainage; one of work takes a further milestone."""
    job = get_job(job_id)
    kind = request.POST.get("kind", "")
    if kind not in BillDraft.Kind.values:
        kind = BillDraft.Kind.WORK
    milestone = None
    if kind == BillDraft.Kind.WORK:
        milestone = get_object_or_404(Milestone, pk=typed_pk(request, "milestone"), plan__job=job)
    draft, replaced = begin_bill(job, kind, milestone)
    _warn_of_replaced(request, replaced)
    return redirect(draft)


@require_POST
def late_charge_start(request: HttpRequest, document_id: int) -> HttpResponse:
    """Begin a bill for the late charge on an invoice; the owner looks at it before it is issued."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE)
    draft, replaced = begin_late_charge(get_object_or_404(invoices, pk=document_id))
    _warn_of_replaced(request, replaced)
    return redirect(draft)


@require_POST
def returned_fee_start(request: HttpRequest, payment_id: int) -> HttpResponse:
    """Begin a bill for the fee of a check that the bank returned; the owner looks at it first."""
    returned = get_object_or_404(
        Payment.objects.select_related("job__client", "of"), pk=payment_id, why=Payment.Why.BANK
    )
    assert returned.job is not None  # every form that records a payment names its job
    draft, replaced = begin_returned_fee(returned, returned.job)
    _warn_of_replaced(request, replaced)
    return redirect(draft)


def _warn_of_replaced(request: HttpRequest, replaced: BillDraft | None) -> None:
    """Say which bill that was being written gave way to another one."""
    if replaced:
        messages.warning(request, REPLACED.format(replaced.get_kind_display().lower()))


def with_draft(view: BillView) -> Callable[[HttpRequest, int], HttpResponse]:
    """Call the view with the bill being written, the firm and the day; go to the Money page without one."""

    @wraps(view)
    def wrapped(request: HttpRequest, job_id: int) -> HttpResponse:
        job = get_job(job_id)
        draft = read_draft(job)
        if draft is None:
            messages.info(request, NOTHING_BEGUN)
            return redirect("job-money", job.pk)
        return view(request, draft, Firm.current(), timezone.localdate())

    return wrapped


@require_http_methods(["GET", "POST"])
@with_draft
def bill(request: HttpRequest, draft: BillDraft, firm: Firm, today: date) -> HttpResponse:
    """Show the bill as it would be issued now, and what can be changed of it."""
    job, form = draft.job, None
    data = _typed_bill(request)
    if data is not None:
        form = _bill_form(draft, read_billable(job), firm, today, data)
        if form.is_valid():
            form.save()
            return redirect(draft)
        draft = BillDraft.objects.get(pk=draft.pk)  # the form wrote what was typed into the other one
        draft.job = job
    return _bill_page(request, draft, read_job_billing(job), firm, today, form)


def _typed_bill(request: HttpRequest) -> QueryDict | None:
    """Return what was typed to change the bill; None where the page was only opened, or the bill issued."""
    return request.POST if request.method == "POST" and "key" not in request.POST else None


def _bill_form(
    draft: BillDraft, billable: Billable | None, firm: Firm, today: date, data: QueryDict | None
) -> BillForm:
    reached = billable.milestones if billable else ()
    offered = {milestone.pk: milestone for milestone in (*reached, *draft.milestones.all())}
    return BillForm(
        data,
        instance=draft,
        offered=list(offered.values()),
        status=billable.status if billable else None,
        releases=billable is not None and billable.releases,
        releasable=billable.retainage if billable else NO_MONEY,
        today=today,
        usual_due=usual_due(firm, today),
    )


def _bill_page(
    request: HttpRequest,
    draft: BillDraft,
    billing: JobBilling | None,
    firm: Firm,
    today: date,
    form: BillForm | None = None,
    reasons: Iterable[str] = (),
    **context: Any,
) -> HttpResponse:
    """Return the page of the draft, or of the reasons why there is none; status 422 for a post."""
    if form is None:
        billable = billing.billable if billing else None
        form = _bill_form(draft, billable, firm, today, _typed_bill(request))
    to_issue: BillToIssue | None = None
    if not reasons:
        try:
            to_issue = bill_to_issue(draft, billing, firm, today)
        except CannotIssue as error:
            reasons = error.reasons
    page = {
        "job": draft.job,
        "place": "money",
        "draft": draft,
        "form": form,
        "reasons": reasons,
        "to_issue": to_issue,
        "snapshot": to_issue.unissued.snapshot if to_issue else None,
        "date_question": date_question(timezone.now()) if to_issue else "",
        "questions": questions(draft, to_issue.bill, billing, today) if billing and to_issue else (),
        "comparison": (
            compare_billing(billing.job_plan, draft.job.state, to_issue.bill)
            if billing and to_issue
            else None
        ),
        **context,
    }
    status = 200 if request.method == "GET" else status_of(form) if form.is_bound else 409
    return render(request, "invoicing/invoices/bill.html", page, status=status)


@keeps_own_transactions
@require_POST
def bill_issue(request: HttpRequest, job_id: int) -> HttpResponse:
    """Issue the bill that was looked at; then it is sent."""
    issued = Document.objects.filter(job=job_id, issue_key=_typed_key(request)).first()
    return redirect(issued) if issued else _issue_draft(request, job_id)


@with_draft
def _issue_draft(request: HttpRequest, draft: BillDraft, firm: Firm, today: date) -> HttpResponse:
    billing = read_job_billing(draft.job)
    try:
        to_issue = bill_to_issue(draft, billing, firm, today)
        if _typed_key(request) != to_issue.unissued.key:
            return _bill_page(request, draft, billing, firm, today, changed=CHANGED)
        if "sure" not in request.POST and billing and questions(draft, to_issue.bill, billing, today):
            return _bill_page(request, draft, billing, firm, today, changed=UNSURE)
        document = issue_bill(draft, to_issue.unissued, timezone.now(), date_is_right=TICK in request.POST)
    except DateInDoubt:
        return _bill_page(request, draft, billing, firm, today, changed=NOT_TICKED)
    except CannotIssue as error:
        return _bill_page(request, draft, billing, firm, today, reasons=error.reasons)
    except PangoMissing as error:
        return _bill_page(request, draft, billing, firm, today, reasons=str(error).splitlines())
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
@with_draft
def bill_pdf(request: HttpRequest, draft: BillDraft, firm: Firm, today: date) -> HttpResponse:
    """Return the PDF of the draft."""
    billing = read_job_billing(draft.job)
    try:
        pdf = make_pdf(bill_to_issue(draft, billing, firm, today).unissued.snapshot)
    except CannotIssue as error:
        return _bill_page(request, draft, billing, firm, today, reasons=error.reasons)
    except PangoMissing as error:
        return _bill_page(request, draft, billing, firm, today, reasons=str(error).splitlines())
    return pdf_response(pdf, pdf_file_name("draft invoice", draft.job))


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def credit_new(request: HttpRequest, document_id: int) -> HttpResponse:
    """Take an invoice back, whole or in part: first what and why, then the question, then the issuing."""
    invoice = get_invoice(document_id)
    key = _typed_key(request)
    if key and (issued := Document.objects.filter(job=invoice.job, issue_key=key).first()):
        return redirect(issued)
    credited, billing = read_credited_invoice(invoice), read_job_billing(invoice.job)
    can_give_up = billing is not None and billing.contract.is_signed and credited.has_work
    form = CreditForm(request.POST or None, lines=credited.left(), can_give_up=can_give_up)
    if not form.is_valid():
        return _credit_page(request, invoice, form, status=status_of(form))
    firm, today, now = Firm.current(), timezone.localdate(), timezone.now()
    given = GivenUp(invoice, form.amounts(), form.cleaned_data["note"], request.user.get_username())
    falls = form.is_given_up
    try:
        to_issue = credit_to_issue(
            credited, given.amounts, given.note, billing, firm, today, given_up=falls, falls=falls
        )
        if key != to_issue.unissued.key:
            return _ask_to_credit(request, given, form, to_issue, changed=CHANGED if key else "")
        if falls and not given.reason_it_stands:
            messages.success(request, SIGN_FIRST.format(invoice))
            return redirect(draft_change(given, to_issue.bill, firm, today))
        date_is_right = TICK in request.POST
        if falls:
            document = issue_given_up(given, to_issue.bill, firm, today, now, date_is_right=date_is_right)
        else:
            document = issue_credit(invoice, to_issue.unissued, now, date_is_right=date_is_right)
    except DateInDoubt:
        return _ask_to_credit(request, given, form, to_issue, changed=NOT_TICKED)
    except CannotIssue as error:
        return _credit_page(request, invoice, form, 409, reasons=error.reasons)
    except PangoMissing as error:
        return _credit_page(request, invoice, form, 503, reasons=str(error).splitlines())
    then = FALLEN if falls else FREE_AGAIN if to_issue.is_free_again else NOT_AGAIN
    messages.success(request, f"{document} is issued. {then}")
    return redirect(document)


def _ask_to_credit(
    request: HttpRequest, given: GivenUp, form: CreditForm, to_issue: BillToIssue, changed: str
) -> HttpResponse:
    """Return the page that shows the credit note and asks whether to issue it.

    `changed` warns that it is another one than was shown before."""
    return _credit_page(
        request,
        given.invoice,
        form,
        409 if changed else 200,
        given=given if form.is_given_up else None,
        to_issue=to_issue,
        then=FREE_AGAIN if to_issue.is_free_again else NOT_AGAIN,
        changed=changed,
        snapshot=to_issue.unissued.snapshot,
        date_question=date_question(timezone.now()),
    )


def _credit_page(
    request: HttpRequest, invoice: Document, form: CreditForm, status: int, **context: Any
) -> HttpResponse:
    page = {"job": invoice.job, "place": "money", "invoice": invoice, "form": form, **context}
    return render(request, "invoicing/invoices/credit.html", page, status=status)
