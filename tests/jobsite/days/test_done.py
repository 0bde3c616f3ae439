"""What was done on days that are past, and which day of the job today is."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from jobsite.days.done import DoneDays, done_days
from jobsite.days.moves import note_progress
from jobsite.days.plan import read_days
from jobsite.models import HoursWorked
from tests.jobsite.tiled_floor import MONDAY, tiled_floor


def test_a_day_counts_those_worked_before_and_those_planned_after() -> None:
    friday = MONDAY - timedelta(days=3)
    done = DoneDays({}, frozenset({friday}))
    planned = frozenset({MONDAY, MONDAY + timedelta(days=1)})
    assert done.day_of(MONDAY, planned) == (2, 3)
    assert done.day_of(MONDAY, frozenset()) is None


@pytest.mark.django_db
def test_a_past_day_says_the_hours_kept_and_the_work_done() -> None:
    job = tiled_floor()
    board = read_days(MONDAY, job).plan.of_job(job.pk)[0]
    friday = date(2027, 1, 8)
    HoursWorked.objects.create(job=job, on=friday, hours=Decimal("2.5"), phase="floor")
    HoursWorked.objects.create(job=job, on=friday, hours=Decimal(1), for_job="quoting")
    note_progress(job, board, Decimal(0), datetime.fromisoformat("2027-01-08T16:00-06:00"))
    done = done_days(read_days(MONDAY, job), job)
    assert done.words[friday] == ("Floor, 2.5 h", "Measuring and quoting, 1 h", "Bed backer board: done")
    assert done.worked == {friday}


@pytest.mark.django_db
def test_a_day_on_which_a_step_was_ticked_was_worked_without_hours_kept() -> None:
    job = tiled_floor()
    board = read_days(MONDAY, job).plan.of_job(job.pk)[0]
    note_progress(job, board, Decimal(0), datetime.fromisoformat("2027-01-08T22:00-06:00"))
    assert done_days(read_days(MONDAY, job), job).worked == {date(2027, 1, 8)}
