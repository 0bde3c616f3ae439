"""Hours typed and corrected on the page of a job."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from estimating.models import Job
from jobsite.models import Correction, HoursWorked
from tests.estimating.signed_kitchen import make_change, quick_line, signed_change
from tests.factories import make_job
from tests.invoicing.bills import billed, signed_floor
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def floor(kept_rows: None) -> int:
    return signed_floor().pk


@pytest.fixture
def job(floor: int, db: None) -> Job:
    return Job.objects.get(pk=floor)


def enter(client: Client, job: Job, worked: str, on_what: str = "phase-floor", **more: str) -> PageResponse:
    typed = {"on_what": on_what, "on": timezone.localdate().isoformat(), "worked": worked, **more}
    return client.post(reverse("hours", args=[job.pk]), typed, follow=True)


def test_hours_are_typed_as_they_are_said(signed_in: Client, job: Job) -> None:
    page = enter(signed_in, job, "8-12, 12:30-4", says="First coat")
    assert "7.5 hours kept, on Floor." in page.content.decode()
    row = HoursWorked.objects.get()
    assert (f"{row.hours}", row.spans, row.says) == ("7.50", "08:00-12:00 12:30-16:00", "First coat")


@pytest.mark.parametrize(
    ("worked", "more", "message"),
    [
        ("11-1", {}, "overlaps 8:00 AM to 12:00 PM"),
        ("25", {}, "A day has 24."),
        ("3", {"on": (timezone.localdate() + timedelta(days=2)).isoformat()}, "is still to come"),
        ("3", {"on": "1066-10-14"}, "Check the year"),
        ("a bit", {}, "isn&#x27;t hours"),
        ("3", {"on_what": "line-1-nothing"}, "Choose one"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_nothing_typed_is_lost(
    signed_in: Client, job: Job, worked: str, more: dict[str, str], message: str
) -> None:
    enter(signed_in, job, "8-12")
    page = enter(signed_in, job, worked, says="Second coat", **more)
    said = page.content.decode()
    assert page.status_code == 422
    assert message in said
    assert 'value="Second coat"' in said
    assert f'value="{worked}"' in said
    assert HoursWorked.objects.count() == 1


def test_a_correction_keeps_what_it_was(signed_in: Client, job: Job) -> None:
    enter(signed_in, job, "8-12")
    row = HoursWorked.objects.get()
    address = reverse("hours-edit", args=[row.pk])
    typed = {"on_what": "job-extra", "on": row.on.isoformat(), "worked": "3 1/2"}
    signed_in.post(address, typed)
    row.refresh_from_db()
    assert (row.hours, row.spans, row.phase, row.for_job) == (Decimal("3.50"), "", "", "extra")
    assert "4 hours, 8:00 AM to 12:00 PM, Floor" in signed_in.get(address).content.decode()
    signed_in.post(reverse("hours-remove", args=[row.pk]))
    assert not HoursWorked.objects.exists()
    page = signed_in.get(reverse("hours", args=[job.pk])).content.decode()
    assert "3.5 hours, Extra work that nobody signed for" in page
    assert Correction.objects.count() == 2


def test_hours_of_a_change_by_the_hour_are_those_that_its_bill_asks_for(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    quick_line(change, "Sister one joist, 8 ft", "4", "26.80", at_most=True)
    paper = signed_change(change)
    enter(signed_in, job, "1.5", f"change-{paper.pk}")
    # 1.5 hours at 70.00 with 20 %
    assert "$126.00" in signed_in.get(reverse("measured", args=[job.pk, paper.pk])).content.decode()
    invoice = billed(job, "Change order 1, Rotten subfloor")
    assert invoice.total.amount == Decimal("126.00")
    row = HoursWorked.objects.get()
    less = {"on_what": f"change-{paper.pk}", "on": row.on.isoformat(), "worked": "1"}
    answer = signed_in.post(reverse("hours-edit", args=[row.pk]), less)
    assert "$126.00 is billed of this" in answer.content.decode()
    signed_in.post(reverse("hours-remove", args=[row.pk]))
    assert HoursWorked.objects.get().hours == Decimal("1.50")
    assert not Correction.objects.exists()


def test_hours_can_be_entered_for_a_job_that_is_closed_or_not_signed(signed_in: Client) -> None:
    job = make_job(closed=True)
    assert "2 hours kept" in enter(signed_in, job, "2", "job-quoting").content.decode()


def test_a_list_of_many_hours_costs_as_many_queries_as_one_of_few(
    signed_in: Client, job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    today = timezone.localdate()
    HoursWorked.objects.bulk_create(
        HoursWorked(job=job, phase="floor", on=today - timedelta(days=day), hours=Decimal(1))
        for day in range(120)
    )
    with django_assert_max_num_queries(26):
        page = signed_in.get(reverse("hours", args=[job.pk]), {"page": "2"})
    assert "51 to 100 of 120" in page.content.decode()
