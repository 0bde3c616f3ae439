"""Issued bills without their paper, and money that moved, for tests of accounts."""

from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import count
from typing import Any

from django.db import transaction

from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Client, Document, Job
from estimating.plain_text import money
from invoicing.billing.basis import BilledSums, write_basis
from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.ledger.accounts import read_books
from invoicing.models import Billed, Payment
from invoicing.payments.record import MoneyMovement, record_payment

TODAY = date(2026, 11, 24)
AT = datetime(2026, 11, 24, 21, 30, tzinfo=UTC)
_number = count(1)


def add_bill(
    job: Job,
    amount: str = "100.00",
    *,
    tax: str = "0.00",
    on: date = TODAY,
    due: date | None = None,
    credits: Document | None = None,
    lines: tuple[BillLine, ...] = (),
) -> Document:
    """An invoice for an amount before tax, or where it names one, a credit note on it."""
    before_tax = Decimal(amount)
    kind = Document.Kind.CREDIT_NOTE if credits else Document.Kind.INVOICE
    taxable = before_tax if Decimal(tax) else Decimal("0.00")
    line = BillLine(BillLineKind.MILESTONE, "Floor set", before_tax, taxable, "1")
    lines = lines or ((line.negated() if credits else line),)
    sums = BilledSums(before_tax, taxable, Decimal(tax), due or on, str(credits) if credits else "")
    number = Document.objects.filter(series=kind).count() + 1
    basis = canonical(write_basis(lines, sums, number))
    snapshot = canonical({"kind": kind, "number": f"{number}", "total": money(sums.total)})
    document = Document(
        kind=kind,
        series=kind,
        number=number,
        job=job,
        issue_key=digest(f"{next(_number)}"),
        snapshot=snapshot,
        snapshot_sha256=digest(snapshot),
        basis=basis,
        basis_sha256=digest(basis),
        pdf=b"%PDF",
        pdf_sha256=digest(b"%PDF"),
        issued_at=AT,
        dated=on,
        total=sums.total,
    )
    with transaction.atomic():
        document.save(force_insert=True)
        document.record(states.ISSUED, AT, {"total": money(sums.total)})
        place = Billed.objects.filter(job=job).count() + 1
        Billed.objects.create(document=document, job=job, place=place, corrects=credits)
    return document


def moved(amount: str, on: date = TODAY, job: Job | None = None, **more: Any) -> MoneyMovement:
    more.setdefault("method", Payment.Method.CHECK)
    more.setdefault("once", f"key {next(_number)}")
    return MoneyMovement(on, Decimal(amount), job=job, **more)


def pay(job: Job, amount: str, *invoices: Document, on: date = TODAY) -> Payment:
    return record_payment(job.client, moved(amount, on, job), invoices, AT)


def paid_of(document: Document) -> Decimal:
    """What is paid of an invoice so far."""
    return read_books(document.job.client).owed_on(document).paid


def balance_of(client: Client) -> Decimal:
    """What the client owes, summed here from the rows alone."""
    bills = Document.objects.filter(job__client=client)
    owed = sum(
        bill.total.amount * (1 if bill.kind == Document.Kind.INVOICE else -1)
        for bill in bills.filter(kind__in=("invoice", "credit_note"))
    )
    signs = {"payment": -1, "return": 1, "refund": 1, "put": 0}
    return owed + sum(
        (signs[row.kind] * row.amount.amount for row in Payment.objects.filter(client=client)), Decimal(0)
    )
