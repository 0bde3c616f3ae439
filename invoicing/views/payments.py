"""Money in: payments, payments taken back, refunds."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.money.amounts import format_price
from estimating.models import Document, Job
from estimating.views.lookups import get_job
from invoicing.forms.payments import PaymentForm, PutForm, RefundForm, TakeBackForm, fresh_key
from invoicing.ledger.accounts import Books, entries_of_job, job_money, read_books, where_it_went
from invoicing.models import Payment, WorkDays
from invoicing.payments.lists import notices_of, owed_rows, with_reminders
from invoicing.payments.record import Moved, put, refund, take, take_back
from invoicing.payments.summary import held_on
from invoicing.receivables.balances import EntryFault

CHANGED = "What is open on {} was changed since you opened the page. Look at it again."


def payments_context(job: Job, books: Books, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    money = job_money(books, job, today)
    days = WorkDays.objects.filter(job=job).first()
    return {
        "job_sums": money,
        "owed_rows": with_reminders(owed_rows(books, money.owed, today), today),
        "money_rows": [(row, where_it_went(books, row)) for row in entries_of_job(books, job)],
        "held": held_on(books, job),
        "can_put": bool(money.credit and books.open_invoices(job.client_id)),
        "paid_key": fresh_key(),
        "work_days": days,
        "notices": notices_of(days),
    }


@require_http_methods(["GET", "POST"])
def payment_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take a payment: for invoices that he ticks, or for the oldest first."""
    job, today = get_job(job_id), timezone.localdate()
    if _came_before(request):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    owed = [each for each in books.of(job.client_id).owed if each.open]
    first = {"once": fresh_key(), "on": today, "method": _usual_method(books)}
    if key := request.GET.get("invoice"):
        first["invoices"] = [key]
    form = PaymentForm(request.POST or None, initial=first, today=today, owed=owed, documents=books.documents)
    if form.is_valid():
        try:
            row = take(job.client, _moved(form.cleaned_data, job), form.chosen(), timezone.now())
        except EntryFault as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} from {job.client} is entered.")
            return redirect("job-money", job.pk)
    return _form(request, job, form, "Take a payment", "Enter the payment")


@require_POST
def invoice_paid(request: HttpRequest, document_id: int) -> HttpResponse:
    """Paid in full, in one tap: what is open on the invoice came in today, as his last payment did."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE).select_related("job__client")
    document = get_object_or_404(invoices, pk=document_id)
    if _came_before(request):
        return redirect("job-money", document.job_id)
    once = _once(request)
    books = read_books(document.job.client)
    open_now = books.of(document.job.client_id).invoice(str(document)).open
    if not once or not open_now or request.POST.get("amount") != f"{open_now}":
        messages.warning(request, CHANGED.format(document))
        return redirect("job-money", document.job_id)
    moved = Moved(timezone.localdate(), open_now, _usual_method(books), once, job=document.job)
    row = take(document.job.client, moved, [document], timezone.now())
    messages.success(
        request,
        f"{document} is paid in full: {row.amount_in_words()}, entered as {row.get_method_display().lower()} "
        "of today. Was it otherwise? Open the payment and take it back.",
    )
    return redirect("job-money", document.job_id)


@require_GET
def payment_page(request: HttpRequest, payment_id: int) -> HttpResponse:
    """One row of money: what it paid, and what became of it."""
    row = _get_payment(payment_id)
    books = read_books(row.client)
    paid = [
        (books.documents.get(each.key), each.key, amount)
        for each in books.of(row.client_id).owed
        for payment, amount in each.paid_by
        if payment == str(row)
    ]
    unused = dict(books.of(row.client_id).credit_by).get(str(row))
    put_on = books.meant_for(row) if row.kind == Payment.Kind.PUT else ()
    context = {"row": row, "paid": paid, "unused": unused, "put_on": put_on, **_place(row.job)}
    return render(request, "invoicing/payments/payment.html", context)


@require_http_methods(["GET", "POST"])
def payment_take_back(request: HttpRequest, payment_id: int) -> HttpResponse:
    """The payment came back from the bank, or was entered wrong: a row that takes it off again."""
    row, today = _get_payment(payment_id), timezone.localdate()
    if _came_before(request):
        return redirect("job-money", row.job_id)
    first = {"once": fresh_key(), "on": today}
    form = TakeBackForm(request.POST or None, initial=first, today=today, payment=row)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            take_back(row, typed["on"], typed["why"], typed["note"], typed["once"], timezone.now())
        except EntryFault as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{row} is taken back. What it had paid is open again.")
            return redirect("job-money", row.job_id)
    title = f"Take back {row.amount_in_words()}?"
    return _form(request, row.job, form, title, "Take it back", said=f"{row}, {row.how()}")


@require_http_methods(["GET", "POST"])
def refund_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Give back what is held as credit, or part of it."""
    job, today = get_job(job_id), timezone.localdate()
    if _came_before(request):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    credit = books.of(job.client_id).credit
    first = {"once": fresh_key(), "on": today, "amount": credit, "method": _usual_method(books)}
    form = RefundForm(request.POST or None, initial=first, today=today, credit=credit)
    if form.is_valid():
        try:
            row = refund(job.client, _moved(form.cleaned_data, job), timezone.now())
        except EntryFault as error:
            form.add_error("amount", str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} given back to {job.client} is entered.")
            return redirect("job-money", job.pk)
    return _form(request, job, form, "Give money back", "Enter what I gave back")


@require_http_methods(["GET", "POST"])
def credit_put(request: HttpRequest, job_id: int) -> HttpResponse:
    """Put what is held as credit on an invoice that he chooses; what is issued later takes it by itself."""
    job, today = get_job(job_id), timezone.localdate()
    if _came_before(request):
        return redirect("job-money", job.pk)
    books = read_books(job.client)
    state, owed = books.of(job.client_id), books.open_invoices(job.client_id)
    if not (state.credit and owed):
        messages.warning(request, "There is no credit to put on an invoice, or no invoice is open.")
        return redirect("job-money", job.pk)
    first = {"once": fresh_key(), "invoice": books.documents[owed[0].key].pk}
    form = PutForm(request.POST or None, initial=first, owed=owed, documents=books.documents)
    if form.is_valid():
        try:
            row = put(job.client, form.chosen(), today, form.cleaned_data["once"], timezone.now())
        except EntryFault as error:
            form.add_error("invoice", str(error))
        else:
            messages.success(request, f"{row.amount_in_words()} of credit is put on {form.chosen()}.")
            return redirect("job-money", job.pk)
    title = f"Put credit of {format_price(state.credit)} on an invoice"
    said = "As much of it goes there as is open. No money moves."
    return _form(request, job, form, title, "Put it there", said)


def _once(request: HttpRequest) -> str:
    return request.POST.get("once", "").replace("\0", "")[:64]


def _came_before(request: HttpRequest) -> bool:
    """Whether this very form was taken already, from a double tap: then what is due has changed by it."""
    once = _once(request)
    return bool(once) and Payment.objects.filter(once=once).exists()


def _moved(typed: dict[str, Any], job: Job) -> Moved:
    names = ("on", "amount", "method", "once", "reference", "note")
    return Moved(**{name: typed[name] for name in names}, job=job)


def _usual_method(books: Books) -> str:
    """How the client paid last; by check where he never did."""
    came_in = (row.method for row in books.payments.values() if row.kind == Payment.Kind.PAYMENT)
    return next(came_in, Payment.Method.CHECK)


def _get_payment(payment_id: int) -> Payment:
    rows = Payment.objects.select_related("client", "job__client", "of", "taken_back")
    return get_object_or_404(rows, pk=payment_id)


def _place(job: Job) -> dict[str, Any]:
    return {"job": job, "place": "money"}


def _form(request: HttpRequest, job: Job, form: Any, title: str, verb: str, said: str = "") -> HttpResponse:
    context = {
        **_place(job),
        "form": form,
        "title": title,
        "verb": verb,
        "said": said,
        "back": reverse("job-money", args=[job.pk]),
    }
    return render(
        request, "invoicing/payments/money_form.html", context, status=422 if form.is_bound else 200
    )
