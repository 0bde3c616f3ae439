"""The plan laid out by week and day, for the page at the desk, the list on the phone and the printed week."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobsite.days.planned import Part, PlannedStep, monday_of, on_days
from jobsite.days.words import moment

# How a step is marked: the job that the page is of, another job, or what a signed change added.
OWN, OTHER, CHANGE = "own", "other", "change"


@dataclass(frozen=True)
class PlacedPart:
    """A step's part on a day. `tone` is OWN, OTHER or CHANGE; `goes_on` says that it began before."""

    step: PlannedStep
    part: Part
    tone: str
    goes_on: bool
    job: str = ""  # the name of another job


SHORT = 28  # letters of a name that fit in a column of the desk on two lines


@dataclass(frozen=True)
class Block:
    """What is done of one work item on a day, or of a whole other job.

    It has the name of the step where that is the only one and short, else that of the work.
    """

    parts: tuple[PlacedPart, ...]

    @property
    def first(self) -> PlacedPart:
        return self.parts[0]

    @property
    def title(self) -> str:
        step = self.first.step
        if self.first.job:
            return self.first.job
        is_one = len({entry.step.key for entry in self.parts}) == 1
        return step.title if is_one and len(step.title) <= max(SHORT, len(step.work)) else step.work

    @property
    def hours(self) -> Decimal:
        return sum((entry.part.hours for entry in self.parts), Decimal(0))


@dataclass(frozen=True)
class Note:
    """A line on a day that isn't work: something that comes, or money that can be billed from that day."""

    words: str
    kind: str = "event"
    needs_client: bool = False


@dataclass(frozen=True)
class Day:
    """A day with all that lies on it.

    `off` says why no work is done, `drying` what dries or sets from its end on, `done` what was done on a
    day that is past.
    """

    day: date
    hours: Decimal
    off: str = ""
    parts: tuple[PlacedPart, ...] = ()
    drying: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()
    done: tuple[str, ...] = ()
    is_today: bool = False
    is_past: bool = False

    @property
    def blocks(self) -> list[Block]:
        """The parts as pieces of work, in the order in which they begin."""
        blocks: dict[tuple[object, ...], list[PlacedPart]] = {}
        for entry in self.parts:
            piece = (entry.job,) if entry.job else (entry.step.place, entry.step.work)
            blocks.setdefault(piece, []).append(entry)
        return [Block(tuple(parts)) for parts in blocks.values()]

    @property
    def is_empty(self) -> bool:
        return not (self.parts or self.done or self.drying or self.notes or self.off)


@dataclass(frozen=True)
class Week:
    """A week from its Monday."""

    monday: date
    days: tuple[Day, ...]

    @property
    def hours(self) -> Decimal:
        return sum((day.hours for day in self.days), Decimal(0))


def lay_out_weeks(
    steps: Sequence[PlannedStep],
    job: int,
    first: date,
    count: int,
    today: date,
    off: Mapping[date, str],
    notes: Mapping[date, Sequence[Note]],
    names: Mapping[int, str],
    worked: frozenset[int] = frozenset(range(5)),
    done: Mapping[date, Sequence[str]] | None = None,
) -> tuple[Week, ...]:
    """Lay steps out on so many weeks, from the week of `first`.

    `job` is the job that the page is of, `names` the jobs by their keys. `off` says of days why none of their
    work is done, `worked` are the weekdays that have hours; Saturdays and Sundays without work or a note are
    left out.
    """
    monday = monday_of(first)
    placed = _parts_by_day(on_days(steps, monday, monday + timedelta(days=7 * count)), job, names)
    drying = _drying_by_day(steps, job)
    weeks = []
    for week in range(count):
        days = [monday + timedelta(days=7 * week + weekday) for weekday in range(7)]
        laid = [
            Day(
                day=day,
                hours=sum((entry.part.hours for entry in placed.get(day, ())), Decimal(0)),
                off=off.get(day, ""),
                parts=tuple(placed.get(day, ())),
                drying=tuple(drying.get(day, ())),
                notes=tuple(notes.get(day, ())),
                done=tuple((done or {}).get(day, ())),
                is_today=day == today,
                is_past=day < today,
            )
            for day in days
        ]
        shown = [
            day for day in laid if day.day.weekday() < 5 or day.day.weekday() in worked or _has_entries(day)
        ]
        weeks.append(Week(days[0], tuple(shown)))
    return tuple(weeks)


def _has_entries(day: Day) -> bool:
    return bool(day.parts or day.notes or day.done)


def _parts_by_day(
    parts: Iterable[tuple[PlannedStep, Part]], job: int, names: Mapping[int, str]
) -> dict[date, list[PlacedPart]]:
    by_day: dict[date, list[PlacedPart]] = {}
    for step, part in parts:
        tone = OTHER if step.job != job else CHANGE if step.change else OWN
        other = names.get(step.job, "") if step.job != job else ""
        entry = PlacedPart(step, part, tone, part != step.parts[0], other)
        by_day.setdefault(part.day, []).append(entry)
    return by_day


def _drying_by_day(steps: Sequence[PlannedStep], job: int) -> dict[date, list[str]]:
    """Return what dries from each day on: of each surface what dries longest."""
    last: dict[tuple[date, str], PlannedStep] = {}
    for step in steps:
        if step.parts and step.dries_until and step.job == job:
            place = (step.ends.date(), step.surface)
            if place not in last or (last[place].dries_until or step.ends) < step.dries_until:
                last[place] = step
    by_day: dict[date, list[str]] = {}
    for (day, _), step in sorted(last.items(), key=lambda entry: (entry[0], entry[1].key)):
        by_day.setdefault(day, []).append(drying_in_words(step))
    return by_day


def drying_in_words(step: PlannedStep) -> str:
    """Say of a step until when what it leaves dries: "Kitchen floor: dries to Wed 7:00"."""
    assert step.dries_until is not None  # asked only where something dries
    words = f"dries to {moment(step.dries_until, step.ends.date())}"
    return f"{step.surface}: {words}" if step.surface else words
