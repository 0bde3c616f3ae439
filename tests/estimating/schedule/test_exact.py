"""What must hold for the best plans of jobs drawn by lot."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from estimating.schedule.plan import Plan
from estimating.schedule.steps import Step, Wait
from tests.estimating.schedule.random_jobs import RandomJob, random_job
from tests.estimating.schedule.validator import planned

# Jobs whose optimum is proven in less than a second.
SEEDS = (2, 5, 8, 9, 14, 15, 18, 21)


def best(job: RandomJob) -> Plan:
    plan = planned(job.steps, job.calendar, job.start, "best")
    assert plan.proven
    return plan


def end_of(job: RandomJob) -> datetime:
    finish = best(job).finish
    assert finish is not None
    return finish


@pytest.mark.parametrize("seed", SEEDS)
def test_a_longer_wait_never_ends_earlier(seed: int) -> None:
    job = random_job(seed, 12, 20)
    before = end_of(job)
    longer = tuple(
        replace(step, after=tuple(Wait(wait.step, wait.quarters * 2) for wait in step.after))
        for step in job.steps
    )
    assert end_of(replace(job, steps=longer)) >= before


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_a_further_holiday_never_ends_earlier(seed: int) -> None:
    job = random_job(seed, 12, 20)
    before = end_of(job)
    day = job.start.date() + timedelta(days=(7 - job.start.weekday()) % 7 or 1)
    calendar = replace(job.calendar, holidays=job.calendar.holidays | {day})
    assert end_of(replace(job, calendar=calendar)) >= before


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_in_which_steps_are_listed_changes_nothing(seed: int) -> None:
    job = random_job(seed, 12, 20)
    mirrored: tuple[Step, ...] = job.steps[::-1]
    assert best(replace(job, steps=mirrored)).makespan == best(job).makespan


@pytest.mark.parametrize("seed", range(40))
def test_the_first_answer_is_a_plan(seed: int) -> None:
    job = random_job(seed)
    for effort in ("list", "first"):
        plan = planned(job.steps, job.calendar, job.start, effort)
        assert plan.makespan <= 2 * plan.lower_bound
