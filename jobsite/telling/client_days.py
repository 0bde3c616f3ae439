"""The days as the client is told them: by day, what is done, who must be home, what is to be decided."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from estimating.models import Document, Job
from jobsite.days.done import done_days
from jobsite.days.inputs import awaited
from jobsite.days.outside import DECISION, act_by, earliest, needed_on
from jobsite.days.plan import Days
from jobsite.days.planned import monday_of, on_days
from jobsite.days.words import clock, day_near
from jobsite.models import OutsideEvent, ToldDates


@dataclass(frozen=True)
class ClientDay:
    """A day with what is done on it, in the words of the paper."""

    day: date
    work: tuple[str, ...]


@dataclass(frozen=True)
class Dated:
    """Something on a day: who must be home, or what is to be decided. `key` names it for good."""

    key: str
    day: date
    words: str


@dataclass(frozen=True)
class ClientDays:
    """The days of a job as its client reads them; of one that is under way, those that are left."""

    begins: date
    finish: date
    days: tuple[ClientDay, ...] = ()
    home: tuple[Dated, ...] = ()
    decide: tuple[Dated, ...] = ()
    under_way: bool = False

    def week(self, today: date, weeks_on: int = 0) -> tuple[ClientDay, ...]:
        """Return the days of this week, or of one that follows, from today on."""
        monday = monday_of(today) + timedelta(days=7 * weeks_on)
        return tuple(day for day in self.days if monday <= day.day < monday + timedelta(days=7))

    def to_come(self, today: date) -> "ClientDays":
        """Return the same without who must be home, and what was to be decided, on days that are past."""
        return ClientDays(
            self.begins,
            self.finish,
            self.days,
            tuple(entry for entry in self.home if entry.day >= today),
            tuple(entry for entry in self.decide if entry.day >= today),
            self.under_way,
        )


@dataclass(frozen=True)
class ToldPart:
    """The part "Your days" of the client's page, as of today."""

    days: ClientDays
    weeks: tuple[tuple[str, tuple[ClientDay, ...]], ...]
    at: datetime
    reason: str
    today: date


def told_part(document: Document, today: date) -> ToldPart | None:
    """Return what the client of a signed estimate was told last; None before that. Costs a query."""
    if document.kind != Document.Kind.ESTIMATE:
        return None
    told = told_last(document.job)
    if told is None:
        return None
    days = from_json(told.content).to_come(today)
    return ToldPart(days, weeks_to_show(days, today), told.told_at, told.reason, today)


def weeks_to_show(days: ClientDays, today: date) -> tuple[tuple[str, tuple[ClientDay, ...]], ...]:
    """Return this week and the next; before the work, its first two weeks."""
    if days.begins > today and not days.week(today) and not days.week(today, 1):
        first = monday_of(days.begins)
        return (("The first week", days.week(first)), ("The second week", days.week(first, 1)))
    return (("This week", days.week(today)), ("Next week", days.week(today, 1)))


def days_for_client(found: Days, job: Job, today: date) -> ClientDays | None:
    """Return the days of a job as expected now; None while nothing is planned. Costs two queries."""
    steps = found.plan.of_job(job.pk)
    begins, finish = found.plan.begins(job.pk), found.plan.finish(job.pk)
    if begins is None or finish is None:
        return None
    work: dict[date, dict[str, None]] = {}
    for step, part in on_days(steps, begins, finish):
        work.setdefault(part.day, {})[step.work] = None
    rows = list(OutsideEvent.objects.filter(job=job, done=False))
    home, decide = [], []
    for row in rows:
        event = awaited(row)
        comes = earliest(event, today) or row.on
        if row.needs_client and comes:
            at = f", {clock(row.at)}" if row.at else ""
            home.append(Dated(f"home:{row.pk}", comes, f"{row.title}{at}"))
        by = act_by(event, needed_on(event, steps))
        if row.kind == DECISION and (by or row.on):
            decide.append(Dated(f"decide:{row.pk}", by or row.on or today, row.title))
    for decision in found.decisions(job.pk):
        if decision.day:
            decide.append(Dated(f"decide:{decision.key}", decision.day, decision.title))
    return ClientDays(
        begins,
        finish,
        tuple(ClientDay(day, tuple(titles)) for day, titles in sorted(work.items())),
        tuple(sorted(home, key=lambda entry: entry.day)),
        tuple(sorted(decide, key=lambda entry: entry.day)),
        under_way=any(day <= today for day in done_days(found, job).worked),
    )


def as_json(days: ClientDays) -> dict[str, Any]:
    """Return the days as they are kept once they were told."""
    return {
        "begins": days.begins.isoformat(),
        "finish": days.finish.isoformat(),
        "days": [[day.day.isoformat(), list(day.work)] for day in days.days],
        "home": [[entry.key, entry.day.isoformat(), entry.words] for entry in days.home],
        "decide": [[entry.key, entry.day.isoformat(), entry.words] for entry in days.decide],
        "under_way": days.under_way,
    }


def from_json(content: Mapping[str, Any]) -> ClientDays:
    """Return the days that were told."""
    return ClientDays(
        date.fromisoformat(content["begins"]),
        date.fromisoformat(content["finish"]),
        tuple(ClientDay(date.fromisoformat(day), tuple(work)) for day, work in content["days"]),
        _dated(content["home"]),
        _dated(content["decide"]),
        content.get("under_way", False),
    )


def _dated(rows: Sequence[Sequence[str]]) -> tuple[Dated, ...]:
    return tuple(Dated(key, date.fromisoformat(day), words) for key, day, words in rows)


def told_last(job: Job) -> ToldDates | None:
    """Return what the client was told last; None before that. Costs a query."""
    return ToldDates.objects.filter(job=job).order_by("told_at", "pk").last()


def in_lines(entries: Sequence[Dated], today: date) -> list[str]:
    """Return a line for each: "Tue 19 Jan: plumber, 8:00"."""
    return [f"{day_near(entry.day, today)}: {entry.words}" for entry in entries]
