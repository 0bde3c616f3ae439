"""The sums that are kept of clients' accounts: written with each bill and payment, checked, made anew.

A client's kept rows are worked out from that client's books alone, by the same rules as everything else, and
take the place of those before in the transaction that adds a bill or a payment. Both wait for the lock under
which events are written, so no two do it at once. As bills and payments are only ever added, counting them
shows what isn't kept, as after an older release wrote to the database: it is kept before sums are read.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models, transaction
from django.db.models import Count, OuterRef, Q, Subquery, Sum

from estimating.models import Client, Counter, Job
from estimating.models.document import EVENTS
from invoicing.billing.lines import RETAINAGE_KINDS, total
from invoicing.ledger.accounts import Books, read_bills, read_bills_of_open_jobs, read_books_of
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import Billed, KeptAccount, KeptBill, KeptMonth, Payment
from invoicing.receivables.balances import ClientAccount, Receivable
from invoicing.receivables.sales_tax import TaxMonth, tax_by_month
from reading.prepared import prepared

CLIENTS_AT_ONCE = 200
NO_BOOKS = Books({}, {}, {}, {}, {})
TABLES: tuple[type[models.Model], ...] = (KeptAccount, KeptBill, KeptMonth)


def cents(amount: Decimal) -> int:
    """Return a sum of money in cents. Raises ValueError for a part of a cent."""
    whole = int(amount * 100)
    if whole != amount * 100:
        raise ValueError(f"{amount} isn't whole cents.")
    return whole


def dollars(cents: int | None) -> Decimal:
    """Return cents as money; none are $0.00."""
    return NO_MONEY + Decimal(cents or 0) / 100


def keep_account(client_id: int) -> None:
    """Keep the sums of a client's account as it stands. Call in the transaction that changes it."""
    keep_accounts([client_id])


def keep_accounts(client_ids: Collection[int]) -> None:
    """Keep the sums of these clients' accounts as they stand, in place of those before."""
    with transaction.atomic():
        Counter.objects.select_for_update().filter(pk=EVENTS).first()
        rows = _rows(read_books_of(client_ids))
        for table in TABLES:
            table._default_manager.filter(client__in=client_ids).delete()
            table._default_manager.bulk_create(rows[table])


def keep_all() -> int:
    """Keep the sums of all accounts anew; return how many there are."""
    wanted = _clients_with_entries()
    with transaction.atomic():
        for table in TABLES:
            table._default_manager.all().delete()
        for some in _some_at_once(wanted):
            keep_accounts(some)
    return len(wanted)


def keep_what_is_missing() -> None:
    """Keep the accounts that have bills or payments which aren't in their sums. Costs three queries."""
    kept = KeptAccount.objects.aggregate(bills=Sum("bills"), payments=Sum("payments"))
    if (kept["bills"] or 0, kept["payments"] or 0) != (Billed.objects.count(), Payment.objects.count()):
        for some in _some_at_once(_missing()):
            keep_accounts(some)


def _missing() -> list[int]:
    """Return the clients whose account has other bills or payments than its kept sums count."""
    kept = {row.pk: (row.bills, row.payments) for row in KeptAccount.objects.all()}
    bills = dict(_counted(Billed.objects.values_list("job__client")))
    payments = dict(_counted(Payment.objects.values_list("client")))
    there = {pk: (bills.get(pk, 0), payments.get(pk, 0)) for pk in {*bills, *payments}}
    return sorted(pk for pk in {*kept, *there} if kept.get(pk) != there.get(pk))


def _counted(rows: Any) -> Any:
    return rows.order_by().annotate(count=Count("pk"))


def _clients_with_entries() -> list[int]:
    billed = Billed.objects.values_list("job__client", flat=True)
    paid = Payment.objects.values_list("client", flat=True)
    return sorted({*billed, *paid})


def _some_at_once(clients: list[int]) -> Iterator[list[int]]:
    for start in range(0, len(clients), CLIENTS_AT_ONCE):
        yield clients[start : start + CLIENTS_AT_ONCE]


def _rows(books: Books) -> dict[type[models.Model], list[Any]]:
    """Return the rows that are kept of these accounts."""
    rows: dict[type[models.Model], list[Any]] = {table: [] for table in TABLES}
    for client_id, account in books.accounts.items():
        entries = books.entries[client_id]
        bills = [entry for entry in entries if entry.key in books.documents]
        lines = [line for entry in bills for line in books.lines[entry.key]]
        rows[KeptAccount].append(
            KeptAccount(
                client_id=client_id,
                bills=len(bills),
                payments=len(entries) - len(bills),
                billed=cents(account.billed),
                credited=cents(account.credited),
                paid=cents(account.paid),
                refunded=cents(account.refunded),
                open=cents(account.open),
                credit=cents(account.credit),
                held=-cents(total(line for line in lines if line.kind in RETAINAGE_KINDS)),
            )
        )
        owed = {item.key: item for item in account.receivables}
        for entry in bills:
            item, sign = owed.get(entry.key), -1 if entry.refers_to else 1
            rows[KeptBill].append(
                KeptBill(
                    document=books.documents[entry.key],
                    client_id=client_id,
                    dated=entry.on,
                    due=entry.due,
                    before_tax=sign * cents(entry.amount - entry.tax),
                    taxable=sign * cents(entry.taxable),
                    tax=sign * cents(entry.tax),
                    credited=cents(item.credited) if item else None,
                    paid=cents(item.paid) if item else None,
                    open=cents(item.open) if item else None,
                )
            )
        rows[KeptMonth] += [
            KeptMonth(
                client_id=client_id,
                month=month.month,
                billed=cents(month.billed),
                taxable=cents(month.taxable),
                tax=cents(month.tax),
                tax_paid=cents(month.tax_paid),
            )
            for month in tax_by_month(entries)
        ]
    return rows


def faults() -> Iterator[str]:
    """Yield a plain sentence for each account whose kept sums aren't what its bills and payments come to.

    What isn't kept yet is no fault: it is kept before anybody reads it.
    """
    missing = set(_missing())
    kept_ids = KeptAccount.objects.values_list("pk", flat=True)
    for some in _some_at_once(sorted({*_clients_with_entries(), *kept_ids} - missing)):
        wanted = _rows(read_books_of(some))
        names = dict(Client.objects.filter(pk__in=some).values_list("pk", "name"))
        for client_id in some:
            if any(
                _plain(_of(client_id, wanted[table])) != _plain(_stored(client_id, table)) for table in TABLES
            ):
                yield (
                    f"The kept sums of {names[client_id]} aren't what the bills and payments come to: "
                    "manage.py keep_sums makes them anew."
                )


def _of(client_id: int, rows: Iterable[Any]) -> list[Any]:
    return [row for row in rows if row.client_id == client_id]


def _stored(client_id: int, table: type[models.Model]) -> list[Any]:
    return list(table._default_manager.filter(client=client_id))


def _plain(rows: Iterable[models.Model]) -> list[tuple[Any, ...]]:
    return sorted(
        tuple(str(getattr(row, field.attname)) for field in row._meta.concrete_fields if field.name != "id")
        for row in rows
    )


def firm_sums() -> dict[str, Decimal]:
    """Return the sums of all accounts, by the names of the columns. Costs three queries."""
    keep_what_is_missing()
    columns = ("billed", "credited", "paid", "refunded", "open", "credit", "held")
    sums = KeptAccount.objects.aggregate(**{name: Sum(name) for name in columns})
    return {name: dollars(amount) for name, amount in sums.items()}


def read_open_books() -> Books:
    """Return what is open of the firm: books that hold no more than open invoices, credit and open jobs.

    Of a client who owes, there are the open invoices alone, but the whole account where credit is held, or
    something else than an invoice is owed. Of a job that is open, all bills with their lines are there. Call
    after `firm_sums`. Costs six queries at the most.
    """
    rows = list(KeptAccount.objects.filter(~Q(open=0) | ~Q(credit=0)))
    bills: dict[int, list[KeptBill]] = defaultdict(list)
    for bill in all_bills().filter(open__gt=0):
        bills[bill.client_id].append(bill)
    whole = [
        row.pk for row in rows if row.credit or row.open != sum(bill.open or 0 for bill in bills[row.pk])
    ]
    books, of_jobs = read_books_of(whole), read_bills_of_open_jobs()
    light = {
        row.pk: [(str(bill.document), bill) for bill in bills[row.pk]] for row in rows if row.pk not in whole
    }
    in_light = {key: bill.document for some in light.values() for key, bill in some}
    return Books(
        books.entries,
        {**books.accounts, **{client_id: _open_account(some) for client_id, some in light.items()}},
        {**in_light, **books.documents, **of_jobs.documents},
        {**dict.fromkeys(in_light, ()), **books.lines, **of_jobs.lines},
        books.payments,
    )


def read_job_books(jobs: Collection[Job]) -> Books:
    """Return books that hold of these jobs all bills with their lines, and of accounts what is owed on those.

    A client's account is there whole where credit is held, something else than an invoice is owed, or its
    sums aren't kept as it stands; else only the invoices of the jobs are on it, without who paid them. Costs
    three queries, and three more for accounts that are whole.
    """
    clients = {job.client_id for job in jobs}
    light = {
        row.pk
        for row in _accounts_as_they_stand(clients)
        if not row.credit
        and (row.open, row.bills, row.payments)
        == (row.of_bills or 0, row.bills_now or 0, row.payments_now or 0)
    }
    of_jobs, books = read_bills([job.pk for job in jobs]), NO_BOOKS
    if whole := clients - light:
        books = read_books_of(whole)
    names = {document.pk: name for name, document in of_jobs.documents.items()}
    owed: dict[int, list[tuple[str, KeptBill]]] = defaultdict(list)
    for bill in _open_bills(names, light):
        owed[bill.client_id].append((names[bill.document_id], bill))
    return Books(
        books.entries,
        {**books.accounts, **{client_id: _open_account(bills) for client_id, bills in owed.items()}},
        {**of_jobs.documents, **books.documents},
        {**of_jobs.lines, **books.lines},
        books.payments,
    )


@prepared
def _accounts_as_they_stand(clients: Collection[int]) -> "models.QuerySet[Any]":
    return KeptAccount.objects.filter(client__in=clients).annotate(
        of_bills=_of_client(KeptBill.objects.filter(client=OuterRef("pk")), "client", Sum("open")),
        bills_now=_of_client(Billed.objects.filter(job__client=OuterRef("pk")), "job__client", Count("pk")),
        payments_now=_of_client(Payment.objects.filter(client=OuterRef("pk")), "client", Count("pk")),
    )


@prepared
def _open_bills(documents: Collection[int], clients: Collection[int]) -> "models.QuerySet[KeptBill]":
    return KeptBill.objects.filter(document__in=documents, client__in=clients, open__isnull=False)


def _of_client(rows: "models.QuerySet[Any]", client: str, figure: Any) -> Subquery:
    """Return a figure of a client's rows, for each row of a query; None where there are none."""
    return Subquery(rows.order_by().values(client).annotate(figure=figure).values("figure"))


def _open_account(bills: Iterable[tuple[str, KeptBill]]) -> ClientAccount:
    """Return an account of invoices alone, each with its key."""
    owed = tuple(
        Receivable(
            key,
            bill.dated,
            bill.due or bill.dated,
            total=dollars(bill.before_tax + bill.tax),
            tax=dollars(bill.tax),
            credited=dollars(bill.credited),
            credited_tax=NO_MONEY,
            paid=dollars(bill.paid),
            paid_by=(),
        )
        for key, bill in bills
    )
    return ClientAccount(owed, (), NO_MONEY, NO_MONEY, NO_MONEY, NO_MONEY)


def read_held_books() -> Books:
    """Return the books of the clients of whom money is held back. Call after `firm_sums`; four queries."""
    return read_books_of(list(KeptAccount.objects.exclude(held=0).values_list("pk", flat=True)))


def all_bills() -> "models.QuerySet[KeptBill]":
    """Return all bills, the newest first, each with its document, job and client."""
    rows = KeptBill.objects.select_related("document__job__client", "document__billed__corrects")
    large = [f"document__{name}" for name in ("pdf", "snapshot", "basis")]
    large += [f"document__billed__corrects__{name}" for name in ("pdf", "snapshot", "basis")]
    return rows.defer(*large).order_by("-dated", "-pk")


def kept_bills(since: date, until: date) -> "models.QuerySet[KeptBill]":
    """Return the bills of a period by date. Costs four queries."""
    keep_what_is_missing()
    return all_bills().filter(dated__gte=since, dated__lte=until).order_by("dated", "pk")


def billed_before_tax(since: date, until: date) -> Decimal:
    """Return what was billed in a period before tax, less what was credited. Costs three queries."""
    keep_what_is_missing()
    rows = KeptBill.objects.filter(dated__gte=since, dated__lte=until)
    return dollars(rows.aggregate(sum=Sum("before_tax"))["sum"])


def tax_months(since: date, until: date) -> list[TaxMonth]:
    """Return sales tax of all clients together, the earliest month first. Costs three queries."""
    keep_what_is_missing()
    columns = ("billed", "taxable", "tax", "tax_paid")
    months = KeptMonth.objects.filter(month__gte=since, month__lte=until)
    rows: Any = months.order_by("month").values("month")
    summed = rows.annotate(**{f"{name}_sum": Sum(name) for name in columns})
    return [TaxMonth(row["month"], *(dollars(row[f"{name}_sum"]) for name in columns)) for row in summed]
