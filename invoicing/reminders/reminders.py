"""Reminders: which one is next for an invoice, its words, and sending it. Nothing goes out by itself."""

import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from catalog.models import Firm
from estimating.client.mail import send_letter
from estimating.events import states
from estimating.models import Document
from estimating.plain_text import lines_of
from invoicing.billing.draft import Kind as LineKind
from invoicing.ledger.accounts import Books, sum_of
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import MoneyRules, Reminder
from invoicing.receivables.balances import Owed
from invoicing.receivables.late_charges import LateTerms, Rung, ladder, late_charge_on, next_step

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
class Ladder:
    """The steps for one invoice, what was sent of them, and the one that comes next, if any is left."""

    rungs: Sequence[Rung]
    sent: Sequence[Reminder]
    following: Rung | None

    @property
    def step(self) -> str:
        return self.following.name if self.following else ""


def ladder_of(due: date, sent: Iterable[Reminder], rules: MoneyRules, today: date) -> Ladder:
    """How far the reminding of an invoice has come."""
    sent = tuple(sent)
    rungs = ladder(due, today, rules.steps())
    taken = {each.step: timezone.localdate(each.at) for each in sent}
    return Ladder(rungs, sent, next_step(rungs, taken, today))


def letter(document: Document, owed: Owed, step: str, firm: Firm, today: date) -> str:
    """The words of a step, for him to read and change."""
    context = {
        "document": document,
        "address": ", ".join(lines_of(document.job.address)),
        "owed": owed,
        "firm": firm,
        "days": owed.days_late(today),
        "today": today,
    }
    return render_to_string(LETTERS[Reminder.Step(step)], context).strip()


def subject(document: Document, step: str, firm: Firm) -> str:
    return f"{step}: {document} from {firm.name}"


def send(
    document: Document, step: str, text: str, to: str, open: Decimal, firm: Firm, at: datetime
) -> Reminder:
    """Mail the letter with the invoice, then keep it. Raises AlreadySent, MailFailed and Damaged."""
    with _one_at_a_time:
        _check_not_sent(document, step)
        send_letter(document, subject(document, step, firm), text, to, firm)
        return _keep(document, step, text, to, open, at)


def note_sent(document: Document, step: str, text: str, open: Decimal, at: datetime) -> Reminder:
    """He handed the letter over himself. Raises AlreadySent."""
    with _one_at_a_time:
        _check_not_sent(document, step)
        return _keep(document, step, text, "the client, by hand", open, at)


def _check_not_sent(document: Document, step: str) -> None:
    if Reminder.objects.filter(invoice=document, step=step).exists():
        raise AlreadySent(f"The {step.lower()} for {document} went out already.")


def _keep(document: Document, step: str, text: str, to: str, open: Decimal, at: datetime) -> Reminder:
    with transaction.atomic():
        document.record(states.SENT, at, {"to": to, "by": "reminder", "step": step})
        return Reminder.objects.create(invoice=document, step=step, open=open, to=to, text=text, at=at)


def late_charge_of(books: Books, owed: Owed, rules: MoneyRules, until: date) -> Decimal:
    """What the late charge on an invoice comes to and isn't billed yet, where the firm's contracts state
    one. A late charge that is late costs nothing more: the interest is simple."""
    lines = books.lines.get(owed.key, ())
    if not rules.late_percent or any(line.kind == LineKind.LATE for line in lines):
        return NO_MONEY
    entries = books.entries[books.client_of(owed.key).pk]
    charged = sum_of(
        line.amount
        for each in books.lines.values()
        for line in each
        if line.kind == LineKind.LATE and line.change == owed.key
    )
    return late_charge_on(entries, owed.key, LateTerms(rules.yearly), until, charged)
