"""All open jobs together, in the order that he sets: each into the hours that those before it leave."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from estimating.schedule.calendar import QUARTER, WorkCalendar
from estimating.schedule.plan import Piece, Plan, Unkept
from estimating.schedule.planner import Effort, broken_promise, plan_steps
from estimating.schedule.steps import Step

# A visit is planned anew at most so often where it turned out to be too short.
MOST_TRIES = 4


@dataclass(frozen=True)
class JobToPlan:
    """A job with its steps, the day that was promised for its end, and an effort of its own, if any."""

    key: str
    name: str
    steps: Sequence[Step]
    promised: date | None = None
    effort: Effort | None = None


@dataclass(frozen=True)
class JobsPlan:
    """The plan of each job by its key, in the order in which they were planned."""

    plans: Mapping[str, Plan] = field(default_factory=dict)

    @property
    def unkept(self) -> tuple[Unkept, ...]:
        """All pins and promises that can't be kept; a promise by the key of its job."""
        return tuple(unkept for plan in self.plans.values() for unkept in plan.unkept)


def plan_jobs(
    jobs: Sequence[JobToPlan],
    calendar: WorkCalendar,
    start: datetime,
    effort: Effort = "first",
    visit_quarters: int = 4,
) -> JobsPlan:
    """Plan all jobs for one worker, the first in their order first.

    A later job is worked on in the hours that the earlier ones leave: days after them, and gaps in which
    they dry. `visit_quarters` are lost by going from one job to another on the same day, and a day that
    another job has is used only where at least as much is worked on it as going there takes. A promised day
    that this order doesn't keep is told with the earliest end, and with whether the job could keep it if it
    were planned first. Raises CannotPlan and NoWorkingHours, as `plan_steps` does.
    """
    plans: dict[str, Plan] = {}
    taken: list[tuple[datetime, datetime]] = []
    for job in jobs:
        plan = _plan_into_gaps(job, calendar, taken, start, job.effort or effort, visit_quarters)
        plans[job.key] = _with_promise(job, plan, calendar, start, bool(taken))
        taken += [(piece.start, piece.end) for piece in _pieces(plan)]
    return JobsPlan(plans)


def _plan_into_gaps(
    job: JobToPlan,
    calendar: WorkCalendar,
    taken: Sequence[tuple[datetime, datetime]],
    start: datetime,
    effort: Effort,
    visit_quarters: int,
) -> Plan:
    """Plan a job beside others; a solver is asked once at most, as soon as no visit is too short."""
    quick: Effort = "first" if effort == "best" else effort
    closed: list[tuple[datetime, datetime]] = []
    way = visit_quarters * QUARTER
    for _ in range(MOST_TRIES):
        blocked = [(begin - way, end + way) for begin, end in taken]
        left = replace(calendar, blocked=(*calendar.blocked, *blocked, *closed))
        plan = plan_steps(job.steps, left, start, quick)
        short = _short_visits(plan, taken, visit_quarters)
        if not short:
            return _solved(job, plan, left, taken, start, effort, visit_quarters)
        closed += short
    busy = tuple(_whole_day(begin.date()) for begin, _ in taken)
    left = replace(calendar, blocked=(*calendar.blocked, *busy))
    return plan_steps(job.steps, left, start, effort)


def _solved(
    job: JobToPlan,
    plan: Plan,
    left: WorkCalendar,
    taken: Sequence[tuple[datetime, datetime]],
    start: datetime,
    effort: Effort,
    visit_quarters: int,
) -> Plan:
    """Return what a solver finds in the same hours, unless it makes a visit that is too short."""
    if effort != "best" or plan.proven:
        return plan
    solved = plan_steps(job.steps, left, start, effort)
    return plan if _short_visits(solved, taken, visit_quarters) else solved


def _short_visits(
    plan: Plan, taken: Sequence[tuple[datetime, datetime]], visit_quarters: int
) -> list[tuple[datetime, datetime]]:
    """Return the days on which less is worked beside another job than going there takes."""
    busy = {begin.date() for begin, _ in taken}
    short = []
    for day, pieces in plan.days().items():
        worked = sum((piece.end - piece.start for piece in pieces), timedelta())
        if day in busy and worked < visit_quarters * QUARTER:
            short.append(_whole_day(day))
    return short


def _whole_day(day: date) -> tuple[datetime, datetime]:
    midnight = datetime.combine(day, time())
    return midnight, midnight + timedelta(days=1)


def _pieces(plan: Plan) -> list[Piece]:
    return [piece for placed in plan.placed.values() for piece in placed.pieces]


def _with_promise(
    job: JobToPlan, plan: Plan, calendar: WorkCalendar, start: datetime, is_later: bool
) -> Plan:
    """Tell a promise that isn't kept, and whether the order of the jobs is the reason."""
    if job.promised is None or plan.finish is None or plan.finish.date() <= job.promised:
        return plan
    words = broken_promise(job.promised, plan, job.name)
    if is_later:
        alone = plan_steps(job.steps, calendar, start, "first")
        if alone.finish is not None and alone.finish.date() <= job.promised:
            words += " It could be if it were planned before the other jobs."
    return replace(plan, unkept=(*plan.unkept, Unkept(job.key, "promise", words)))
