"""The pages of days: what they show, what they refuse and in which words."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job
from jobsite.days.plan import read_days
from jobsite.days.words import short_day
from jobsite.models import Absence, LeadTime, OutsideEvent, StepDate, WorkWeek
from tests.factories import make_job, make_material
from tests.jobsite.tiled_floor import tiled_floor

pytestmark = pytest.mark.django_db

NO_HOURS = dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), "0")


@pytest.fixture
def job() -> Job:
    return tiled_floor()


def get(client: Client, name: str, *args: object) -> str:
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return answer.content.decode()


def first_step(job: Job) -> str:
    return read_days(timezone.localdate(), job).plan.of_job(job.pk)[0].key


def test_the_days_of_a_job_are_shown_with_where_each_step_lies(signed_in: Client, job: Job) -> None:
    text = get(signed_in, "days", job.pk)
    assert "Bed backer board" in text
    assert "4 h" in text
    assert "35 h a week on site" in text
    step = get(signed_in, "days-step", job.pk, first_step(job))
    assert "Nothing holds it back." in step
    for name in ("days-week-door", "days-week-site", "days-supplies"):
        assert get(signed_in, name, job.pk)
    assert "The three weeks after" in signed_in.get(f"/jobs/{job.pk}/days/?from=2027-12-30").content.decode()
    assert signed_in.get(f"/jobs/{job.pk}/days/?from=9999-99-99").status_code == 200


def test_a_job_without_work_says_what_to_do(signed_in: Client) -> None:
    assert "put work on its rooms" in get(signed_in, "days", make_job().pk)


def test_a_step_is_pinned_by_a_button_and_never_to_a_day_that_is_past(signed_in: Client, job: Job) -> None:
    address = reverse("days-step", args=[job.pk, first_step(job)])
    answer = signed_in.post(address, {"move": "on", "day": "2020-01-06"})
    assert answer.status_code == 422
    assert "Mon 6 Jan 2020 is past: pick today or a later day." in answer.content.decode()
    assert signed_in.post(address, {"move": "not_before"}).status_code == 422
    assert signed_in.post(address, {"move": "later"}).status_code == 302
    assert StepDate.objects.get(job=job).kind == "not_before"
    assert signed_in.post(address, {"move": "free"}).status_code == 302
    assert not StepDate.objects.exists()
    assert signed_in.get(reverse("days-step", args=[job.pk, "no/such"])).status_code == 404


def test_weeks_without_a_job_that_begins_later_lead_to_its_first_day(signed_in: Client, job: Job) -> None:
    assert "To its first day" not in get(signed_in, "days", job.pk)
    job.work_begins_on = timezone.localdate() + timedelta(days=60)
    job.save()
    begins = read_days(timezone.localdate(), job).plan.begins(job.pk)
    assert f'href="?from={begins:%Y-%m-%d}">To its first day' in get(signed_in, "days", job.pk)


def test_a_pin_that_cannot_hold_is_not_shown_as_held(signed_in: Client, job: Job) -> None:
    board, tile = read_days(timezone.localdate(), job).plan.of_job(job.pk)[:2]
    StepDate.objects.create(job=job, step=tile.key, kind="on", day=board.begins.date())
    first = f"{board.begins:%Y-%m-%d}"
    shown = signed_in.get(reverse("days", args=[job.pk]), {"from": first}).content.decode()
    assert f"pinned to {short_day(board.begins.date())}, can't hold" in shown


def test_what_comes_from_outside_takes_the_lead_days_of_its_material(signed_in: Client, job: Job) -> None:
    material = make_material("slab")
    LeadTime.objects.create(material=material, days=42)
    address = reverse("days-event-new", args=[job.pk])
    typed = {"kind": "delivery", "title": "Counter", "holds_back": "phase:floor"}
    answer = signed_in.post(address, typed)
    assert "Pick the day it comes, or say how many days" in answer.content.decode()
    assert "type 0 to 400" in signed_in.post(address, {**typed, "lead_days": "401"}).content.decode()
    assert signed_in.post(address, {**typed, "material": material.pk}).status_code == 302
    event = OutsideEvent.objects.get()
    assert event.lead_days == 42
    assert "needed" in get(signed_in, "days", job.pk)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (
            NO_HOURS,
            "on one day at least",
        ),
        ({"monday": "7.1"}, "planned by quarter hours: type 7 or 7.25"),
        ({"begins": "20:00"}, "would run past midnight"),
        ({"begins": "7:10"}, "such as 7:30 or 7:45"),
    ],
)
def test_hours_that_cannot_be_planned_by_get_a_sentence(
    signed_in: Client, typed: dict[str, str], words: str
) -> None:
    week = dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), "7")
    whole = {"begins": "8:00", "saturday": "0", "sunday": "0", **week}
    answer = signed_in.post(reverse("work-week"), {**whole, **typed})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not WorkWeek.objects.exists()


def test_a_day_off_ends_after_it_begins(signed_in: Client) -> None:
    typed = {"kind": "rain", "first": "2027-01-12", "last": "2027-01-11", "part": "day"}
    answer = signed_in.post(reverse("absence-new"), typed)
    assert "It ends before it begins" in answer.content.decode()
    assert signed_in.post(reverse("absence-new"), {**typed, "last": ""}).status_code == 302
    assert Absence.objects.get().last.isoformat() == "2027-01-12"


def test_today_begins_with_nothing_while_no_job_is_signed(signed_in: Client, job: Job) -> None:
    assert "Next on site" not in get(signed_in, "today")
