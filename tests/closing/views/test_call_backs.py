"""Call-backs: logged against the job that caused them, and counted in what it made and what work takes."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.utils import timezone

from closing.punch_list.read import to_ask
from estimating.changes.draft import signed_job
from estimating.models import Job
from invoicing.models import FinishedWork
from jobsite.hours.read import read_finished_items, read_job, read_job_hours
from jobsite.models import CallBack, HoursWorked
from jobsite.outcome.read import read_outcome
from jobsite.receipts.read import read_bought
from tests.closing.lists import end_job, floor_with_warranty
from tests.estimating.issuing import DAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def ended(monkeypatch: pytest.MonkeyPatch) -> Job:
    """A floor whose one line is finished in 2 hours, and whose end is signed."""
    monkeypatch.setattr(timezone, "localdate", lambda *at: DAY)
    job = floor_with_warranty()
    line = read_job(job).lines[0].line
    FinishedWork.objects.create(document_id=line.document, key=line.key, finished_on=DAY)
    HoursWorked.objects.create(job=job, document_id=line.document, key=line.key, on=DAY, hours=2)
    end_job(job)
    return job


def posted(job: Job, **typed: str) -> dict[str, str]:
    return {"on": DAY.isoformat(), "says": "A seam opened", **typed}


def token(job: Job) -> str:
    line = read_job(job).lines[0].line
    return f"line-{line.document}-{line.key}"


def outcome_of(job: Job) -> tuple[Decimal, Decimal]:
    signed = read_job(job)
    found = read_outcome(job, signed, read_job_hours(job, signed), read_bought(job, signed))
    assert found
    return found.was.labor, found.was.bought


def test_hours_and_cost_count_in_what_the_job_made_and_what_its_work_takes(
    signed_in: Client, ended: Job
) -> None:
    Job.objects.update(closed=True)
    ended.refresh_from_db()
    labor, bought = outcome_of(ended)
    signed, asked = signed_job(ended), to_ask(ended)
    url = f"/jobs/{ended.pk}/call-backs/"
    assert (
        signed_in.post(url, posted(ended, worked="1.5", on_what=token(ended), cost="12.40")).status_code
        == 302
    )
    row = CallBack.objects.get()
    assert row.worked
    assert row.bought
    assert (signed_job(ended), to_ask(ended)) == (signed, asked)
    labor_rate = Decimal("70.00")
    assert outcome_of(ended) == (labor + Decimal("1.5") * labor_rate, bought + Decimal("12.40"))
    assert read_finished_items([ended])[0].taken == Fraction(7, 2)
    page = signed_in.get(f"/jobs/{ended.pk}/made/").content.decode()
    assert "went to 1 call-back" in page
    assert "$117.40" in page  # 1.5 h at $70.00 and $12.40


def test_hours_of_a_call_back_alone_do_not_say_that_its_work_took_just_them(
    signed_in: Client, ended: Job
) -> None:
    HoursWorked.objects.all().delete()
    before = read_job_hours(ended, read_job(ended)).expected
    signed_in.post(f"/jobs/{ended.pk}/call-backs/", posted(ended, worked="1.5", on_what=token(ended)))
    assert read_finished_items([ended]) == []
    assert read_job_hours(ended, read_job(ended)).expected == before + Fraction(3, 2)


def test_without_a_cause_its_hours_are_the_jobs_own(signed_in: Client, ended: Job) -> None:
    signed_in.post(f"/jobs/{ended.pk}/call-backs/", posted(ended, worked="1"))
    assert CallBack.objects.get().worked == HoursWorked.objects.get(for_job="call_back")
    assert read_finished_items([ended])[0].taken == 2


def test_before_the_end_is_signed_there_is_no_call_back(signed_in: Client) -> None:
    job = floor_with_warranty()
    page = signed_in.post(f"/jobs/{job.pk}/call-backs/", posted(job), follow=True).content.decode()
    assert "put it on the punch list" in page
    assert not CallBack.objects.exists()


def test_what_was_only_noted_gets_its_hours_later_and_stays_while_it_has_them(
    signed_in: Client, ended: Job
) -> None:
    signed_in.post(f"/jobs/{ended.pk}/call-backs/", posted(ended))
    row = CallBack.objects.get()
    page = signed_in.get(f"/jobs/{ended.pk}/call-backs/").content.decode()
    assert "under warranty, to go to" in page
    signed_in.post(f"/call-backs/{row.pk}/", posted(ended, worked="1"))
    row.refresh_from_db()
    assert row.worked
    signed_in.post(f"/call-backs/{row.pk}/remove/")
    assert CallBack.objects.exists()
    refused = signed_in.post(f"/jobs/{ended.pk}/call-backs/", posted(ended, worked="30", cost="-2"))
    assert refused.status_code == 422
