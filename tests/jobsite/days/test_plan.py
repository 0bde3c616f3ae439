"""The plan of days, from rows to steps on their days, and what is told where something can't hold."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from estimating.documents.estimate import prepare_estimate
from estimating.estimates.draft import read_draft
from estimating.models import Job, WorkItem
from invoicing.models import Milestone
from jobsite.days.moves import CannotMove, move_step, note_progress
from jobsite.days.plan import Days, read_days
from jobsite.days.planned import PlannedStep
from jobsite.models import Absence, KeptPlan, OutsideEvent, StepDate, WorkWeek
from tests.factories import make_firm, make_job
from tests.invoicing.bills import signed_floor
from tests.jobsite.tiled_floor import MONDAY, tiled_floor

pytestmark = pytest.mark.django_db

TUESDAY, WEDNESDAY = MONDAY + timedelta(days=1), MONDAY + timedelta(days=2)


@pytest.fixture
def job() -> Job:
    return tiled_floor()


def planned(job: Job, today: date = MONDAY) -> tuple[Days, list[PlannedStep]]:
    found = read_days(today, job)
    return found, list(found.plan.of_job(job.pk))


def test_tile_waits_for_the_board_to_set_and_goes_on_over_days(job: Job) -> None:
    found, (board, tile) = planned(job)
    assert [f"{part.begins:%a %H:%M}-{part.ends:%H:%M}" for part in board.parts] == ["Mon 08:00-12:00"]
    assert [f"{part.begins:%a %H:%M}-{part.ends:%H:%M}" for part in tile.parts] == [
        "Tue 08:00-15:00",
        "Wed 08:00-09:00",
    ]
    assert "Bed backer board to dry or set" in tile.why
    assert (found.plan.finish(job.pk), found.plan.working_days(job.pk)) == (WEDNESDAY, 3)


def test_a_pin_that_cannot_hold_is_told_with_the_reason(job: Job) -> None:
    _, (_, tile) = planned(job)
    StepDate.objects.create(job=job, step=tile.key, kind="on", day=MONDAY)
    found, (_, moved) = planned(job)
    [words] = found.plan.faults[job.pk]
    assert words.startswith(
        "Set tile can't go on Mon 11 Jan: Bed backer board must dry or set until Tue 12 Jan"
    )
    assert moved.begins.date() == TUESDAY


def test_a_pin_in_the_past_is_told_and_the_work_planned(job: Job) -> None:
    _, (board, _) = planned(job)
    StepDate.objects.create(job=job, step=board.key, kind="on", day=MONDAY - timedelta(days=3))
    found, steps = planned(job)
    assert "that day is past" in found.plan.faults[job.pk][0]
    assert len(steps) == 2


def test_buttons_move_a_step_and_free_it_again(job: Job) -> None:
    found, (board, _) = planned(job)
    assert "begins Tue 12 Jan. The job ends Thu 14 Jan." in move_step(found, job, board, "later", None)
    found, (board, _) = planned(job)
    with pytest.raises(CannotMove, match="no working day before"):
        move_step(read_days(TUESDAY, job), job, board, "earlier", None)
    assert "begins Mon 11 Jan" in move_step(found, job, board, "free", None)


def test_what_is_done_is_left_out_and_what_is_half_done_takes_what_is_left(job: Job) -> None:
    _, (board, tile) = planned(job)
    note_progress(job, board, Decimal(0), timezone.now())
    note_progress(job, tile, Decimal(3), timezone.now())
    _, steps = planned(job, WEDNESDAY)
    assert [(step.title, step.hours) for step in steps] == [("Set tile", 3)]


def test_days_off_afternoons_holidays_and_lead_days_move_the_work(job: Job) -> None:
    Absence.objects.create(first=MONDAY, last=MONDAY, part="afternoon")
    Absence.objects.create(first=TUESDAY, last=TUESDAY, kind="rain")
    _, (board, tile) = planned(job)
    assert (board.ends.date(), tile.begins.date()) == (MONDAY, WEDNESDAY)
    _, (board, _) = planned(job, date(2027, 1, 18))  # Martin Luther King Jr. Day
    assert board.begins.date() == date(2027, 1, 19)
    OutsideEvent.objects.create(
        job=job, kind="delivery", title="Tile", lead_days=400, holds_back="phase:floor"
    )
    _, (board, _) = planned(job)
    assert board.begins.date() == date(2028, 2, 15)
    assert "Tile: not before" in board.why


def test_a_week_without_hours_is_told_in_a_sentence(job: Job) -> None:
    hours = dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), Decimal(0))
    WorkWeek.objects.create(pk=1, **hours)
    found, steps = planned(job)
    assert steps == []
    assert "set the firm's hours" in found.plan.faults[job.pk][0]


def test_a_job_without_work_has_no_days() -> None:
    found = read_days(MONDAY, make_job(name="Porch"))
    assert found.plan.steps == ()


def test_a_plan_is_kept_until_an_input_changes(
    job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    planned(job)
    kept = KeptPlan.objects.get(scope=job.pk)
    with django_assert_max_num_queries(26):
        planned(job)
    assert KeptPlan.objects.get(scope=job.pk).digest == kept.digest
    job.work_begins_on = WEDNESDAY
    job.save()
    _, (board, _) = planned(job)
    assert board.begins.date() == WEDNESDAY
    assert KeptPlan.objects.get(scope=job.pk).digest != kept.digest
    WorkItem.objects.filter(estimate__job=job).update(extra_hours=2)
    assert len(planned(job)[1]) == 3


def test_a_plan_that_another_release_kept_is_worked_out_anew(job: Job) -> None:
    planned(job)
    KeptPlan.objects.update(content={"steps": [{"odd": 1}]})
    assert len(planned(job)[1]) == 2


def test_an_estimate_says_from_when_the_work_can_begin_if_it_is_signed(job: Job) -> None:
    estimate = job.estimates.get()
    estimate.dated = MONDAY
    firm = make_firm()
    snapshot = prepare_estimate(estimate, firm, read_draft(estimate, firm)).snapshot
    said = snapshot["work_days"]
    # Signed on the last day, Wed 10 Feb; it can be canceled until Sat 13 Feb, and Monday is Presidents' Day.
    assert said["signed_by"] == "2027-02-10"
    assert said["from"] == "2027-02-16"
    assert "from Tue 16 Feb 2027 if signed by Wed 10 Feb 2027" in render_to_string(
        "documents/_estimate.html", {"snapshot": snapshot}
    )


def floor_with_payments() -> Job:
    """A painted floor, signed, of which the floor is finished with the last milestone."""
    return signed_floor(name="Paint the porch")


def test_a_job_whose_last_milestone_is_reached_plans_no_days() -> None:
    job = floor_with_payments()
    assert read_days(MONDAY, job).plan.finish(job.pk) == MONDAY
    Milestone.objects.filter(plan__job=job).update(reached_on=MONDAY)
    assert read_days(MONDAY, job).plan.finish(job.pk) is None
    Milestone.objects.filter(plan__job=job).update(reached_on=date(2000, 1, 1))  # signed after that
    assert read_days(MONDAY, job).plan.finish(job.pk) == MONDAY


def test_the_day_on_which_work_begins_is_one_for_days_and_payments(signed_in: Client) -> None:
    job = floor_with_payments()
    address = reverse("days-begin", args=[job.pk])
    for typed, words in (("12/2026", "Type a day such as"), ("0001-01-01", "Pick a day from 2000")):
        answer = signed_in.post(address, {"work_begins_on": typed})
        assert answer.status_code == 422
        assert words in answer.content.decode()
    cash = reverse("plan-cash", args=[job.pk])
    assert "taken to begin today" in signed_in.get(cash).content.decode()
    signed_in.post(address, {"work_begins_on": f"{WEDNESDAY}"})
    assert read_days(MONDAY, job).plan.begins(job.pk) == WEDNESDAY
    assert "taken to begin today" not in signed_in.get(cash).content.decode()
