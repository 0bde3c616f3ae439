"""Payments of a job: recorded, voided, given back, and credit applied to an invoice."""

from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.money.amounts import format_price
from estimating.documents.clock import TICK, DateInDoubt, date_question
from estimating.models import Job
from estimating.views.lookups import get_job
from invoicing.forms.payments import (
    ApplyCreditForm,
    PaymentForm,
    RefundForm,
    VoidPaymentForm,
    fresh_key,
)
from invoicing.ledger.accounts import Books, JobBalance, held_on, payments_of_job, read_books, uses_in_words
from invoicing.ledger.late_charges import unbilled_returned_fee
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import Payment, WorkDays
from invoicing.payment_plan.contract import signed_returned_fee
from invoicing.payments.lists import owed_rows, read_notice_dates, with_reminders
from invoicing.payments.record import (
    MoneyMovement,
    apply_credit,
    record_payment,
    record_refund,
    usual_method,
    void_payment,
    was_recorded,
)
from invoicing.receivables.balances import EntryFault
from invoicing.views.lookups import get_invoice
from invoicing.views.money_form import money_form_page

CHANGED = "What is open on {} was changed since you opened the page. Look at it again."


def payments_context(job: Job, books: Books, balance: JobBalance, today: date) -> dict[str, Any]:
    """Return what this part of the job's Money page shows."""
    work_days = WorkDays.objects.filter(job=job).first()
    return {
        "balance": balance,
        "owed_rows": with_reminders(owed_rows(books, balance.owed, today), today),
        "payments": [(row, uses_in_words(books, row)) for row in payments_of_job(books, job)],
        "held": held_on(books, job),
        "can_apply_credit": bool(balance.credit and books.open_invoices(job.client_id)),
        "paid_key": fresh_key(),
        "work_days": work_days,
        "notices": read_notice_dates(work_days),
    }


@require_http_methods(["GET", "POST"])
def payment_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Record a payment: for invoices that are ticked, or for the oldest first."""
    job, today = get_job(job_id), timezone.localdate()
    if was_recorded(_typed_key(request)):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    owed = [item for item in books.account_of(job.client_id).receivables if item.open]
    initial: dict[str, Any] = {"once": fresh_key(), "on": today, "method": usual_method(books)}
    if key := request.GET.get("invoice"):
        initial["invoices"] = [key]
    form = PaymentForm(
        request.POST or None,
        initial=initial,
        today=today,
        owed=owed,
        documents=books.documents,
        date_question=date_question(timezone.now()),
    )
    if form.is_valid():
        try:
            row = record_payment(job.client, _movement(form.cleaned_data, job), form.chosen(), timezone.now())
        except EntryFault as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} from {job.client} is entered.")
            return redirect("job-money", job.pk)
    return money_form_page(request, job, form, "Take a payment", "Enter the payment")


@require_POST
def invoice_paid(request: HttpRequest, document_id: int) -> HttpResponse:
    """Enter that an invoice is paid in full: what is open came in today, by the way of the last payment."""
    invoice, once = get_invoice(document_id), _typed_key(request)
    if was_recorded(once):
        return redirect("job-money", invoice.job_id)
    books = read_books(invoice.job.client)
    open_now = books.owed_on(invoice).open
    if not once or not open_now or request.POST.get("amount") != f"{open_now}":
        messages.warning(request, CHANGED.format(invoice))
        return redirect("job-money", invoice.job_id)
    movement = MoneyMovement(timezone.localdate(), open_now, usual_method(books), once, job=invoice.job)
    try:
        row = record_payment(invoice.job.client, movement, [invoice], timezone.now())
    except DateInDoubt as error:
        messages.warning(request, str(error))
        where = reverse("payment-new", args=[invoice.job_id])
        return redirect(f"{where}?{urlencode({'invoice': invoice.pk})}")
    messages.success(
        request,
        f"{invoice} is paid in full: {row.amount_in_words()}, entered as {row.get_method_display().lower()} "
        "of today. Was it otherwise? Open the payment and void it.",
    )
    return redirect("job-money", invoice.job_id)


@require_GET
def payment_page(request: HttpRequest, payment_id: int) -> HttpResponse:
    """Show a payment: what it paid, and what became of it."""
    payment = _get_payment(payment_id)
    books = read_books(payment.client)
    context = {
        "job": _job_of(payment),
        "place": "money",
        "row": payment,
        "paid": [
            (item.key, books.documents.get(item.key), amount) for item, amount in books.paid_with(payment)
        ],
        "unused": books.unused_credit(payment),
        "returned_fee": _unbilled_fee(books, payment),
        "applied_to": books.invoices_of(payment) if payment.kind == Payment.Kind.CREDIT_USED else (),
    }
    return render(request, "invoicing/payments/payment.html", context)


def _unbilled_fee(books: Books, payment: Payment) -> Decimal:
    """Return the fee that the contract states for a check that the bank returned, while it isn't billed."""
    if payment.why != Payment.Why.BANK or payment.method != Payment.Method.CHECK:
        return NO_MONEY
    return unbilled_returned_fee(books, str(payment), signed_returned_fee(_job_of(payment)))


@require_http_methods(["GET", "POST"])
def payment_void(request: HttpRequest, payment_id: int) -> HttpResponse:
    """Take back a payment that the bank returned or that was entered wrong, by a row that takes it off."""
    payment, today = _get_payment(payment_id), timezone.localdate()
    if was_recorded(_typed_key(request)):
        return redirect("job-money", payment.job_id)
    initial = {"once": fresh_key(), "on": today}
    form = VoidPaymentForm(
        request.POST or None,
        initial=initial,
        today=today,
        payment=payment,
        date_question=date_question(timezone.now()),
    )
    if form.is_valid():
        typed = form.cleaned_data
        try:
            returned = void_payment(
                payment,
                typed["on"],
                typed["why"],
                typed["note"],
                typed["once"],
                timezone.now(),
                date_is_right=typed.get(TICK, False),
            )
        except EntryFault as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{payment} is voided. What it had paid is open again.")
            fee = _unbilled_fee(read_books(payment.client), returned)
            return redirect(returned) if fee else redirect("job-money", payment.job_id)
    title = f"Void {payment.amount_in_words()}?"
    explanation = f"{payment}, {payment.method_in_words()}"
    return money_form_page(request, _job_of(payment), form, title, "Void it", explanation)


@require_http_methods(["GET", "POST"])
def refund_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Give back the credit on account, or part of it."""
    job, today = get_job(job_id), timezone.localdate()
    if was_recorded(_typed_key(request)):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    credit = books.account_of(job.client_id).credit
    initial = {"once": fresh_key(), "on": today, "amount": credit, "method": usual_method(books)}
    asked = date_question(timezone.now())
    form = RefundForm(request.POST or None, initial=initial, today=today, credit=credit, date_question=asked)
    if form.is_valid():
        try:
            row = record_refund(job.client, _movement(form.cleaned_data, job), timezone.now())
        except EntryFault as error:
            form.add_error("amount", str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} given back to {job.client} is entered.")
            return redirect("job-money", job.pk)
    return money_form_page(request, job, form, "Give money back", "Enter what I gave back")


@require_http_methods(["GET", "POST"])
def credit_apply(request: HttpRequest, job_id: int) -> HttpResponse:
    """Apply the credit on account to an invoice; what is issued later takes it by itself."""
    job, today = get_job(job_id), timezone.localdate()
    if was_recorded(_typed_key(request)):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    credit, owed = books.account_of(job.client_id).credit, books.open_invoices(job.client_id)
    if not (credit and owed):
        messages.warning(request, "There is no credit to put on an invoice, or no invoice is open.")
        return redirect("job-money", job.pk)
    initial = {"once": fresh_key(), "invoice": books.documents[owed[0].key].pk}
    form = ApplyCreditForm(
        request.POST or None,
        initial=initial,
        owed=owed,
        documents=books.documents,
        date_question=date_question(timezone.now()),
    )
    if form.is_valid():
        invoice, once = form.chosen(), form.cleaned_data["once"]
        try:
            ticked = form.cleaned_data.get(TICK, False)
            row = apply_credit(job.client, invoice, today, once, timezone.now(), date_is_right=ticked)
        except EntryFault as error:
            form.add_error("invoice", str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} of credit is put on {invoice}.")
            return redirect("job-money", job.pk)
    title = f"Put credit of {format_price(credit)} on an invoice"
    explanation = "As much of it goes there as is open. No money moves."
    return money_form_page(request, job, form, title, "Put it there", explanation)


def _typed_key(request: HttpRequest) -> str:
    """Return the key of the form that was sent; empty where none was."""
    return request.POST.get("once", "").replace("\0", "")[:64]


def _movement(typed: dict[str, Any], job: Job) -> MoneyMovement:
    names = ("on", "amount", "method", "once", "reference", "note")
    return MoneyMovement(
        **{name: typed[name] for name in names}, job=job, date_is_right=typed.get(TICK, False)
    )


def _get_payment(payment_id: int) -> Payment:
    payments = Payment.objects.select_related("client", "job__client", "of", "taken_back")
    return get_object_or_404(payments, pk=payment_id)


def _job_of(payment: Payment) -> Job:
    assert payment.job is not None  # the column may be empty, but every form that records one names a job
    return payment.job
