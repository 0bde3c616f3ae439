"""The plan of days: kept while nothing has changed, else worked out anew and kept whole."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache

from django.db.models import QuerySet, TextField
from django.db.models.functions import Cast

from estimating.models import Document, Job
from estimating.plain_text import list_in_words
from estimating.ranges.finish import finish_range
from estimating.schedule.calendar import NoWorkingHours
from estimating.schedule.jobs import JobToPlan, plan_jobs
from estimating.schedule.plan import PlacedStep
from estimating.schedule.plan import Plan as EnginePlan
from estimating.schedule.planner import Effort
from estimating.schedule.steps import CannotPlan, Step, refuse_what_cannot_be_planned
from jobsite.days.inputs import Inputs, read_inputs
from jobsite.days.kept_steps import WorkFacts
from jobsite.days.outside import Decision, decisions
from jobsite.days.planned import DaysPlan, Part, PlannedStep, as_json, from_json
from jobsite.models import KeptPlan
from reading.prepared import first_of, prepared

MOST_DAYS_LOOKED_AT = 400


@dataclass(frozen=True)
class Days:
    """The plan with what it was worked out from."""

    inputs: Inputs
    plan: DaysPlan

    def names(self) -> dict[int, str]:
        """Return the names of the jobs that are planned."""
        return {job.pk: job.name for job in self.inputs.jobs}

    def is_signed(self, job: Job) -> bool:
        return job.pk in self.inputs.signed

    def decisions(self, job: int) -> list[Decision]:
        """Return what the client of a job has to decide by the contract."""
        steps = self.inputs.steps.get(job)
        return decisions(steps.choices if steps else (), job, self.plan.steps)

    def next_to_solve(self, job: Job) -> int | None:
        """Return the first job, up to this one, for which no solver has looked yet for a shorter plan.

        None where there is none: those that are proven the shortest need none. A job is planned into the
        hours that those before it leave, so these are looked at before it.
        """
        for other in self.inputs.jobs:
            if other.pk not in self.plan.solved | self.plan.proven and self.plan.of_job(other.pk):
                return other.pk
            if other.pk == job.pk:
                break
        return None

    def contract(self, job: Job) -> Document | None:
        """Return the signed estimate of a job; None before it is signed."""
        return self.inputs.signed.get(job.pk)


def read_days(today: date, job: Job | None = None) -> Days:
    """Return the plan of all open jobs; with a job that isn't signed, as if it were the last of them.

    Kept until an input changes, which a new day is one of.
    """
    inputs = read_inputs(today, job)
    digest = inputs.digest()
    kept = first_of(_kept_plans(inputs.scope))
    plan = _read(kept[1]) if kept and kept[0] == digest else None
    if plan:
        return Days(inputs, plan)
    plan = make_plan(inputs)
    KeptPlan.keep(inputs.scope, digest, as_json(plan))
    return Days(inputs, plan)


@prepared
def _kept_plans(scope: int) -> QuerySet[KeptPlan, tuple[str, str]]:
    return KeptPlan.objects.filter(scope=scope).values_list("digest", Cast("content", TextField()))


@lru_cache(8)
def _read(content: str) -> DaysPlan | None:
    """Return a plan as it was kept."""
    try:
        return from_json(json.loads(content))
    except (KeyError, TypeError, ValueError):  # kept by another release
        return None


def solve_next(today: date, job: Job) -> None:
    """Have a solver look for a shorter plan of the next job up to this one, and keep the whole plan.

    Takes some seconds, of a fixed amount of work: the plan that is kept is the same on every machine.
    """
    found = read_days(today, job)
    following = found.next_to_solve(job)
    if following is not None:
        plan = make_plan(found.inputs, solved=found.plan.solved | {following})
        KeptPlan.keep(found.inputs.scope, found.inputs.digest(), as_json(plan))


def make_plan(inputs: Inputs, effort: Effort = "first", solved: frozenset[int] = frozenset()) -> DaysPlan:
    """Work the plan out, those of the jobs in `solved` with a solver.

    A job that can't be planned at all is left out, and told as a fault of it.
    """
    faults: dict[int, list[str]] = {job.pk: [] for job in inputs.jobs}
    jobs = []
    for job in inputs.jobs:
        steps = inputs.steps_to_plan(job)
        try:
            refuse_what_cannot_be_planned(steps)
        except CannotPlan as error:
            faults[job.pk].append(f"{error}")
            continue
        own: Effort | None = "best" if job.pk in solved else None
        jobs.append(JobToPlan(f"{job.pk}", job.name, steps, inputs.promised(job), own))
    calendar, start = inputs.calendar(), datetime.combine(inputs.today, time())
    try:
        found = plan_jobs(jobs, calendar, start, effort, int(inputs.visit_hours * 4))
    except (CannotPlan, NoWorkingHours) as error:
        return DaysPlan(faults={job.pk: (f"{error}",) for job in inputs.jobs})
    planned: list[PlannedStep] = []
    ranges: dict[int, tuple[date, date]] = {}
    taken: list[tuple[datetime, datetime]] = []
    way = timedelta(hours=float(inputs.visit_hours))
    for to_plan in jobs:
        plan, pk = found.plans[to_plan.key], int(to_plan.key)
        faults[pk] += [unkept.words for unkept in plan.unkept]
        names = _names(to_plan.steps)
        planned += [
            _planned(inputs, plan, pk, step, names[step.key])
            for step in to_plan.steps
            if step.key in plan.placed and plan.placed[step.key].pieces
        ]
        left = replace(calendar, blocked=(*calendar.blocked, *taken))
        spread = finish_range(to_plan.steps, left, start, plan, inputs.together)
        if spread:
            ends = plan.finish.date() if plan.finish else spread.even_chance
            ranges[pk] = (max(spread.even_chance, ends), max(spread.four_of_five, ends))
        taken += [
            (piece.start - way, piece.end + way) for step in plan.placed.values() for piece in step.pieces
        ]
    return DaysPlan(
        tuple(_with_supplies(inputs, planned)),
        frozenset(int(key) for key, plan in found.plans.items() if plan.proven),
        {pk: tuple(words) for pk, words in faults.items() if words},
        ranges,
        solved,
    )


def _names(steps: Sequence[Step]) -> dict[str, str]:
    """Return the name of each step, with the surface where work on several has steps of one name."""
    works: dict[tuple[str, str], set[str]] = {}
    for step in steps:
        works.setdefault((step.job, step.name), set()).add(step.work_item)
    names = {}
    for step in steps:
        on = sorted({surface.partition(":")[0] for surface in step.uses} - {"floor"})
        told_apart = len(works[step.job, step.name]) > 1 and len(on) == 1
        names[step.key] = f"{step.name}, {on[0]}" if told_apart else step.name
    return names


def _planned(inputs: Inputs, found: EnginePlan, job: int, step: Step, name: str) -> PlannedStep:
    key = step.key
    placed = found.placed[key]
    facts = inputs.steps[job].facts.get(step.work_item)
    by_hand = inputs.dates.get((job, key))
    return PlannedStep(
        key=key,
        job=job,
        title=name,
        work=facts.title if facts else name,
        parts=tuple(
            Part(piece.start, piece.end, Decimal(piece.hours.numerator) / piece.hours.denominator)
            for piece in placed.pieces
        ),
        document=facts.document if facts else 0,
        line=facts.line if facts else "",
        phase=facts.phase if facts else "",
        rooms=facts.rooms if facts else "",
        dries_until=placed.dry if placed.dry > placed.end else None,
        surface=_surface(step, facts),
        why=placed.reason.words,
        free_to=_free_to(placed),
        change=facts.change if facts else "",
        day_set=by_hand.day if by_hand else None,
        set_kind=by_hand.kind if by_hand else "",
    )


def _free_to(placed: PlacedStep) -> date | None:
    """Return the last day on which a step can begin without moving the finish; None where it is today's."""
    return placed.latest.date() if placed.latest.date() > placed.start.date() else None


def _surface(step: Step, facts: WorkFacts | None) -> str:
    """Name what is closed while a step dries: "Kitchen floor"."""
    kinds = sorted({surface.partition(":")[0] for surface in step.closes})
    rooms = f"{facts.rooms} " if facts and facts.rooms else ""
    return f"{rooms}{list_in_words(kinds)}" if kinds else ""


def _with_supplies(inputs: Inputs, steps: list[PlannedStep]) -> list[PlannedStep]:
    """Put the materials of each work item with its first step."""
    first: dict[tuple[int, int, str], PlannedStep] = {}
    for step in sorted(steps, key=lambda step: (step.begins, step.key)):
        first.setdefault((step.job, *step.place), step)
    needs = {
        (job, *facts.place): facts.supplies
        for job, job_steps in inputs.steps.items()
        for facts in job_steps.facts.values()
    }
    return [
        replace(step, supplies=needs.get((step.job, *step.place), ()))
        if first[step.job, *step.place] is step
        else step
        for step in steps
    ]


def first_free_day(inputs: Inputs, earliest: date) -> date | None:
    """Return the first working day from a day on that the signed jobs leave free enough to begin another.

    That is the day on which the last of them ends by the list rule, or the first working day after
    `earliest`, whichever is later. None where there are no working hours.
    """
    ends = _ends_by_the_list(inputs) if inputs.jobs else None
    day = max(earliest, ends) if ends else earliest
    calendar = inputs.calendar()
    for ahead in range(MOST_DAYS_LOOKED_AT):
        if calendar.hours_on(day + timedelta(days=ahead)) is not None:
            return day + timedelta(days=ahead)
    return None


def _ends_by_the_list(inputs: Inputs) -> date | None:
    """Return the day on which the last job ends by the list rule.

    The answer to the last question is kept in this process: the plan follows from its inputs alone, and their
    digest covers all of them.
    """
    global _last_end
    digest = inputs.digest()
    known = _last_end  # another thread may put its own in place meanwhile
    if known is None or known[0] != digest:
        known = _last_end = digest, make_plan(inputs, "list").finish_of_all()
    return known[1]


_last_end: tuple[str, date | None] | None = None
