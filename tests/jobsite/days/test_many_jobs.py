"""Many open jobs: their order, what a day makes billable, and what the pages cost."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Firm
from estimating.models import Estimate, Job
from jobsite.days.inputs import read_inputs
from jobsite.days.page import days_page
from jobsite.days.plan import read_days
from jobsite.days.today import read_today
from jobsite.models import HoursWorked, JobDays, OutsideEvent
from tests.estimating.issuing import another_floor, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.invoicing.bills import signed_floor
from tests.jobsite.tiled_floor import MONDAY

pytestmark = pytest.mark.django_db


def signed(estimate: Estimate) -> Job:
    document = issue_now(estimate)
    sign_on_paper(document)
    return document.job


def test_the_day_that_ends_a_milestones_work_says_what_can_be_billed() -> None:
    job = signed_floor()
    page = days_page(read_days(MONDAY, job), job, None, MONDAY)
    notes = {
        day.day: [note.words for note in day.notes if note.kind == "money"] for day in page.weeks[0].days
    }
    assert notes[MONDAY][-1].endswith("can be billed, $78.72")
    assert not notes[MONDAY + timedelta(days=1)]


def test_before_anything_is_signed_four_queries_say_that_nothing_is_planned(
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    Firm.current()
    with django_assert_num_queries(4):
        assert read_inputs(MONDAY).jobs == ()


def test_the_first_job_in_the_order_has_its_days_first(signed_in: Client) -> None:
    floor = painted_floor()
    first, second = signed(floor), signed(another_floor(floor))
    JobDays.objects.create(job=first, position=0)
    JobDays.objects.create(job=second, position=1)
    Job.objects.update(work_begins_on=MONDAY)

    def order() -> list[int]:
        return [step.job for step in read_days(MONDAY).plan.in_order()]

    assert order() == [first.pk, second.pk]
    signed_in.post(reverse("job-order", args=[second.pk]), {"up": "1"})
    assert order() == [second.pk, first.pk]


def test_pages_cost_the_same_queries_however_many_jobs_are_open(signed_in: Client) -> None:
    floor = painted_floor()
    job = signed(floor)
    addresses = (reverse("days", args=[job.pk]), reverse("today"))

    def queries() -> list[int]:
        counts = []
        for address in addresses:
            signed_in.get(address)  # keeps steps and plan
            with CaptureQueriesContext(connection) as found:
                assert signed_in.get(address).status_code == 200
            counts.append(len(found))
        return counts

    one = queries()
    for _ in range(3):
        signed(another_floor(floor))
    assert queries() == one


def test_today_says_what_must_be_ordered_within_a_week() -> None:
    job = signed(painted_floor(name="Porch"))
    Job.objects.filter(pk=job.pk).update(work_begins_on=MONDAY + timedelta(days=8))
    OutsideEvent.objects.create(
        job=job, kind="delivery", title="Paint", lead_days=4, holds_back="phase:finish"
    )
    today = read_today(MONDAY)
    assert today is not None
    assert today.order == ("Porch: order Paint by Fri 15 Jan",)


def test_today_says_which_day_of_each_job_it_is() -> None:
    job = signed(painted_floor(name="Porch"))
    Job.objects.filter(pk=job.pk).update(work_begins_on=MONDAY)
    HoursWorked.objects.create(job=job, on=MONDAY - timedelta(days=3), hours=Decimal(2), phase="finish")
    HoursWorked.objects.create(job=job, on=MONDAY - timedelta(days=4), hours=Decimal(1), for_job="quoting")
    today = read_today(MONDAY)
    assert today is not None
    assert today.day_of == ("Porch: day 2 of 2",)
