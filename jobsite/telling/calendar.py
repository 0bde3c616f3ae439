"""The days as calendars read them (RFC 5545): entries that keep their UID, and say when they changed.

Times are written in UTC, which every calendar shows in its own zone. An entry that changes gets a higher
SEQUENCE, one that is no more is told as CANCELLED for a while.
"""

import hashlib
import secrets
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from icalendar import Calendar, Event, vDuration

from estimating.events.chain import canonical, digest
from estimating.models import Job
from jobsite.days.inputs import awaited
from jobsite.days.outside import act_by, earliest, needed_on
from jobsite.days.plan import Days
from jobsite.days.planned import PlannedStep
from jobsite.days.words import hours
from jobsite.models import CalendarEntry, CalendarFeed, OutsideEvent
from jobsite.telling.client_days import ClientDays
from saving.once import take_turn

TOLD_CANCELED_FOR = timedelta(days=30)
KEPT_BEHIND = timedelta(days=14)
MOST_READS, WINDOW = 60, timedelta(hours=1)  # calendars ask every 15 minutes at most (common practice)
PRODID = "-//Benchrule//Days//EN"


class TooOften(Exception):
    """A feed that is asked for too often; `wait` is until it may be asked again."""

    def __init__(self, wait: timedelta) -> None:
        super().__init__(wait)
        self.wait = wait


@dataclass(frozen=True)
class Entry:
    """What a calendar shows of something: times by the clock of the firm, or whole days up to `ends`."""

    key: str
    title: str
    begins: datetime | date
    ends: datetime | date
    text: str = ""

    def facts(self) -> dict[str, Any]:
        return {
            "title": self.title,
            "begins": self.begins.isoformat(),
            "ends": self.ends.isoformat(),
            "whole_days": not isinstance(self.begins, datetime),
            "text": self.text,
        }


def work_entries(steps: Sequence[PlannedStep]) -> list[Entry]:
    """Return an entry for each day of each piece of work, in its order."""
    by_day: dict[tuple[int, str], dict[date, list[tuple[PlannedStep, Any]]]] = {}
    for step in steps:
        for part in step.parts:
            by_day.setdefault(step.place, {}).setdefault(part.day, []).append((step, part))
    entries = []
    for (document, line), days in by_day.items():
        for _, parts in sorted(days.items()):
            entries.append(
                Entry(
                    f"work:{document}:{line}",
                    parts[0][0].work,
                    min(part.begins for _, part in parts),
                    max(part.ends for _, part in parts),
                    "\n".join(f"{step.title}, {hours(part.hours)}" for step, part in parts),
                )
            )
    return entries


def outside_entries(found: Days, job: Job, rows: Iterable[OutsideEvent], today: date) -> list[Entry]:
    """Return an entry for each thing that comes, and for each that must be ordered or decided."""
    entries = []
    for row in rows:
        event = awaited(row)
        comes = row.on if row.done else earliest(event, today)
        if comes and row.kind != OutsideEvent.Kind.DECISION:
            text = "Somebody must be home." if row.needs_client else ""
            if row.at:
                at = datetime.combine(comes, row.at)
                entries.append(Entry(f"event:{row.pk}", row.title, at, at + timedelta(hours=1), text))
            else:
                entries.append(_whole_day(f"event:{row.pk}", row.title, comes, text))
        by = act_by(event, needed_on(event, found.plan.of_job(job.pk)))
        if by:
            verb = "Client decides" if row.kind == OutsideEvent.Kind.DECISION else "Order"
            entries.append(_whole_day(f"by:{row.pk}", f"{verb}: {row.title}", by))
    return entries


def told_entries(days: ClientDays) -> list[Entry]:
    """Return what a client's calendar shows: the work of each day, who must be home, decisions, the end."""
    entries = [
        _whole_day(f"work:{digest(work)[:12]}", work, day.day) for day in days.days for work in day.work
    ]
    entries += [
        _whole_day(entry.key, f"Be home: {entry.words}", entry.day, "Somebody must be home.")
        for entry in days.home
    ]
    entries += [_whole_day(entry.key, f"Decide by today: {entry.words}", entry.day) for entry in days.decide]
    return [*entries, _whole_day("finish", "The work is done", days.finish)]


def _whole_day(key: str, title: str, day: date, text: str = "") -> Entry:
    return Entry(key, title, day, day + timedelta(days=1), text)


def keep_entries(kind: str, entries: Mapping[int, Sequence[Entry]], now: datetime) -> None:
    """Bring the kept entries of jobs up to these: new, changed with a higher sequence, or canceled.

    What lay before today is over: it stays, and the days of a piece of work are counted on from it. Call in
    a transaction. Costs three queries, however many jobs there are.
    """
    today = now.date().isoformat()
    rows: dict[int, dict[str, CalendarEntry]] = {job: {} for job in entries}
    for row in CalendarEntry.objects.filter(job__in=entries, kind=kind):
        rows[row.job_id][row.key] = row
    new: list[CalendarEntry] = []
    changed: list[CalendarEntry] = []
    for job, wanted in entries.items():
        over = {key for key, row in rows[job].items() if row.is_over(today)}
        facts_by_key = _numbered(wanted, over)
        for key, facts in facts_by_key.items():
            sha256, known = digest(canonical(facts)), rows[job].get(key)
            if known is None:
                new.append(_new_entry(job, kind, key, facts, sha256, now))
            elif known.facts_sha256 != sha256 or known.canceled_at:
                known.facts, known.facts_sha256, known.canceled_at = facts, sha256, None
                changed.append(known)
        for key, row in rows[job].items():
            if key not in facts_by_key and key not in over and not row.canceled_at:
                row.canceled_at = now
                changed.append(row)
    for row in changed:
        row.sequence += 1
        row.changed_at = now
    CalendarEntry.objects.bulk_create(new)
    fields = ["facts", "facts_sha256", "canceled_at", "sequence", "changed_at"]
    CalendarEntry.objects.bulk_update(changed, fields)


def _numbered(entries: Iterable[Entry], over: Collection[str]) -> dict[str, dict[str, Any]]:
    """Return the facts of entries by key; those of a piece of work are counted on from the ones over."""
    counts = Counter(key.rpartition(":")[0] for key in over if key.startswith("work:"))
    by_key = {}
    for entry in entries:
        key = entry.key
        if key.startswith("work:"):
            counts[key] += 1
            key = f"{key}:{counts[key]}"
        by_key[key] = entry.facts()
    return by_key


def _new_entry(
    job: int, kind: str, key: str, facts: dict[str, Any], sha256: str, now: datetime
) -> CalendarEntry:
    return CalendarEntry(
        uid=f"{secrets.token_hex(16)}@benchrule",
        job_id=job,
        kind=kind,
        key=key,
        facts_sha256=sha256,
        facts=facts,
        changed_at=now,
    )


def calendar_file(
    rows: Iterable[CalendarEntry], name: str, zone: str, label: Callable[[CalendarEntry], str]
) -> bytes:
    """Return entries as an RFC 5545 file; `label` gives what stands before the title of each."""
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", vDuration(timedelta(hours=1)), {"value": "DURATION"})
    for row in rows:
        calendar.add_component(_event(row, ZoneInfo(zone), label(row)))
    return bytes(calendar.to_ical())


def _event(row: CalendarEntry, zone: ZoneInfo, label: str) -> Event:
    event, facts = Event(), row.facts
    event.add("uid", row.uid)
    event.add("dtstamp", row.changed_at.astimezone(UTC))
    event.add("last-modified", row.changed_at.astimezone(UTC))
    event.add("sequence", row.sequence)
    event.add("status", "CANCELLED" if row.canceled_at else "CONFIRMED")
    event.add("summary", f"{label}: {facts['title']}" if label else facts["title"])
    if facts["text"]:
        event.add("description", facts["text"])
    if facts["whole_days"]:
        event.add("dtstart", date.fromisoformat(facts["begins"]))
        event.add("dtend", date.fromisoformat(facts["ends"]))
        event.add("transp", "TRANSPARENT")
    else:
        for name in ("begins", "ends"):
            at = datetime.fromisoformat(facts[name]).replace(tzinfo=zone).astimezone(UTC)
            event.add("dtstart" if name == "begins" else "dtend", at)
    return event


def make_feed(name: str, with_names: bool, at: datetime, once: str | None = None) -> tuple[CalendarFeed, str]:
    """Make a feed; return it with its secret, which is shown once and never kept.

    `once` is the key of the form that asks for it: a second use of it raises IntegrityError.
    """
    secret = secrets.token_urlsafe(32)
    sha256 = hash_of_secret(secret)
    with transaction.atomic():
        feed = CalendarFeed.objects.create(
            name=name, with_names=with_names, secret_sha256=sha256, once=once or sha256, made_at=at
        )
    return feed, secret


def hash_of_secret(secret: str) -> str:
    """Return the SHA-256 of a secret, by which its feed is found."""
    return hashlib.sha256(secret.encode()).hexdigest()


def find_feed(secret: str, now: datetime) -> CalendarFeed | None:
    """Return the feed that a secret opens, and count that it was read; None for a wrong or withdrawn one.

    Raises TooOften.
    """
    feed = CalendarFeed.objects.working().filter(secret_sha256=hash_of_secret(secret)).first()
    if feed is None:
        return None
    if feed.counted_since is None or feed.counted_since <= now - WINDOW:
        feed.counted_since, feed.reads = now, 0
    if feed.reads >= MOST_READS:
        raise TooOften(feed.counted_since + WINDOW - now)
    feed.reads, feed.last_read_at = feed.reads + 1, now
    feed.save(update_fields=["counted_since", "reads", "last_read_at"])
    return feed


def feed_file(feed: CalendarFeed, found: Days, now: datetime, zone: str) -> bytes:
    """Return the days of all signed jobs for a feed, after its kept entries were brought up to date.

    Names of jobs are left out where the feed doesn't show names: a job's name may be its client's.
    """
    today = now.date()
    outside: dict[int, list[OutsideEvent]] = {job.pk: [] for job in found.inputs.jobs}
    for row in OutsideEvent.objects.filter(job__in=found.inputs.jobs):
        outside[row.job_id].append(row)
    with transaction.atomic():
        take_turn()
        entries = {
            job.pk: [
                *work_entries(found.plan.of_job(job.pk)),
                *outside_entries(found, job, outside[job.pk], today),
            ]
            for job in found.inputs.jobs
        }
        keep_entries(CalendarEntry.PLANNED, entries, now)
    rows = CalendarEntry.objects.filter(kind=CalendarEntry.PLANNED, job__closed=False)
    shown = [
        row
        for row in rows.select_related("job__client")
        if row.facts["ends"] >= (today - KEPT_BEHIND).isoformat()
        and (row.canceled_at is None or row.canceled_at > now - TOLD_CANCELED_FOR)
    ]

    def label(row: CalendarEntry) -> str:
        return f"{row.job.name}, {row.job.client.name}" if feed.with_names else f"Job {row.job_id}"

    return calendar_file(shown, "Days on site", zone, label)
