"""Supply runs: what is bought on which day, by supplier, in the fewest runs that keep nothing too long."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from catalog.models import Firm, Material, Package
from estimating.models import Job
from estimating.schedule.day_count import fewest_runs
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
    """Return the supply runs of what is left of a job. Costs three queries."""
    steps = found.plan.of_job(job.pk)
    codes = {supply.code for step in steps for supply in step.supplies}
    kept = Material.objects.filter(code__in=codes, keeps_days__isnull=False)
    packages = Package.objects.filter(material__code__in=codes, retired=False, supplier__isnull=False)
    sellers: dict[str, str] = {}
    for code, name in packages.values_list("material__code", "supplier__name"):
        sellers.setdefault(code, name)
    keeps = {code: days for code, days in kept.values_list("code", "keeps_days") if days}
    return plan_runs(needs_of(steps), sellers, working_days_of(steps), Firm.current().days_per_run, keeps)


def needs_of(steps: Sequence[PlannedStep]) -> list[Need]:
    """Return what steps need, by the day on which they begin."""
    return [Need(step.begins.date(), supply, step.work) for step in steps for supply in step.supplies]


def working_days_of(steps: Sequence[PlannedStep]) -> list[date]:
    """Return the days on which something is done, in their order."""
    return sorted({part.day for step in steps for part in step.parts})


def plan_runs(
    needs: Sequence[Need],
    sellers: Mapping[str, str],
    worked: Sequence[date],
    days_per_run: int,
    keeps: Mapping[str, int],
) -> tuple[Run, ...]:
    """Return the fewest runs of which each serves so many working days from its own on, and what can't be
    stored no longer than it keeps.

    `sellers` and `keeps`, in working days, are by the code of a material. What is needed is bought on the
    last run before it, or on its day.
    """
    place = {day: index for index, day in enumerate(sorted({*worked, *(need.day for need in needs)}))}
    days = list(place)
    starts = fewest_runs(
        (place[need.day], min(days_per_run, keeps.get(need.supply.code, days_per_run))) for need in needs
    )
    runs = []
    for start, after in zip(starts, [*starts, len(days)][1:], strict=True):
        until = min(start + days_per_run, after) - 1
        stops: dict[str, list[Need]] = defaultdict(list)
        for need in sorted(needs, key=lambda need: (need.day, need.supply.name)):
            if start <= place[need.day] < after:
                stops[sellers.get(need.supply.code, NOBODY)].append(need)
        entries = tuple((name, tuple(stops[name])) for name in sorted(stops))
        runs.append(Run(days[start], days[min(until, len(days) - 1)], entries))
    return tuple(runs)
