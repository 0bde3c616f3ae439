"""What pages show of a job's bills: what was issued, what can be billed, and how an invoice stands."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.documents.history import Row, rows
from estimating.models import Document, Job
from estimating.plain_text import in_a_row
from invoicing.billing.basis import read_lines
from invoicing.billing.credit_note import FOLLOWS
from invoicing.billing.draft import BillLine, Standing, due_now, standing
from invoicing.invoices.time_and_material import Measured, measured_changes, worth_of
from invoicing.ledger.accounts import Books, read_books
from invoicing.ledger.history import BILLED
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import Milestone, MoneyRules
from invoicing.payment_plan.plan import DrawnPlan
from invoicing.receivables.balances import Owed
from invoicing.reminders.reminders import late_charge_of

TEMPLATE = "invoicing/payment_plan/_billed_and_done.html"


def stands_in_words(document: Document) -> str:
    """ "$100.00 is paid; $300.00 is left to pay." Empty for a credit note, and where nothing came yet. Costs
    three queries."""
    if document.kind != Document.Kind.INVOICE:
        return ""
    owed = read_books(document.job.client).of(document.job.client_id).invoice(str(document))
    came = [(owed.paid, "is paid"), (owed.credited, "is taken back")]
    words = [f"{format_price(amount)} {how}" for amount, how in came if amount]
    if not words:
        return ""
    left = f"{format_price(owed.open)} is left to pay." if owed.open else "nothing is left to pay. Thank you."
    return f"{in_a_row(words)}; {left}"


def billed_rows(job: Job, books: Books, today: date) -> list[tuple[Row, str]]:
    """The job's invoices and credit notes, newest first, each with how it is paid. Costs two queries."""
    documents = Document.objects.filter(job=job, kind__in=BILLED).for_list()
    stands = {each.key: in_money(each) for each in books.of(job.client_id).owed}
    listed = rows(documents.select_related("billed__corrects"), today)
    return [(row, stands.get(str(row.document), "")) for row in listed]


def in_money(owed: Owed) -> str:
    """How an invoice is paid: "paid", "taken back", or "$20.00 open" where something is paid or credited.
    Nothing is said of one where nothing is, or that asks for nothing."""
    if owed.open:
        return "" if owed.open == owed.total else f"{format_price(owed.open)} open"
    if owed.paid:
        return "paid"
    return "taken back" if owed.total else ""


@dataclass(frozen=True)
class CanBill:
    """What can be billed now."""

    stands: Standing
    milestones: tuple[Milestone, ...]
    deposit: Decimal  # of the deposit, not asked for yet
    measured: Mapping[str, Measured]

    @property
    def retainage(self) -> Decimal:
        return self.stands.held


def can_bill(drawn: DrawnPlan | None, measured: Mapping[str, Measured] | None = None) -> CanBill | None:
    """None before there is a signed plan to bill by. `measured` are the changes that go by measure; left
    out, they are looked up by two queries."""
    if drawn is None or drawn.plan is None or not drawn.agreed.is_signed:
        return None
    plan, history = drawn.plan, drawn.history
    measured = measured_changes(drawn.agreed) if measured is None else measured
    worth = worth_of(measured)
    stands = standing(plan, history)
    reached = tuple(
        row
        for row in drawn.rows
        if (row.reached_on or row.is_deposit) and due_now(plan, history, row.key, worth)
    )
    return CanBill(stands, reached, max(plan.deposit - stands.deposit, NO_MONEY), measured)


def credit_notes(invoice: Document) -> Sequence[Document]:
    """Those issued on an invoice, the oldest first. Costs a query."""
    return Document.objects.filter(billed__corrects=invoice).order_by("pk")


def left_to_credit(invoice: Document, notes: Sequence[Document]) -> list[tuple[BillLine, Decimal]]:
    """The lines of an invoice that a credit note can choose from, with what is left of each."""
    credited = [line for note in notes for line in read_lines(note.read_basis())]
    found = []
    for line in read_lines(invoice.read_basis()):
        back = sum((each.amount for each in credited if each.place == line.place), NO_MONEY)
        if line.kind not in FOLLOWS and line.amount + back:
            found.append((line, line.amount + back))
    return found


def beside_bill(document: Document, today: date) -> dict[str, Any]:
    """What the page of an invoice or credit note shows beside it."""
    if document.kind == Document.Kind.CREDIT_NOTE:
        return {"place": "money", "beside": TEMPLATE, "corrects": document.billed.corrects}
    books = read_books(document.job.client)
    owed = books.of(document.job.client_id).invoice(str(document))
    notes = list(credit_notes(document))
    return {
        "place": "money",
        "beside": TEMPLATE,
        "owed": owed,
        "late": owed.days_late(today),
        "late_charge": late_charge_of(books, owed, MoneyRules.current(), today),
        "notes": notes,
        "is_receipt": bool(owed.paid) and not owed.open,
        "creditable": bool(left_to_credit(document, notes)),
    }
