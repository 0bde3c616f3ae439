"""Pages of hours and receipts ask the database as often for many rows as for few."""

from collections.abc import Callable, Mapping
from datetime import timedelta
from decimal import Decimal
from functools import partial
from time import perf_counter, process_time

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.models import Package
from estimating.models import Job
from jobsite.models import HoursWorked, Mileage, ReceiptKept, ReceiptLine, ReceiptPhoto
from tests.invoicing.bills import signed_floor

pytestmark = [pytest.mark.django_db, pytest.mark.every_database]


def work_days(job: Job, hours: int, receipts: int) -> None:
    """Hours and receipts of many days, half of the receipts with a line and a photo of each."""
    package, first = Package.objects.order_by("pk")[0], timezone.localdate() - timedelta(days=2000)
    on = [first + timedelta(days=number % 2000) for number in range(max(hours, receipts))]
    HoursWorked.objects.bulk_create(
        HoursWorked(
            job=job,
            on=on[number],
            hours=Decimal(1),
            phase="floor" if number % 2 else "",
            for_job="" if number % 2 else "quoting",
        )
        for number in range(hours)
    )
    kept = ReceiptKept.objects.bulk_create(
        ReceiptKept(job=job, on=on[number], cost=Decimal(10), tax=Decimal("0.65"), says="Paint")
        for number in range(receipts)
    )
    ReceiptLine.objects.bulk_create(
        ReceiptLine(receipt=row, material=package.material, package=package, amount=Decimal(8))
        for row in kept[::2]
    )
    ReceiptPhoto.objects.bulk_create(
        ReceiptPhoto(receipt=row, content=b"jpeg", sha256="1" * 64) for row in kept[::2]
    )
    Mileage.objects.bulk_create(
        Mileage(job=job, on=day, miles=Decimal(10), rate=Decimal("0.5")) for day in on[: receipts // 10 + 1]
    )


def pages(job: Job) -> dict[str, str]:
    of_job = ("hours", "receipts", "mileage", "job-made", "days")
    whole = ("year", "own-jobs", "records", "today", "clock")
    hours, bought = HoursWorked.objects.filter(job=job), ReceiptKept.objects.filter(job=job)
    of_row = {"hours-edit": hours, "receipt": bought, "receipt-line-new": bought}
    return (
        {name: reverse(name, args=[job.pk]) for name in of_job}
        | {name: reverse(name) for name in whole}
        | {name: reverse(name, args=[rows[0].pk]) for name, rows in of_row.items()}
        | {f"{name}.csv": reverse("records-file", args=[name]) for name in ("hours", "receipts")}
    )


def queries(client: Client, addresses: Mapping[str, str]) -> dict[str, int]:
    counted = {}
    for name, address in addresses.items():
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200
        counted[name] = len(asked)
    return counted


def test_the_number_of_queries_does_not_grow_with_the_rows(signed_in: Client) -> None:
    job = signed_floor()
    work_days(job, 3, 2)
    queries(signed_in, pages(job))  # the plan of days is kept from here on
    few = queries(signed_in, pages(job))
    work_days(job, 60, 40)
    assert queries(signed_in, pages(job)) == few


@pytest.mark.benchmark
def test_the_time_of_pages_with_ten_thousand_hours_and_five_thousand_receipts(
    signed_in: Client, capsys: pytest.CaptureFixture[str]
) -> None:
    job = signed_floor()
    work_days(job, 10_000, 5_000)
    queries(signed_in, pages(job))
    took = {name: _milliseconds(partial(signed_in.get, address)) for name, address in pages(job).items()}
    with capsys.disabled():
        print(
            "".join(f"\n{name}: {wall:.0f} ms, {busy:.0f} ms of work" for name, (wall, busy) in took.items())
        )


def _milliseconds(work: Callable[[], object]) -> tuple[float, float]:
    """Return the best of three runs by the wall, and of the processor: the rest waited for something else."""
    walls, busy = [], []
    for _ in range(3):
        begun, worked = perf_counter(), process_time()
        work()
        walls.append((perf_counter() - begun) * 1000)
        busy.append((process_time() - worked) * 1000)
    return min(walls), min(busy)
