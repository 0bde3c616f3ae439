"""The progress of a signed job names what its billing needs next, from the first bill to the last payment."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from closing.punch_list.write import close_item
from estimating.documents.progress_step import ProgressStep
from estimating.models import Estimate, Job
from invoicing.billing_step import next_steps
from invoicing.invoices.job_billing import read_billable
from invoicing.models import BillDraft, FinishedWork, Milestone, PaymentPlan
from invoicing.payment_plan.templates import create_plan
from tests.closing.lists import end_job, seen
from tests.estimating.issuing import AT, DAY, another_floor, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.invoicing.bills import PAY_BY, THIRDS, billed, reach, signed_floor
from tests.invoicing.money_rows import pay

pytestmark = pytest.mark.django_db


def step_of(job: Job, today: date | None = None) -> ProgressStep:
    return next_steps([Job.objects.get(pk=job.pk)], today or timezone.localdate())[job.pk]


def step_in_words(job: Job, today: date | None = None) -> str:
    step = step_of(job, today)
    assert step.page == "job-money"
    return step.words


def test_a_signed_job_without_a_plan_wants_one(signed_in: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    document = issue_now(painted_floor())
    sign_on_paper(document)
    past_canceling = document.dated + timedelta(days=30)
    monkeypatch.setattr(timezone, "localdate", lambda: past_canceling)
    assert step_in_words(document.job) == "set up the payment schedule"
    page = signed_in.get(reverse("job-rooms", args=[document.job_id])).content.decode()
    assert "set up the payment schedule" in page


def test_a_plan_that_cannot_stand_wants_to_be_put_right() -> None:
    job = signed_floor()
    Milestone.objects.update(share_percent=Decimal(90))
    assert step_in_words(job) == "put the payment schedule right"


def test_first_a_milestone_is_reached_then_it_can_be_billed() -> None:
    job = signed_floor()
    assert step_in_words(job) == "mark Begun complete once it is"
    assert step_of(job).reached == 4
    reach(job, "Begun")
    assert step_of(job).reached == 5
    assert step_in_words(job) == "Begun can be billed"
    reach(job, "First coat")
    assert step_in_words(job) == "2 milestones can be billed"


def test_when_all_work_is_finished_the_client_is_walked_through_and_signs_the_end() -> None:
    job = signed_floor()
    line = job.documents.get().read_basis()["lines"][0]["key"]
    FinishedWork.objects.create(document=job.documents.get(), key=line, finished_on=DAY)
    assert step_of(job) == ProgressStep(4, "walk through the job with the client", "punch-list")
    door = seen(job, worth="5.00")
    assert step_of(job).words == "1 item left on the punch list"
    close_item(door, DAY)
    assert step_of(job).words == "have the end of the work signed"
    end_job(job)
    assert step_in_words(job) == "3 milestones can be billed"


def test_a_bill_that_is_late_comes_before_the_next_bill() -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    assert (
        step_in_words(job, invoice.dated + timedelta(days=60))
        == "Invoice INV-1001 is late: remind the client"
    )


def test_what_is_held_back_is_released_and_the_last_money_waited_for() -> None:
    job = signed_floor({"retainage_percent": 10})
    for name in ("Begun", "First coat", "Done"):
        billed(job, name, keeps_held=True)
    assert step_in_words(job) == "release what is held back"
    billable = read_billable(job)
    assert billable is not None
    assert billable.retainage == Decimal("19.67")  # 5.90 + 5.90 + 7.87
    billed(job, kind=BillDraft.Kind.RELEASE)
    assert step_of(job) == ProgressStep(6, "money is still open", "job-money")
    pay(job, "196.80")
    assert step_of(job) == ProgressStep(7, "all is billed and paid", "job-money")


def test_a_deposit_that_bills_take_off_is_asked_for_first() -> None:
    job = signed_floor()
    PaymentPlan.objects.update(deposit=Decimal("50.00"))
    assert step_in_words(job) == "ask for the deposit"


@pytest.mark.parametrize("jobs", [1, 4])
def test_queries_of_the_open_jobs_do_not_grow_with_those_that_are_signed_and_billed(
    signed_in: Client,
    jobs: int,
    django_assert_num_queries: DjangoAssertNumQueries,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *at: PAY_BY)  # past canceling
    first = signed_floor()
    for _ in range(jobs - 1):
        further = another_floor(Estimate.objects.get(job=first))
        sign_on_paper(issue_now(further))
        create_plan(further.job, THIRDS)
    for job in Job.objects.all():
        billed(job, "Begun")
    # seven for the list with what happened to each estimate; sums of accounts, bills, what is kept of them
    # (one more than bills and payments, and no account of ten years is read), plans, their milestones, the
    # changes placed in them, what was signed; punch lists twice, the signed ends, call-backs, finished
    # work; the days of all open jobs, and what runs over
    signed_in.get(reverse("today"))  # works their plan out, which is kept
    # besides, one asks for mail that failed, one for the days worked, one for questions, two for a page
    # of jobs
    with django_assert_num_queries(43):
        text = signed_in.get(reverse("today")).content.decode()
    assert text.count("Mark First coat complete once it is") == jobs


def test_a_closed_job_keeps_the_stages_that_have_happened_and_wants_only_what_is_owed(
    signed_in: Client,
) -> None:
    job = signed_floor()
    Job.objects.filter(pk=job.pk).update(closed=True)
    assert step_in_words(job) == ""
    for name in ("Begun", "First coat", "Done"):
        billed(job, name)
    page = reverse("job-rooms", args=[job.pk])
    assert "money is still open" in signed_in.get(page).content.decode()
    pay(job, "196.80")
    text = signed_in.get(page).content.decode()
    assert '<li class="done">Paid<span class="hidden-label">: done</span></li>' in text
    assert "Next:" not in text
    assert "The job is closed." in text


def test_a_question_about_a_bill_is_the_next_step_until_it_is_answered(signed_in: Client) -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    invoice.record("question", AT, {"text": "Is the tile in it?"})
    paperwork = reverse("job-papers", args=[job.pk])
    for page in (signed_in.get(reverse("today")), signed_in.get(paperwork)):
        assert "a question waits" in page.content.decode().lower()
    invoice.record("answered", AT, {"text": "It is."})
    for page in (signed_in.get(reverse("today")), signed_in.get(paperwork)):
        assert "a question waits" not in page.content.decode().lower()
