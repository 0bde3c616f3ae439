"""The plan of days as plain values, and the same as JSON."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from catalog.measures.units import format_amount


@dataclass(frozen=True)
class Part:
    """The part of a step that is done on one day: from when to when, by the clock of the firm."""

    begins: datetime
    ends: datetime
    hours: Decimal

    @property
    def day(self) -> date:
        return self.begins.date()


@dataclass(frozen=True)
class Supply:
    """A material that a step needs: the code and name, how much in words, and exactly, in its unit."""

    code: str
    name: str
    amount: str
    needed: str = "0"  # a fraction
    unit: str = "each"

    @property
    def in_words(self) -> str:
        """The amount first: "34 ft of baseboard, primed", "47 finish nails"; LED stays LED."""
        name = self.name if self.name[1:2].isupper() else f"{self.name[:1].lower()}{self.name[1:]}"
        return f"{self.amount}{'' if self.amount.replace(',', '').isdigit() else ' of'} {name}"


def amount_in_words(amount: Fraction, unit: str, metric: bool) -> str:
    """Return how much is needed, to have at hand: whole pieces, "47", and whole feet from ten on, "34 ft"."""
    if unit == "each":
        return f"{ceil(amount):,}"
    in_whole = unit in ("ft", "sq ft") and amount >= 10 and not metric
    return format_amount(Fraction(ceil(amount)) if in_whole else amount, unit, metric)


@dataclass(frozen=True)
class PlannedStep:
    """A step of a job with its place in the plan.

    `key` names it for good; `document` and `line` are the place of its work in the contract, document 0 in a
    draft. `dries_until` is when what it leaves may be worked on, `surface` what is closed until then. `why`
    says why it doesn't lie earlier, `free_to` the last day on which it could lie without moving the finish.
    `change` is the title of the signed change that added it. `day_set` is a day set by hand, `set_kind` how.
    """

    key: str
    job: int
    title: str
    work: str
    parts: tuple[Part, ...]
    document: int = 0
    line: str = ""
    phase: str = ""
    rooms: str = ""
    dries_until: datetime | None = None
    surface: str = ""
    why: str = ""
    free_to: date | None = None
    change: str = ""
    day_set: date | None = None
    set_kind: str = ""
    supplies: tuple[Supply, ...] = ()

    @property
    def begins(self) -> datetime:
        return self.parts[0].begins

    @property
    def ends(self) -> datetime:
        return self.parts[-1].ends

    @property
    def hours(self) -> Decimal:
        return sum((part.hours for part in self.parts), Decimal(0))

    @property
    def place(self) -> tuple[int, str]:
        """The place of its work in the contract."""
        return self.document, self.line

    def dries_on(self, day: date) -> bool:
        """Tell whether what it left still dries at the end of a day's work on it or later."""
        return self.dries_until is not None and self.ends.date() <= day < self.dries_until.date()


@dataclass(frozen=True)
class DaysPlan:
    """The days of all jobs.

    `proven` are the jobs of which no plan is shorter, `faults` the sentences about what can't hold by job,
    `ranges` the days on which a job ends on an even chance, and 4 times out of 5, `solved` the jobs that a
    solver has looked at.
    """

    steps: tuple[PlannedStep, ...] = ()
    proven: frozenset[int] = frozenset()
    faults: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    ranges: Mapping[int, tuple[date, date]] = field(default_factory=dict)
    solved: frozenset[int] = frozenset()

    def of_job(self, job: int) -> tuple[PlannedStep, ...]:
        """Return the steps of a job, in the order in which they are done."""
        return tuple(step for step in self.in_order() if step.job == job)

    def in_order(self) -> list[PlannedStep]:
        """Return all steps in the order in which they begin."""
        return sorted((step for step in self.steps if step.parts), key=lambda step: (step.begins, step.key))

    def step(self, job: int, key: str) -> PlannedStep | None:
        """Return a step of a job; None where there is none of that key."""
        return next((step for step in self.steps if step.job == job and step.key == key), None)

    def begins(self, job: int) -> date | None:
        """Return the day on which what is left of a job begins."""
        return min((step.begins.date() for step in self.of_job(job)), default=None)

    def finish(self, job: int) -> date | None:
        """Return the day on which a job ends."""
        return max((step.ends.date() for step in self.of_job(job)), default=None)

    def finish_of_all(self) -> date | None:
        """Return the day on which the last of all jobs ends."""
        return max((step.ends.date() for step in self.steps if step.parts), default=None)

    def working_days(self, job: int) -> int:
        """Return how many days are worked on a job."""
        return len({part.day for step in self.of_job(job) for part in step.parts})


def on_days(steps: Iterable[PlannedStep], first: date, last: date) -> list[tuple[PlannedStep, Part]]:
    """Return the parts of steps from one day to another, in the order of the clock."""
    parts = [(step, part) for step in steps for part in step.parts if first <= part.day <= last]
    return sorted(parts, key=lambda pair: (pair[1].begins, pair[0].key))


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def as_json(plan: DaysPlan) -> dict[str, Any]:
    """Return a plan as JSON keeps it."""
    return {
        "steps": [_plain(asdict(step)) for step in plan.steps],
        "proven": sorted(plan.proven),
        "faults": {f"{job}": list(faults) for job, faults in plan.faults.items()},
        "ranges": {f"{job}": [day.isoformat() for day in days] for job, days in plan.ranges.items()},
        "solved": sorted(plan.solved),
    }


def from_json(content: Mapping[str, Any]) -> DaysPlan:
    """Return the plan that JSON kept. Raises KeyError, TypeError or ValueError where it isn't one."""
    return DaysPlan(
        tuple(_step(row) for row in content["steps"]),
        frozenset(content["proven"]),
        {int(job): tuple(faults) for job, faults in content["faults"].items()},
        {
            int(job): (date.fromisoformat(even), date.fromisoformat(likely))
            for job, (even, likely) in content["ranges"].items()
        },
        frozenset(content["solved"]),
    )


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, date):
        return value.isoformat()
    return f"{value}" if isinstance(value, Decimal) else value


def _step(row: Mapping[str, Any]) -> PlannedStep:
    parts = tuple(
        Part(
            datetime.fromisoformat(part["begins"]),
            datetime.fromisoformat(part["ends"]),
            Decimal(part["hours"]),
        )
        for part in row["parts"]
    )
    values = {
        **row,
        "parts": parts,
        "dries_until": datetime.fromisoformat(row["dries_until"]) if row["dries_until"] else None,
        "free_to": date.fromisoformat(row["free_to"]) if row["free_to"] else None,
        "day_set": date.fromisoformat(row["day_set"]) if row["day_set"] else None,
        "supplies": tuple(Supply(**supply) for supply in row["supplies"]),
    }
    return PlannedStep(**values)
