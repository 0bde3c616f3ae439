"""All open jobs together."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from estimating.schedule.calendar import WorkCalendar
from estimating.schedule.jobs import JobToPlan, plan_jobs
from estimating.schedule.steps import Step, Wait
from tests.estimating.schedule.random_jobs import EIGHT, random_job
from tests.estimating.schedule.validator import faults

CALENDAR = WorkCalendar(EIGHT)
MONDAY = datetime.fromisoformat("2026-04-06T08:00")
DRYING = (Step("a", "Tape", 8), Step("b", "Fill", 8, after=(Wait("a", 64),)))


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def test_another_job_is_visited_while_the_first_dries_after_the_way_there() -> None:
    visit = JobToPlan("grout", "Grout", (Step("g", "Grout", 8, splittable=False),))
    found = plan_jobs([JobToPlan("one", "One", DRYING), visit], CALENDAR, MONDAY, visit_quarters=4)
    assert found.plans["one"].placed["b"].start == at("2026-04-07T08:00")
    assert found.plans["grout"].placed["g"].start == at("2026-04-06T11:00")  # 10:00 and an hour's way


def test_no_visit_is_made_for_less_than_the_way_costs() -> None:
    visit = JobToPlan("caulk", "Caulk", (Step("c", "Caulk", 3),))
    found = plan_jobs([JobToPlan("one", "One", DRYING), visit], CALENDAR, MONDAY, visit_quarters=4)
    assert found.plans["caulk"].placed["c"].start == at("2026-04-08T08:00")


def test_a_promise_that_the_order_breaks_says_that_the_order_does() -> None:
    long = JobToPlan("one", "One", (Step("a", "Long", 96),))
    short = JobToPlan("two", "The Ruiz bath", (Step("b", "Short", 8),), promised=date(2026, 4, 7))
    (told,) = plan_jobs([long, short], CALENDAR, MONDAY).unkept
    assert (told.key, told.kind) == ("two", "promise")
    assert told.words == (
        "The Ruiz bath can't be done by Tue 7 Apr: no plan ends before Thu 9 Apr."
        " It could be if it were planned before the other jobs."
    )
    assert plan_jobs([short, long], CALENDAR, MONDAY).unkept == ()


def test_fifteen_jobs_are_never_in_two_places_at_once() -> None:
    jobs = [JobToPlan(str(seed), f"Job {seed}", random_job(seed, 12, 16).steps) for seed in range(15)]
    found = plan_jobs(jobs, CALENDAR, MONDAY, "list")
    way = timedelta(hours=1)
    taken: list[tuple[datetime, datetime]] = []
    for job in jobs:
        plan = found.plans[job.key]
        pieces = [piece for placed in plan.placed.values() for piece in placed.pieces]
        assert not any(begin < piece.end and piece.start < end for piece in pieces for begin, end in taken)
        blocked = tuple((begin - way, end + way) for begin, end in taken)
        told = faults(plan, job.steps, replace(CALENDAR, blocked=blocked))
        assert [
            fault for fault in told if "makespan" not in fault and "the day isn't over" not in fault
        ] == []
        taken += [(piece.start, piece.end) for piece in pieces]
