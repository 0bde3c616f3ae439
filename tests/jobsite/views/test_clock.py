"""The clock in pages."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job
from jobsite.models import HoursWorked, RunningClock
from tests.invoicing.bills import signed_floor
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def floor(kept_rows: None) -> int:
    return signed_floor().pk


@pytest.fixture
def job(floor: int, db: None) -> Job:
    return Job.objects.get(pk=floor)


def line_of(job: Job) -> str:
    document = job.documents.get()
    return f"line-{document.pk}-{document.read_basis()['lines'][0]['key']}"


def start(client: Client, job: Job, on_what: str) -> PageResponse:
    address = reverse("clock-start", args=[job.pk])
    return client.post(address, {"on_what": on_what}, follow=True)


def ran(**ago: int) -> None:
    RunningClock.objects.update(started_at=timezone.now() - timedelta(**ago))


def at_noon(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have it be noon, so that no clock of this test runs past midnight."""
    noon = timezone.localtime().replace(hour=12, minute=0, second=30)
    monkeypatch.setattr(timezone, "now", lambda: noon)


def test_two_taps_from_today_the_clock_runs(signed_in: Client, job: Job) -> None:
    assert reverse("clock") in signed_in.get(reverse("today")).content.decode()
    assert f'value="{line_of(job)}"' in signed_in.get(reverse("clock")).content.decode()
    assert "The clock runs: " in start(signed_in, job, line_of(job)).content.decode()
    assert "Clock: 0 min" in signed_in.get(reverse("today")).content.decode()


def test_a_clock_that_is_stopped_is_hours_on_the_line(
    signed_in: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_noon(monkeypatch)
    start(signed_in, job, line_of(job))
    ran(minutes=90)
    signed_in.post(reverse("clock-stop"))
    row = HoursWorked.objects.get()
    assert (f"{row.hours}", row.key, row.spans) == ("1.50", line_of(job).split("-")[2], "10:30-12:00")
    assert not RunningClock.objects.exists()


@pytest.mark.every_database
def test_switching_keeps_what_ran_before_and_one_clock_runs(
    signed_in: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_noon(monkeypatch)
    start(signed_in, job, line_of(job))
    ran(minutes=30)
    start(signed_in, job, "job-travel")
    assert HoursWorked.objects.get().key
    assert RunningClock.objects.get().for_job == "travel"
    with pytest.raises(IntegrityError), transaction.atomic():
        RunningClock.objects.create(pk=2, job=job, phase="floor", started_at=timezone.now())


def test_a_forgotten_clock_asks_and_then_keeps_what_is_answered(signed_in: Client, job: Job) -> None:
    start(signed_in, job, line_of(job))
    ran(hours=14)
    assert "still running" in start(signed_in, job, "job-travel").content.decode()
    page = signed_in.post(reverse("clock-stop"))
    assert "Nothing is kept of it until you say how long you worked" in page.content.decode()
    assert not HoursWorked.objects.exists()
    assert "isn&#x27;t hours" in signed_in.post(reverse("clock-stop"), {"worked": "all day"}).content.decode()
    assert RunningClock.objects.exists()
    started = timezone.localtime(RunningClock.objects.get().started_at).date()
    signed_in.post(reverse("clock-stop"), {"worked": "6 1/2"})
    row = HoursWorked.objects.get()
    assert (f"{row.hours}", row.on) == ("6.50", started)


def test_nothing_is_kept_where_he_says_so_or_where_no_clock_runs(signed_in: Client, job: Job) -> None:
    start(signed_in, job, "job-quoting")
    signed_in.post(reverse("clock-drop"))
    assert not HoursWorked.objects.exists()
    assert not RunningClock.objects.exists()
    assert "No clock is running" in signed_in.post(reverse("clock-stop"), follow=True).content.decode()


def test_what_the_job_does_not_have_starts_no_clock(signed_in: Client, job: Job) -> None:
    for odd in ("line-0-x", "line--", "job-", "phase-nowhere", "", "\0"):
        assert "Choose something else" in start(signed_in, job, odd).content.decode()
    assert not RunningClock.objects.exists()


def test_what_the_clock_ran_beside_typed_hours_is_kept_and_said(
    signed_in: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_noon(monkeypatch)
    today = timezone.localdate()
    typed = HoursWorked(job=job, for_job="quoting", on=today, hours=2, spans="09:00-11:00")
    typed.save()
    start(signed_in, job, line_of(job))
    ran(minutes=90)
    said = signed_in.post(reverse("clock-stop"), follow=True).content.decode()
    row = HoursWorked.objects.exclude(pk=typed.pk).get()
    assert "Both are kept, but: 10:30 AM to 12:00 PM overlaps 9:00 AM to 11:00 AM" in said
    assert f'<a href="{reverse("hours-edit", args=[row.pk])}">Wrong? Correct it</a>' in said
