"""Taking a payment, taking it back, giving money back, and putting credit on an invoice. Rows are only ever
added.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from estimating.models import Client, Counter, Document, Job
from estimating.models.document import EVENTS
from invoicing.ledger.accounts import entry_of, read_books
from invoicing.models import Payment, PaymentFor
from invoicing.receivables.balances import EntryFault, account


@dataclass(frozen=True)
class Moved:
    """Money that moved, as it was typed. `once` is the form's own key."""

    on: date
    amount: Decimal
    method: str
    once: str
    reference: str = ""
    note: str = ""
    job: Job | None = None


def take(client: Client, moved: Moved, invoices: Sequence[Document], at: datetime) -> Payment:
    """A payment, for these invoices or for the oldest first. Entered twice, it is one."""
    return _enter(Payment(kind=Payment.Kind.PAYMENT, client=client), moved, at, invoices)


def refund(client: Client, moved: Moved, at: datetime) -> Payment:
    """Money given back out of the client's credit. Raises EntryFault for more than is held."""
    return _enter(Payment(kind=Payment.Kind.REFUND, client=client), moved, at)


def take_back(payment: Payment, on: date, why: str, note: str, once: str, at: datetime) -> Payment:
    """The whole payment came back, or was entered wrong. Raises EntryFault where it can't: it came back
    before, or a refund since was paid out of it on an earlier day."""
    row = Payment(kind=Payment.Kind.RETURN, client=payment.client, of=payment, why=why)
    moved = Moved(
        on, payment.amount.amount, payment.method, once, payment.reference, note=note, job=payment.job
    )
    return _enter(row, moved, at)


def put(client: Client, invoice: Document, on: date, once: str, at: datetime) -> Payment:
    """Put what is held as credit on an invoice, as much of it as is open there. Raises EntryFault where
    nothing is held, or nothing open."""
    with transaction.atomic():
        _lock()
        if same := Payment.objects.filter(once=once).first():
            return same
        state = read_books(client).of(client.pk)
        amount = min(state.credit, state.invoice(str(invoice)).open)
        if not amount:
            why = f"{invoice} has nothing open" if state.credit else f"Nothing is held as credit for {client}"
            raise EntryFault(f"{why}: there is nothing to put on it.")
        row = Payment(kind=Payment.Kind.PUT, client=client)
        return _enter(row, Moved(on, amount, "", once, job=invoice.job), at, [invoice])


def _lock() -> Counter:
    """The lock under which events are written."""
    return Counter.objects.select_for_update().get_or_create(pk=EVENTS, defaults={"last": 0})[0]


def _enter(row: Payment, moved: Moved, at: datetime, invoices: Sequence[Document] = ()) -> Payment:
    """Keep the row if the account can hold it. The lock under which events are written keeps whoever issues
    an invoice or enters money at the same moment waiting, so that what is checked here stays so."""
    row.on, row.amount, row.method = moved.on, moved.amount, moved.method
    row.reference, row.note, row.job = moved.reference, moved.note, moved.job
    row.once, row.entered_at = moved.once, at
    with transaction.atomic():
        counter = _lock()
        if same := Payment.objects.filter(once=row.once).first():
            return same
        row.place = counter.last
        books = read_books(row.client)
        row.pk = None
        entry = entry_of(row, [str(each) for each in invoices])
        account([*books.entries.get(row.client_id, ()), entry])
        row.save(force_insert=True)
        PaymentFor.objects.bulk_create(PaymentFor(payment=row, invoice=each) for each in invoices)
    return row
