"""The diary read for pages, for the client and for the file of a job; photos put into it."""

from base64 import b64encode
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from hashlib import sha256
from typing import Any

from django.db.models import Prefetch, Q, QuerySet, Sum

from estimating.client.photos import small_photo
from estimating.models import Job
from jobsite.diary.pages import DiaryDay, Entry, by_days
from jobsite.models import DiaryEntry, DiaryPhoto, HoursWorked, OutsideEvent


def find_entries(job: Job, text: str) -> QuerySet[DiaryEntry]:
    """Return the entries of a job in which each of these words stands somewhere, the newest first."""
    rows = DiaryEntry.objects.filter(job=job)
    for word in text.split():
        rows = rows.filter(
            Q(says__icontains=word)
            | Q(weather__icontains=word)
            | Q(who__icontains=word)
            | Q(came__icontains=word)
            | Q(pk__in=DiaryPhoto.objects.filter(caption__icontains=word).values("entry"))
        )
    return rows


def read_days_of(job: Job, rows: Iterable[DiaryEntry]) -> list[DiaryDay]:
    """Return entries by days, with what is known of these days anyway. Costs two queries beside the rows."""
    entries = [_entry(row) for row in rows]
    days = {entry.on for entry in entries}
    return by_days(entries, _hours(job, days), _events(job, days))


def with_photos(rows: QuerySet[DiaryEntry]) -> QuerySet[DiaryEntry]:
    """Return entries that bring the names of their photos along, not the pictures."""
    return rows.prefetch_related(Prefetch("photos", DiaryPhoto.objects.defer("content", "small")))


def read_for_client(job: Job, most: int | None = None) -> list[DiaryDay]:
    """Return the days that the client sees, without what is the firm's own to know."""
    rows = with_photos(DiaryEntry.objects.filter(job=job, for_client=True))
    return by_days([_entry(row) for row in (rows[:most] if most else rows)])


def _entry(row: DiaryEntry) -> Entry:
    photos = [(photo.pk, str(photo)) for photo in row.photos.all()]
    return Entry(row.pk, row.on, row.says, row.weather, row.who, row.came, photos, row.for_client)


def _hours(job: Job, days: Collection[date]) -> Iterable[tuple[date, Any]]:
    rows = HoursWorked.objects.filter(job=job, on__in=days).order_by("on")
    return rows.values_list("on").annotate(Sum("hours"))


def _events(job: Job, days: Collection[date]) -> Iterable[tuple[date, str]]:
    rows = OutsideEvent.objects.filter(job=job, on__in=days, done=True).order_by("pk")
    return (
        (row.on, f"{row.title} ({row.get_result_display()})" if row.result else row.title)
        for row in rows
        if row.on
    )


def add_photos(entry: DiaryEntry, photos: Iterable[bytes]) -> None:
    """Add photos (JPEG, cleaned) to an entry; one that it has already stays once."""
    for content in photos:
        values = {"content": content, "small": small_photo(content)}
        entry.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults=values)


def diary_for_file(job: Job) -> list[dict[str, Any]]:
    """Return the whole diary as the file of a job prints it, the oldest day first, with small pictures."""
    rows: Sequence[DiaryEntry] = list(with_photos(DiaryEntry.objects.filter(job=job)))
    small = dict(DiaryPhoto.objects.filter(entry__job=job).values_list("pk", "small"))
    return [
        {
            "on": day.on.isoformat(),
            "known": list(day.known),
            "entries": [
                {
                    "says": [line for line in entry.says.splitlines() if line.strip()],
                    "facts": entry.facts,
                    "photos": [
                        {"says": says, "jpeg": b64encode(bytes(small[key])).decode("ascii")}
                        for key, says in entry.photos
                    ],
                }
                for entry in day.entries
            ],
        }
        for day in reversed(read_days_of(job, rows))
    ]
