"""Supply runs: what is bought on which day, by supplier, in the fewest runs that keep nothing too long."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from catalog.models import Firm, Package
from estimating.models import Job
from jobsite.days.plan import Days
from jobsite.days.planned import PlannedStep, Supply

NOBODY = "No supplier named"


@dataclass(frozen=True)
class Need:
    """A material with the work that needs it first, and the day of that."""

    day: date
    supply: Supply
    work: str


@dataclass(frozen=True)
class Run:
    """A day on which is bought, with what is bought where. `until` is the last day that it serves."""

    day: date
    until: date
    stops: tuple[tuple[str, tuple[Need, ...]], ...]


def supply_runs(found: Days, job: Job, today: date) -> tuple[Run, ...]:
    """Return the supply runs of what is left of a job. Costs two queries."""
    steps = found.plan.of_job(job.pk)
    codes = {supply.code for step in steps for supply in step.supplies}
    packages = Package.objects.filter(material__code__in=codes, retired=False, supplier__isnull=False)
    sellers: dict[str, str] = {}
    for code, name in packages.values_list("material__code", "supplier__name"):
        sellers.setdefault(code, name)
    return plan_runs(needs_of(steps), sellers, working_days_of(steps), Firm.current().days_per_run)


def needs_of(steps: Sequence[PlannedStep]) -> list[Need]:
    """Return what steps need, by the day on which they begin."""
    return [Need(step.begins.date(), supply, step.work) for step in steps for supply in step.supplies]


def working_days_of(steps: Sequence[PlannedStep]) -> list[date]:
    """Return the days on which something is done, in their order."""
    return sorted({part.day for step in steps for part in step.parts})


def plan_runs(
    needs: Sequence[Need], sellers: dict[str, str], worked: Sequence[date], days_per_run: int
) -> tuple[Run, ...]:
    """Return the fewest runs of which each serves so many working days from its own on.

    The first need that no run serves has one on its day (greedy, which is the fewest for stretches of one
    length); `sellers` are by the code of a material.
    """
    runs: list[Run] = []
    waiting = sorted(needs, key=lambda need: (need.day, need.supply.name))
    while waiting:
        day = waiting[0].day
        ahead = [other for other in worked if other >= day][:days_per_run]
        until = ahead[-1] if ahead else day
        served = [need for need in waiting if need.day <= until]
        waiting = waiting[len(served) :]
        stops: dict[str, list[Need]] = {}
        for need in served:
            stops.setdefault(sellers.get(need.supply.code, NOBODY), []).append(need)
        runs.append(Run(day, until, tuple((name, tuple(entries)) for name, entries in sorted(stops.items()))))
    return tuple(runs)
