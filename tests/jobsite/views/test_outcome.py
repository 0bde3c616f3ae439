"""What a job made, the year, and the files for the bookkeeper."""

import io
import zipfile
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.models import Firm
from estimating.models import Job
from jobsite.models import HoursWorked, Mileage, ReceiptKept, ReceiptPhoto
from tests.invoicing.bills import billed, signed_floor

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    """$196.80: 1.2 hours at $70.00, and $80.00 of paint."""
    return signed_floor()


def hours(job: Job, hours: str, **on: str) -> HoursWorked:
    return HoursWorked.objects.create(job=job, on=timezone.localdate(), hours=Decimal(hours), **on)


def receipt(job: Job, cost: str, says: str = "Paint") -> ReceiptKept:
    return ReceiptKept.objects.create(job=job, on=timezone.localdate(), cost=Decimal(cost), says=says)


def test_a_closed_job_says_what_it_made(signed_in: Client, job: Job) -> None:
    """1.5 hours at $70.00 are $105.00; with $60.00 of paint $31.80 is left of $196.80."""
    hours(job, "1", phase="floor")
    hours(job, ".5", for_job="extra", says="Moved the piano")
    receipt(job, "60.00")
    Job.objects.update(closed=True)
    page = signed_in.get(reverse("job-made", args=[job.pk])).content.decode()
    assert "$31.80</strong> was left of $196.80" in page
    assert "As changes they would have been $42.00" in page
    assert "Moved the piano" in page
    assert page.count('<figure class="plan">') == 2


def test_before_it_is_signed_there_is_nothing_to_hold_it_against(signed_in: Client) -> None:
    job = signed_floor(sign=False)
    page = signed_in.get(reverse("job-made", args=[job.pk])).content.decode()
    assert "Nothing is signed yet" in page


def test_the_year_counts_what_was_billed_bought_and_worked(signed_in: Client, job: Job) -> None:
    firm = Firm.current()
    firm.own_pay, firm.overhead = Decimal(60_000), Decimal(20_000)
    firm.save()
    invoice = billed(job, "Begun")
    receipt(job, "9.04")
    hours(job, "3", phase="floor")
    hours(job, "2", for_job="quoting")
    page = signed_in.get(reverse("year"), {"year": str(invoice.dated.year)}).content.decode()
    assert "$59.04 is billed before tax" in page
    year = signed_in.get(reverse("year")).content.decode()
    assert "3.0 h that clients pay for are kept" in year
    assert "2.0 h went to quoting" in year
    assert "Measuring and quoting took 2.0 h for 1 of them, 2.0 h as a rule" in year
    for odd in ("0", "99999", "x", "²"):
        assert signed_in.get(reverse("year"), {"year": odd}).status_code == 200


def test_the_files_for_the_bookkeeper_hold_every_entry_and_run_nothing(signed_in: Client, job: Job) -> None:
    hours(job, "1.5", phase="floor", says="=HYPERLINK(1)")
    receipt(job, "-21.40", "+Return")
    Mileage.objects.create(job=job, on=timezone.localdate(), miles=Decimal("18.4"), rate=Decimal("0.655"))
    day, who = timezone.localdate(), f"{job.client.name},{job.name}"
    texts = {
        name: signed_in.get(reverse("records-file", args=[name])).content.decode("utf-8-sig").splitlines()[1]
        for name in ("hours", "receipts", "miles")
    }
    assert texts == {
        "hours": f"{day},{who},Floor,1.50,,'=HYPERLINK(1)",
        "receipts": f"{day},{who},,'+Return,-21.40,0.00,-21.40,",
        "miles": f"{day},{who},18.4,0.655,12.05,",
    }
    assert signed_in.get(reverse("records-file", args=["other"])).status_code == 404


def test_photos_of_a_month_are_one_file(signed_in: Client, job: Job) -> None:
    row, today = receipt(job, "26.80", "2x10, 8 ft"), timezone.localdate()
    ReceiptPhoto.objects.create(receipt=row, content=b"jpeg", sha256="1" * 64)
    address = reverse("receipt-photos", args=[today.year, today.month])
    assert address in signed_in.get(reverse("records")).content.decode()
    archive = zipfile.ZipFile(io.BytesIO(signed_in.get(address).content))
    assert archive.namelist() == [f"{today}-2x10-8-ft-26.80-{row.pk}.jpg"]
    assert archive.read(archive.namelist()[0]) == b"jpeg"
    assert signed_in.get(reverse("receipt-photos", args=[2026, 13])).status_code == 404


def test_pages_cost_no_more_queries_with_more_rows(
    signed_in: Client, job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(3):
        hours(job, "1", phase="floor")
        receipt(job, "5.00")
    for name, most in (("receipts", 31), ("job-made", 28)):  # of the 31, one for what is on hand
        with django_assert_max_num_queries(most):
            signed_in.get(reverse(name, args=[job.pk]))
