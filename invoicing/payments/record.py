"""Recording payments, voiding them, giving money back, and applying credit. Rows are only ever added."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from estimating.documents.clock import check_date
from estimating.models import Client, Counter, Document, Job
from estimating.models.document import EVENTS
from invoicing.ledger.accounts import Books, entry_of, read_books
from invoicing.ledger.kept_sums import keep_account
from invoicing.models import Payment, PaymentFor
from invoicing.receivables.balances import EntryFault, account_after


@dataclass(frozen=True)
class MoneyMovement:
    """Money that moved, as it was typed.

    `once` is the key of the form, `method` a Payment.Method; `date_is_right` says that somebody was asked
    whether the machine's date is. Without that, whatever records it raises DateInDoubt where it doesn't fit.
    """

    on: date
    amount: Decimal
    method: str
    once: str
    reference: str = ""
    note: str = ""
    job: Job | None = None
    date_is_right: bool = False


def record_payment(
    client: Client, movement: MoneyMovement, invoices: Sequence[Document], at: datetime
) -> Payment:
    """Record a payment, for these invoices or, without any, for the oldest first.

    A form that is sent twice makes one payment.
    """
    return _record(Payment(kind=Payment.Kind.PAYMENT, client=client), movement, at, invoices)


def record_refund(client: Client, movement: MoneyMovement, at: datetime) -> Payment:
    """Record money given back out of the client's credit. Raises EntryFault for more than is held."""
    return _record(Payment(kind=Payment.Kind.REFUND, client=client), movement, at)


def void_payment(
    payment: Payment,
    on: date,
    why: str,
    note: str,
    once: str,
    at: datetime,
    *,
    date_is_right: bool = False,
) -> Payment:
    """Record that a whole payment came back, or was entered wrong; `why` is a Payment.Why.

    Raises EntryFault where it came back before, or where a refund since was paid out of it on an earlier day.
    """
    row = Payment(kind=Payment.Kind.RETURN, client=payment.client, of=payment, why=why)
    movement = MoneyMovement(
        on,
        payment.amount.amount,
        payment.method,
        once,
        payment.reference,
        note=note,
        job=payment.job,
        date_is_right=date_is_right,
    )
    return _record(row, movement, at)


def apply_credit(
    client: Client,
    invoice: Document,
    on: date,
    once: str,
    at: datetime,
    *,
    date_is_right: bool = False,
) -> Payment:
    """Apply the credit on account to an invoice, as much of it as is open there.

    Raises EntryFault where nothing is held, or nothing open.
    """
    with transaction.atomic():
        _lock()
        if same := _recorded(once):
            return same
        client_account = read_books(client).account_of(client.pk)
        amount = min(client_account.credit, client_account.invoice(str(invoice)).open)
        if not amount:
            held = bool(client_account.credit)
            why = f"{invoice} has nothing open" if held else f"{client} has no credit on account"
            raise EntryFault(f"{why}: there is nothing to put on it.")
        row = Payment(kind=Payment.Kind.CREDIT_USED, client=client)
        movement = MoneyMovement(on, amount, "", once, job=invoice.job, date_is_right=date_is_right)
        return _record(row, movement, at, [invoice])


def was_recorded(once: str) -> bool:
    """Return whether the form with this key was recorded before, as by a double tap. Costs a query."""
    return bool(once) and Payment.objects.filter(once=once).exists()


def usual_method(books: Books) -> str:
    """Return how the client paid last; by check where he never did."""
    methods = (row.method for row in books.payments.values() if row.is_payment)
    return next(methods, Payment.Method.CHECK)


def _lock() -> Counter:
    """Take the lock under which events are written, and return its row."""
    return Counter.objects.select_for_update().get_or_create(pk=EVENTS, defaults={"last": 0})[0]


def _recorded(once: str) -> Payment | None:
    return Payment.objects.filter(once=once).first()


def _record(
    row: Payment, movement: MoneyMovement, at: datetime, invoices: Sequence[Document] = ()
) -> Payment:
    """Store the row if the account can hold it; raises EntryFault where it can't.

    Whoever issues an invoice or records money at the same moment waits for the lock under which events are
    written, so that what is checked here stays true.
    """
    row.on, row.amount, row.method = movement.on, movement.amount, movement.method
    row.reference, row.note, row.job = movement.reference, movement.note, movement.job
    row.once, row.entered_at = movement.once, at
    with transaction.atomic():
        counter = _lock()
        if same := _recorded(row.once):
            return same
        check_date(at, movement.date_is_right)
        row.place = counter.last
        books = read_books(row.client)
        row.pk = None
        entry = entry_of(row, [str(invoice) for invoice in invoices])
        account_after([*books.entries.get(row.client_id, ()), entry])
        row.save(force_insert=True)
        PaymentFor.objects.bulk_create(PaymentFor(payment=row, invoice=invoice) for invoice in invoices)
        keep_account(row.client_id)
    return row
