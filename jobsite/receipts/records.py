"""The files for the bookkeeper: hours, receipts and miles as rows of plain text; photos by month."""

import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from io import BytesIO
from typing import Any, TypeVar

from django.db.models import Max, Min, QuerySet
from django.utils.text import slugify

from estimating.models import Job
from estimating.plain_text import money
from jobsite.hours.read import SignedWork, read_signed
from jobsite.models import HoursWorked, Mileage, ReceiptKept, ReceiptPhoto
from jobsite.receipts.read import mileage_cost

_Entry = TypeVar("_Entry", HoursWorked, ReceiptKept, Mileage)
Table = tuple[Sequence[str], Iterable[Sequence[str]]]


def hours_table(year: int | None = None) -> Table:
    """Return the hours of a year, or all, by day. Costs four queries."""
    headings = ("date", "client", "job", "on", "hours", "from_to", "what_was_done")
    rows = _of_year(HoursWorked.objects.order_by("on", "pk"), year)
    jobs = list(Job.objects.filter(pk__in=rows.order_by().values("job")))
    return headings, _hours_rows(rows, read_signed(jobs), names_of_jobs())


def _of_year(rows: QuerySet[_Entry], year: int | None) -> QuerySet[_Entry]:
    return rows.filter(on__year=year) if year else rows


def names_of_jobs() -> dict[int, tuple[str, str]]:
    """Return client and name of all jobs: quicker than with each row of thousands. Costs a query."""
    rows = Job.objects.order_by().values_list("pk", "client__name", "name")
    return {pk: (client, name) for pk, client, name in rows}


def _hours_rows(
    rows: QuerySet[HoursWorked], signed: dict[int, SignedWork], names: Mapping[int, tuple[str, str]]
) -> Iterator[Sequence[str]]:
    nothing = SignedWork()
    for row in rows.iterator(2000):
        label = signed.get(row.job_id, nothing).label_of(row)
        yield row.on.isoformat(), *names[row.job_id], label, f"{row.hours}", row.spans, row.says


def receipts_table(year: int | None = None) -> Table:
    """Return the receipts of a year, or all, by day; what went back to the store is below zero."""
    headings = ("date", "client", "job", "store", "what", "before_tax", "tax", "total", "billed_with_change")
    return headings, _receipt_rows(_of_year(ReceiptKept.objects.order_by("on", "pk"), year))


def _receipt_rows(rows: QuerySet[ReceiptKept]) -> Iterator[Sequence[str]]:
    rows = rows.select_related("job__client", "document").defer(
        "document__snapshot", "document__basis", "document__pdf"
    )
    for row in rows.iterator(2000):
        sums = (money(row.cost.amount), money(row.tax.amount), money(row.total))
        change = str(row.document) if row.document else ""
        yield row.on.isoformat(), row.job.client.name, row.job.name, row.supplier, row.says, *sums, change


def mileage_table(year: int | None = None) -> Table:
    """Return the miles of a year, or all, by day."""
    headings = ("date", "client", "job", "miles", "dollars_a_mile", "amount", "where_to")
    rows = _of_year(Mileage.objects.select_related("job__client").order_by("on", "pk"), year)
    return headings, (
        (
            row.on.isoformat(),
            row.job.client.name,
            row.job.name,
            f"{row.miles}",
            f"{row.rate.normalize():f}",
            money(mileage_cost(row)),
            row.says,
        )
        for row in rows
    )


TABLES = {"hours": hours_table, "receipts": receipts_table, "miles": mileage_table}


def years_of_records() -> list[int]:
    """Return the years in which hours, receipts or miles were kept, the newest first. Costs three queries."""
    spans = [
        model._default_manager.order_by().aggregate(first=Min("on"), last=Max("on"))
        for model in (HoursWorked, ReceiptKept, Mileage)
    ]
    days = [day for span in spans for day in span.values() if day]
    return list(range(max(days).year, min(days).year - 1, -1)) if days else []


def months_with_photos() -> list[date]:
    """Return the first days of the months whose receipts have photos, the last month first. Costs a query."""
    days: Any = ReceiptKept.objects.filter(photo__isnull=False).dates("on", "month", order="DESC")
    return list(days)


def photos_zip(month: date) -> bytes:
    """Return the photos of a month's receipts, each named by its day, store and total. Costs a query."""
    photos = ReceiptPhoto.objects.filter(
        receipt__on__year=month.year, receipt__on__month=month.month
    ).select_related("receipt")
    file = BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as archive:
        for photo in photos.order_by("receipt__on", "receipt_id").iterator(50):
            receipt = photo.receipt
            words = slugify(f"{receipt.supplier} {receipt.says}")[:60]
            name = f"{receipt.on}-{words or 'receipt'}-{money(receipt.total)}-{receipt.pk}.jpg"
            archive.writestr(name, bytes(photo.content))
    return file.getvalue()
