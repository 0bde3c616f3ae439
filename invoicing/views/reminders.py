"""Reminders of money that is late, the firm's spacing of them, and dates that the state sets."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from estimating.client.mail import Damaged, MailFailed
from estimating.models import Document
from estimating.views.lookups import get_job
from invoicing.forms.reminders import MoneyRulesForm, NoticeRuleForm, ReminderForm, WorkDaysForm
from invoicing.ledger.accounts import read_books
from invoicing.models import BillDraft, MoneyRules, NoticeRule, Reminder, WorkDays
from invoicing.reminders.reminders import AlreadySent, ladder_of, late_charge_of, letter, note_sent, send
from invoicing.views.invoices import REPLACED

STALE = "This step is taken, or its turn hasn't come. Read what is next below, then send that."


@require_http_methods(["GET", "POST"])
def invoice_remind(request: HttpRequest, document_id: int) -> HttpResponse:
    """The letter that is next for an invoice: he reads it, changes it, and sends it or not."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE).select_related("job__client")
    document = get_object_or_404(invoices, pk=document_id)
    today, firm, rules = timezone.localdate(), Firm.current(), MoneyRules.current()
    client = document.job.client
    books = read_books(client)
    owed = books.of(client.pk).invoice(str(document))
    ladder = ladder_of(owed.due, Reminder.objects.filter(invoice=document), rules, today)
    context: dict[str, Any] = {
        "job": document.job,
        "place": "money",
        "document": document,
        "owed": owed,
        "ladder": ladder,
        "days_late": owed.days_late(today),
        "late_charge": late_charge_of(books, owed, rules, today),
        "rules": rules,
    }
    if not owed.open or not ladder.step:
        return render(
            request, "invoicing/reminders/remind.html", context, status=409 if request.POST else 200
        )
    first = {"step": ladder.step, "email": client.email}
    first["text"] = letter(document, owed, ladder.step, firm, today)
    form = ReminderForm(request.POST or None, initial=first)
    if form.is_valid():
        typed, now = form.cleaned_data, timezone.now()
        try:
            if typed["step"] != ladder.step:
                raise AlreadySent(STALE)
            if form.by_hand():
                note_sent(document, ladder.step, typed["text"], owed.open, now)
            else:
                send(document, ladder.step, typed["text"], typed["email"], owed.open, firm, now)
        except (AlreadySent, MailFailed, Damaged) as error:
            form.add_error(None, str(error))
        else:
            how = "is noted as handed over" if form.by_hand() else f"went to {typed['email']}"
            messages.success(request, f"The {ladder.step.lower()} for {document} {how}.")
            return redirect("job-money", document.job_id)
    status = 422 if form.is_bound else 200
    return render(request, "invoicing/reminders/remind.html", {**context, "form": form}, status=status)


@require_POST
def late_charge_start(request: HttpRequest, document_id: int) -> HttpResponse:
    """Begin a bill for the late charge on an invoice; he looks at it before he issues it."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE)
    document = get_object_or_404(invoices, pk=document_id)
    begun = BillDraft.objects.filter(job_id=document.job_id).exclude(kind=BillDraft.Kind.LATE).first()
    if begun:
        messages.warning(request, REPLACED.format(begun.get_kind_display().lower()))
    values = {"kind": BillDraft.Kind.LATE, "late_on": document, "due_on": None, "note": ""}
    draft, _ = BillDraft.objects.update_or_create(job_id=document.job_id, defaults=values)
    draft.milestones.clear()
    return redirect(draft)


@require_http_methods(["GET", "POST"])
def money_rules(request: HttpRequest) -> HttpResponse:
    """The spacing of reminders, the late charge that contracts state, and dates that the state sets."""
    form = MoneyRulesForm(request.POST or None, instance=MoneyRules.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. Reminders are counted so from now on.")
        return redirect("money-rules")
    context = {"place": "firm-money", "form": form, "notices": NoticeRule.objects.all()}
    return render(
        request, "invoicing/reminders/money_rules.html", context, status=422 if form.is_bound else 200
    )


@require_http_methods(["GET", "POST"])
def notice_rule_new(request: HttpRequest) -> HttpResponse:
    """A deadline of his state, which he looked up himself."""
    form = NoticeRuleForm(request.POST or None)
    if form.is_valid():
        form.instance.confirmed_on = timezone.localdate()
        form.save()
        messages.success(request, f"{form.instance} is kept. Each job shows its date.")
        return redirect("money-rules")
    context = {"place": "firm-money", "form": form}
    return render(
        request, "invoicing/reminders/notice_rule.html", context, status=422 if form.is_bound else 200
    )


@require_POST
def notice_rule_remove(request: HttpRequest, rule_id: int) -> HttpResponse:
    rule = get_object_or_404(NoticeRule, pk=rule_id)
    rule.delete()
    messages.success(request, f"{rule} is removed. To have it back, enter it again.")
    return redirect("money-rules")


@require_http_methods(["GET", "POST"])
def work_days(request: HttpRequest, job_id: int) -> HttpResponse:
    """The first and the last day of work on a job."""
    job, today = get_job(job_id), timezone.localdate()
    days = WorkDays.objects.filter(job=job).first() or WorkDays(job=job)
    form = WorkDaysForm(request.POST or None, instance=days, today=today)
    if form.is_valid():
        form.save()
        return redirect("job-money", job.pk)
    context = {
        "job": job,
        "place": "money",
        "form": form,
        "title": "First and last day of work",
        "verb": "Keep these days",
        "said": "States count the days for a lien notice from them.",
        "back": reverse("job-money", args=[job.pk]),
    }
    return render(
        request, "invoicing/payments/money_form.html", context, status=422 if form.is_bound else 200
    )
