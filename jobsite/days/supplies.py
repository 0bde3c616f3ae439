"""Supply runs: what is bought on which day, by supplier, in the fewest runs that keep nothing too long."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Any

from catalog.assemblies.package_words import sizes_in_words
from catalog.models import Firm, Material, Package
from estimating.contract.on_hand import with_stock
from estimating.models import Estimate, Job
from estimating.plain_text import list_in_words
from estimating.schedule.day_count import fewest_runs
from jobsite.days.plan import Days
from jobsite.days.planned import PlannedStep, Supply, amount_in_words

NOBODY = "No supplier named"


@dataclass(frozen=True)
class Need:
    """A material with the work that needs it first, and the day of that."""

    day: date
    supply: Supply
    work: str


@dataclass(frozen=True)
class Buy:
    """A material of a run: all that the run's work takes of it, and the packages, where the list has them.

    `packages` is empty where what earlier runs bought is enough, and None without a shopping list.
    """

    day: date
    name: str
    amount: str
    work: str
    packages: str | None


@dataclass(frozen=True)
class Run:
    """A day on which is bought, with what is bought where. `until` is the last day that it serves."""

    day: date
    until: date
    stops: tuple[tuple[str, tuple[Buy, ...]], ...]


def supply_runs(found: Days, job: Job, bases: Iterable[Mapping[str, Any]]) -> tuple[Run, ...]:
    """Return the supply runs of what is left of a job, with the packages of what is signed. Four queries."""
    steps = found.plan.of_job(job.pk)
    codes = {supply.code for step in steps for supply in step.supplies}
    kept = Material.objects.filter(code__in=codes, keeps_days__isnull=False)
    packages = Package.objects.filter(material__code__in=codes, retired=False, supplier__isnull=False)
    sellers: dict[str, str] = {}
    for code, name in packages.values_list("material__code", "supplier__name"):
        sellers.setdefault(code, name)
    keeps = {code: days for code, days in kept.values_list("code", "keeps_days") if days}
    firm = Firm.current()
    bases = with_stock(bases, Estimate.on_hand_for(job))
    needs, worked, listed = needs_of(steps), working_days_of(steps), packages_listed(bases)
    needs = less_stock(needs, stock_listed(bases))
    return plan_runs(needs, sellers, worked, firm.days_per_run, keeps, listed, firm.metric)


def packages_listed(bases: Iterable[Mapping[str, Any]]) -> dict[str, list[Fraction]]:
    """Return the sizes of all packages that the shopping list has, by the code of the material."""
    listed: dict[str, list[Fraction]] = {}
    for basis in bases:
        for material in basis.get("materials", ()):
            sizes = listed.setdefault(material["code"], [])
            for kept in material["packages"]:
                sizes += [Fraction(kept["size"])] * int(kept["count"])
    return listed


def stock_listed(bases: Iterable[Mapping[str, Any]]) -> dict[str, Fraction]:
    """Return what was on hand when the papers were issued, by the code of the material."""
    stock: dict[str, Fraction] = {}
    for basis in bases:
        for material in basis.get("materials", ()):
            if "on_hand" in material:
                code = material["code"]
                stock[code] = stock.get(code, Fraction(0)) + Fraction(material["on_hand"]["amount"])
    return stock


def less_stock(needs: Iterable[Need], stock: Mapping[str, Fraction]) -> list[Need]:
    """Return what is needed beside what is on hand, which the first to need it gets."""
    left, lacking = dict(stock), []
    for need in sorted(needs, key=lambda need: need.day):
        needed = Fraction(need.supply.needed)
        taken = min(left.get(need.supply.code, Fraction(0)), needed)
        if taken:
            left[need.supply.code] -= taken
            need = replace(need, supply=replace(need.supply, needed=f"{needed - taken}"))
        if taken < needed or not needed:
            lacking.append(need)
    return lacking


def take_packages(lacks: Fraction, left: list[Fraction]) -> list[Fraction]:
    """Take packages off those that are left until they hold what lacks, or none is left.

    The smallest that is enough is taken; where none is, the largest first.
    """
    taken: list[Fraction] = []
    while lacks > 0 and left:
        size = min((size for size in left if size >= lacks), default=max(left))
        left.remove(size)
        taken.append(size)
        lacks -= size
    return taken


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
    keeps: Mapping[str, int] | None = None,
    listed: Mapping[str, Sequence[Fraction]] | None = None,
    metric: bool = False,
) -> tuple[Run, ...]:
    """Return the fewest runs of which each serves so many working days from its own on, and what can't be
    stored no longer than it keeps.

    `sellers` and `keeps`, in working days, are by the code of a material, and so are the packages `listed`: a
    run takes of them what earlier runs don't leave over, so that all runs together never buy more than the
    list. What is needed is bought on the last run before it, or on its day.
    """
    keeps, listing = keeps or {}, _ShoppingList(listed or {}, metric)
    place = {day: index for index, day in enumerate(sorted({*worked, *(need.day for need in needs)}))}
    days = list(place)
    starts = fewest_runs(
        (place[need.day], min(days_per_run, keeps.get(need.supply.code, days_per_run))) for need in needs
    )
    runs: list[Run] = []
    for start, after in zip(starts, [*starts, len(days)][1:], strict=True):
        served: dict[str, list[Need]] = defaultdict(list)
        for need in sorted(needs, key=lambda need: (need.day, need.supply.name)):
            if start <= place[need.day] < after:
                served[need.supply.code].append(need)
        stops: dict[str, list[Buy]] = defaultdict(list)
        for code, group in served.items():
            stops[sellers.get(code, NOBODY)].append(listing.buy(code, group))
        until = min(start + days_per_run, after) - 1
        entries = tuple((name, tuple(stops[name])) for name in sorted(stops))
        runs.append(Run(days[start], days[min(until, len(days) - 1)], entries))
    return tuple(runs)


class _ShoppingList:
    """The packages of a shopping list that no run has bought yet, and what is over of those that were."""

    def __init__(self, listed: Mapping[str, Sequence[Fraction]], metric: bool) -> None:
        self.left = {code: list(sizes) for code, sizes in listed.items()}
        self.over: dict[str, Fraction] = defaultdict(Fraction)
        self.metric = metric

    def buy(self, code: str, needs: Sequence[Need]) -> Buy:
        """Return what a run buys of a material for these needs, and take its packages off the list."""
        first = needs[0].supply
        amount = sum((Fraction(need.supply.needed) for need in needs), Fraction(0))
        packages = None
        if code in self.left:
            taken = take_packages(amount - self.over[code], self.left[code])
            self.over[code] = max(self.over[code] + sum(taken) - amount, Fraction(0))
            counts = Counter(sorted(taken, reverse=True)).items()
            packages = list_in_words(sizes_in_words(counts, first.unit))
        works = list_in_words(list(dict.fromkeys(need.work for need in needs)))
        return Buy(
            needs[0].day, first.name, amount_in_words(amount, first.unit, self.metric), works, packages
        )
