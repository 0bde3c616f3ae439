"""Reminders of money that is late, the firm's days of reminding, and deadlines that the state sets."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.client import outbox
from estimating.client.outbox import DamagedPdf
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.snapshots import client_party, firm_party, pdf_file_name
from estimating.models import Document
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from invoicing.forms.reminders import MoneyRulesForm, NoticeRuleForm, ReminderForm, WorkDaysForm
from invoicing.ledger.accounts import Books, read_books
from invoicing.ledger.late_charges import unbilled_late_charge
from invoicing.models import MoneyRules, NoticeRule, Reminder, StateWaiver, WorkDays
from invoicing.payment_plan.contract import signed_late_percent
from invoicing.receivables.balances import Receivable
from invoicing.reminders.reminders import (
    AlreadySent,
    ReminderProgress,
    letter,
    record_handed_over,
    reminder_progress,
    send_reminder,
)
from invoicing.snapshots.letter import Letter, letter_snapshot
from invoicing.views.lookups import get_invoice
from invoicing.views.money_form import money_form_page
from saving.forms import status_of
from saving.once import keeps_own_transactions, saves_nothing

STALE = "This step is taken, or its turn hasn't come. Read what is next below, then send that."


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def invoice_remind(request: HttpRequest, document_id: int) -> HttpResponse:
    """Show the next letter for an invoice: the owner reads it, changes it, and sends it or not."""
    invoice, today, firm = get_invoice(document_id), timezone.localdate(), Firm.current()
    books = read_books(invoice.job.client)
    owed, progress = books.owed_on(invoice), _progress(invoice, books)
    step = progress.next_name
    if not owed.open or not step:
        return _remind_page(request, invoice, books, progress, None, 409 if request.POST else 200)
    text = letter(invoice, owed, step, firm, today)
    initial = {"step": step, "email": invoice.job.client.email, "text": text}
    form = ReminderForm(request.POST or None, initial=initial)
    if form.is_valid():
        try:
            how = _send(form, invoice, owed, step, firm)
        except (AlreadySent, DamagedPdf) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"The {step.lower()} for {invoice} {how}.")
            return redirect("job-money", invoice.job_id)
    return _remind_page(request, invoice, books, progress, form, status_of(form))


def _progress(invoice: Document, books: Books) -> ReminderProgress:
    sent, rules = Reminder.objects.filter(invoice=invoice), MoneyRules.current()
    return reminder_progress(books.owed_on(invoice).due, sent, rules, timezone.localdate())


def _remind_page(
    request: HttpRequest,
    invoice: Document,
    books: Books,
    progress: ReminderProgress,
    form: ReminderForm | None,
    status: int,
) -> HttpResponse:
    owed, today = books.owed_on(invoice), timezone.localdate()
    late_percent = signed_late_percent(invoice.job)
    context: dict[str, Any] = {
        "job": invoice.job,
        "place": "money",
        "document": invoice,
        "owed": owed,
        "progress": progress,
        "days_late": owed.days_late(today),
        "late_charge": unbilled_late_charge(books, owed, late_percent, today),
        "late_percent": late_percent,
        "form": form,
    }
    return render(request, "invoicing/reminders/remind.html", context, status=status)


@saves_nothing
@require_POST
def letter_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    """Return the letter as it is typed, as a PDF to print; nothing is sent and nothing kept.

    One that can't be sent as it is typed, being too long or empty, is shown with what is wrong.
    """
    invoice, today = get_invoice(document_id), timezone.localdate()
    books = read_books(invoice.job.client)
    owed, form = books.owed_on(invoice), ReminderForm(request.POST)
    step = form.data.get("step", "")
    if step not in Reminder.Step.values:
        return redirect("invoice-remind", invoice.pk)
    form.full_clean()
    if "text" not in form.cleaned_data:
        return _remind_page(request, invoice, books, _progress(invoice, books), form, 422)
    return _letter_pdf(invoice, step, owed.open, owed.due, today, form.cleaned_data["text"])


@require_GET
def reminder_pdf(request: HttpRequest, reminder_id: int) -> HttpResponse:
    """Return a letter that went out, word for word, as a PDF."""
    reminder = get_object_or_404(Reminder.objects.select_related("invoice__job__client"), pk=reminder_id)
    invoice, dated = reminder.invoice, timezone.localdate(reminder.at)
    due = read_books(invoice.job.client).owed_on(invoice).due
    return _letter_pdf(invoice, reminder.step, reminder.open, due, dated, reminder.text)


def _letter_pdf(
    invoice: Document, step: str, still_open: Decimal, due: date, dated: date, text: str
) -> HttpResponse:
    job, firm = invoice.job, Firm.current()
    written = Letter(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        paper_size=firm.paper_size,
        step=step,
        invoice=str(invoice),
        open=still_open,
        due=due,
        dated=dated,
        text=text,
    )
    try:
        pdf = make_pdf(letter_snapshot(written))
    except PangoMissing as error:
        return HttpResponse(str(error), content_type="text/plain", status=503)
    return pdf_response(pdf, pdf_file_name(step, job))


def _send(form: ReminderForm, invoice: Document, owed: Receivable, step: str, firm: Firm) -> str:
    """Send the letter, or record that it was handed over, and return which, as a sentence goes on."""
    typed, now = form.cleaned_data, timezone.now()
    if typed["step"] != step:
        raise AlreadySent(STALE)
    if form.by_hand():
        record_handed_over(invoice, step, typed["text"], owed.open, now)
        return "is noted as handed over"
    send_reminder(invoice, step, typed["text"], typed["email"], owed.open, firm, now)
    outbox.wake()
    return f"goes to {typed['email']}"


@require_http_methods(["GET", "POST"])
def money_rules(request: HttpRequest) -> HttpResponse:
    """Show the days of reminding, the late charge that estimates state, and deadlines that the state sets."""
    form = MoneyRulesForm(request.POST or None, instance=MoneyRules.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. Reminders are counted so from now on.")
        return redirect("money-rules")
    context = {"place": "firm-money", "form": form, "notices": NoticeRule.objects.all()}
    context["waivers"] = StateWaiver.objects.all()
    status = status_of(form)
    return render(request, "invoicing/reminders/money_rules.html", context, status=status)


@require_http_methods(["GET", "POST"])
def notice_rule_new(request: HttpRequest) -> HttpResponse:
    """Add a deadline of the firm's state that the owner looked up."""
    form = NoticeRuleForm(request.POST or None)
    if form.is_valid():
        form.instance.confirmed_on = timezone.localdate()
        form.save()
        messages.success(request, f"{form.instance} is kept. Each job shows its date.")
        return redirect("money-rules")
    context = {"place": "firm-money", "form": form}
    status = status_of(form)
    return render(request, "invoicing/reminders/notice_rule.html", context, status=status)


@require_POST
def notice_rule_remove(request: HttpRequest, rule_id: int) -> HttpResponse:
    rule = get_object_or_404(NoticeRule, pk=rule_id)
    rule.delete()
    messages.success(request, f"{rule} is removed. To have it back, enter it again.")
    return redirect("money-rules")


@require_http_methods(["GET", "POST"])
def work_days(request: HttpRequest, job_id: int) -> HttpResponse:
    """Enter the first and the last day of work on a job."""
    job, today = get_job(job_id), timezone.localdate()
    days = WorkDays.objects.filter(job=job).first() or WorkDays(job=job)
    form = WorkDaysForm(request.POST or None, instance=days, today=today)
    if form.is_valid():
        form.save()
        return redirect("job-money", job.pk)
    explanation = "States count the days for a lien notice from them."
    return money_form_page(request, job, form, "First and last day of work", "Keep these days", explanation)
