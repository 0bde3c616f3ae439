"""The page of open jobs: which come first, what each wants next, how a job is found again."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.models import Firm
from estimating.models import Job
from tests.estimating.issuing import issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_assembly, make_estimate, make_firm, make_job, make_room, put_on

pytestmark = pytest.mark.every_database


def page(signed_in: Client) -> str:
    return signed_in.get(reverse("today")).content.decode()


def test_an_empty_day_says_what_to_do(signed_in: Client) -> None:
    text = page(signed_in)
    assert "No open jobs." in text
    assert reverse("job-new") in text


def test_a_firm_without_an_hourly_rate_is_asked_for_it(signed_in: Client) -> None:
    make_firm(labor_rate=Decimal(0))
    assert "labor is priced at nothing" in page(signed_in)
    make_firm()
    assert "labor is priced at nothing" not in page(signed_in)


def test_five_steps_lead_to_the_first_estimate_and_can_be_left_and_taken_up(signed_in: Client) -> None:
    make_firm(name=Firm.UNNAMED, labor_rate=Decimal(0))
    path, tick = reverse("first-step", args=["path"]), reverse("first-step", args=["logo"])
    assert tick in page(signed_in)
    signed_in.post(tick)
    assert tick not in page(signed_in)
    signed_in.post(path)
    assert "Five steps" not in page(signed_in)
    signed_in.post(path, {"again": "1"})
    assert "Five steps" in page(signed_in)
    issue_now(painted_floor())
    assert "Five steps" not in page(signed_in)


def test_the_oldest_promise_comes_first_and_jobs_without_one_last(signed_in: Client) -> None:
    make_job(name="Porch", quote_due_on=None)
    make_job(name="Bath", quote_due_on=date(2099, 12, 3))
    make_job(name="Kitchen", quote_due_on=date(2099, 11, 26))
    text = page(signed_in)
    assert text.index("Kitchen") < text.index("Bath") < text.index("Porch")


def test_a_promise_is_told_by_its_day(signed_in: Client) -> None:
    make_job(quote_due_on=date(2099, 11, 26))
    assert "Estimate promised for Thu 26 Nov" in page(signed_in)


def test_a_broken_promise_is_called_late(signed_in: Client) -> None:
    make_job(requested_on=date(2020, 1, 2), quote_due_on=date(2020, 1, 10))
    assert "Late: estimate was promised for Fri 10 Jan" in page(signed_in)


def test_an_estimate_that_went_out_is_promised_no_more(signed_in: Client) -> None:
    document = issue_now(painted_floor(quote_due_on=None))
    assert "No estimate promised" in page(signed_in)
    sign_on_paper(document)
    assert "promised" not in page(signed_in)
    Job.objects.update(quote_due_on=date(2020, 1, 10))
    assert "Late" not in page(signed_in)


def test_says_how_long_ago_it_was_asked_for(signed_in: Client) -> None:
    make_job(requested_on=timezone.localdate() - timedelta(days=3))
    assert "Asked 3\xa0days ago" in page(signed_in)


def test_each_job_says_what_it_wants_next(signed_in: Client) -> None:
    make_job(name="Not measured")
    make_room(make_job(name="Measured"))
    worked = make_job(name="With work")
    put_on(make_estimate(worked), make_assembly(), make_room(worked))
    text = page(signed_in)
    assert text.count("Measure the first room") == 1
    assert text.count("Put work on the rooms") == 1
    assert text.count("Read the estimate through and issue it") == 1


def test_closed_jobs_stand_behind_a_link(signed_in: Client) -> None:
    make_job(name="Attic", closed=True)
    text = page(signed_in)
    assert "Attic" not in text
    assert f"{reverse('jobs')}?state=closed" in text


def test_a_name_with_html_is_shown_as_text(signed_in: Client) -> None:
    make_job(name="<b>Kitchen</b>")
    assert "&lt;b&gt;Kitchen&lt;/b&gt;" in page(signed_in)


@pytest.mark.parametrize("jobs", [1, 12])
def test_queries_do_not_grow_with_jobs(
    signed_in: Client, jobs: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    for _ in range(jobs):
        make_room(make_job())
    # session, user, open jobs with counts, their issued estimates, the firm, whether any job is closed,
    # whether any is signed, which have hours or receipts, the clock, punch lists, call-backs; until the
    # first paper is issued: whether there is any, the steps ticked, whether there are own prices
    with django_assert_num_queries(17):  # one asks for mail that failed, two for a page of jobs
        page(signed_in)
