"""Reminders of an invoice: which one is next, its words, and sending it. Nothing goes out by itself."""

import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from catalog.models import Firm
from estimating.client.mail import mail_letter
from estimating.events import states
from estimating.models import Document
from estimating.plain_text import nonblank_lines
from invoicing.models import MoneyRules, Reminder
from invoicing.receivables.balances import Receivable
from invoicing.receivables.reminder_steps import DatedReminderStep, next_reminder_step, reminder_steps

LETTERS = {
    Reminder.Step.FIRST: "invoicing/reminders/letter_reminder.txt",
    Reminder.Step.SECOND: "invoicing/reminders/letter_second.txt",
    Reminder.Step.DEMAND: "invoicing/reminders/letter_demand.txt",
}

# Two taps in one process queue here, so that one letter goes out.
_one_at_a_time = threading.Lock()


class AlreadySent(ValueError):
    """This step was taken before; the message says so in a plain sentence."""


@dataclass(frozen=True)
class ReminderProgress:
    """The steps of reminding of one invoice, the letters that went out, and the next step, if one is left."""

    steps: Sequence[DatedReminderStep]
    sent: Sequence[Reminder]
    next: DatedReminderStep | None

    @property
    def next_name(self) -> str:
        """The name of the next step; empty where none is left."""
        return self.next.name if self.next else ""

    @property
    def next_is_demand(self) -> bool:
        return self.next_name == Reminder.Step.DEMAND


def reminder_progress(
    due: date, sent: Iterable[Reminder], rules: MoneyRules, today: date
) -> ReminderProgress:
    """Return how far the reminding of an invoice has come, from its due date and the letters sent."""
    sent = tuple(sent)
    steps = reminder_steps(due, today, rules.steps())
    taken = {reminder.step: timezone.localdate(reminder.at) for reminder in sent}
    return ReminderProgress(steps, sent, next_reminder_step(steps, taken, today))


def letter(document: Document, owed: Receivable, step: str, firm: Firm, today: date) -> str:
    """Return the words of a step's letter, for the owner to read and change."""
    context = {
        "document": document,
        "address": ", ".join(nonblank_lines(document.job.address)),
        "owed": owed,
        "firm": firm,
        "days": owed.days_late(today),
        "today": today,
    }
    return render_to_string(LETTERS[Reminder.Step(step)], context).strip()


def send_reminder(
    document: Document, step: str, text: str, to: str, open: Decimal, firm: Firm, at: datetime
) -> Reminder:
    """Store the letter and have it mailed with the invoice; `open` is the amount that was open.

    Raises AlreadySent and DamagedPdf.
    """
    note = {"to": to, "by": "reminder", "step": step}
    with _one_at_a_time, transaction.atomic():
        _check_not_sent(document, step)
        mail_letter(document, f"{step}: {document} from {firm.name}", text, to, at, note)
        return _store(document, step, text, to, open, at)


def record_handed_over(document: Document, step: str, text: str, open: Decimal, at: datetime) -> Reminder:
    """Store a letter that the owner handed over himself. Raises AlreadySent."""
    with _one_at_a_time:
        _check_not_sent(document, step)
        to = "the client, by hand"
        with transaction.atomic():
            document.record(states.SENT, at, {"to": to, "by": "reminder", "step": step})
            return _store(document, step, text, to, open, at)


def _check_not_sent(document: Document, step: str) -> None:
    if Reminder.objects.filter(invoice=document, step=step).exists():
        raise AlreadySent(f"The {step.lower()} for {document} went out already.")


def _store(document: Document, step: str, text: str, to: str, open: Decimal, at: datetime) -> Reminder:
    return Reminder.objects.create(invoice=document, step=step, open=open, to=to, text=text, at=at)
