"""Reads what a phone keeps, as plain values for JSON: no cost and no price is among them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django.db.models import Prefetch

from catalog.measures.lengths import format_length
from catalog.models import Firm, Supplier
from closing.models import PunchListItem
from closing.punch_list.read import left_by_job
from estimating.models import Job, Room, RoomPhoto
from estimating.models.room_photo import photo_places
from estimating.rooms.description import ceiling_height_in_words
from estimating.rooms.outline import PlanError, wall_letter
from estimating.rooms.summary import RoomSummary, summarize_room
from jobsite.days.plan import Days, read_days
from jobsite.days.planned import PlannedStep
from jobsite.days.words import clock, hours
from jobsite.forms.hours import token_of
from jobsite.hours.read import SignedWork, read_job, read_signed
from jobsite.hours.running import read_clock
from jobsite.models import HoursWorked
from phone.records.rooms import room_texts

PHOTOS = Prefetch("rooms__photos", RoomPhoto.objects.defer("content"))
LATELY = timedelta(days=60)


def read_kept(today: date) -> dict[str, Any]:
    """Return the open jobs that were asked for or worked on lately or are signed, and what goes with them."""
    firm = Firm.current()
    jobs = list(Job.objects.open_jobs().prefetch_related("rooms__openings", "rooms__footprints", PHOTOS))
    signed = read_signed(jobs)
    worked = set(
        HoursWorked.objects.filter(job__in=jobs, on__gte=today - LATELY).values_list("job", flat=True)
    )
    kept = [job for job in jobs if job.pk in signed or job.pk in worked or job.requested_on >= today - LATELY]
    left = left_by_job(kept)
    found = read_days(today) if any(job.pk in signed for job in kept) else None
    return {
        "day": today.isoformat(),
        "firm": firm.name,
        "metric": firm.metric,
        "clock": _running(),
        "stores": list(Supplier.objects.offered().values_list("name", flat=True)),
        "jobs": [
            {**_job(job, signed.get(job.pk, SignedWork()), found, firm, today), "left": _left(left[job.pk])}
            for job in kept
        ],
    }


def _running() -> dict[str, Any] | None:
    running = read_clock()
    if running is None:
        return None
    return {
        "job": running.job_id,
        "on_what": token_of(running),
        "label": read_job(running.job).label_of(running),
        "at": int(running.started_at.timestamp() * 1000),
    }


def _job(job: Job, signed: SignedWork, found: Days | None, firm: Firm, today: date) -> dict[str, Any]:
    steps = found.plan.of_job(job.pk) if found else ()
    return {
        "id": job.pk,
        "name": job.name,
        "client": job.client.name,
        "phone": job.client.phone,
        "address": job.address,
        "notes": job.notes,
        "signed": bool(signed.bases),
        "targets": [
            {
                "label": group.label,
                "items": [
                    {"token": target.token, "label": target.label}
                    for target in group.targets
                    if not target.is_finished
                ],
            }
            for group in signed.groups()
        ],
        "work": [
            {
                "place": f"{line.line.place[0]}-{line.line.place[1]}",
                "title": line.line.title,
                "finished": line.is_finished,
            }
            for line in signed.lines
        ],
        "days": _days(steps, today),
        "rooms": [_room(room, firm) for room in job.rooms.all()],
    }


def _left(rows: Iterable[PunchListItem]) -> list[dict[str, str]]:
    """Return what is left on a punch list."""
    return [
        {"token": f"{row.pk}", "label": f"{row.text}, {row.room.name}" if row.room else row.text}
        for row in rows
    ]


def _days(steps: Sequence[PlannedStep], today: date) -> list[dict[str, Any]]:
    """Return what is planned of a job by day, from today on."""
    by_day: dict[date, list[dict[str, str]]] = defaultdict(list)
    for step in steps:
        for part in step.parts:
            if part.day >= today:
                needs = ", ".join(f"{supply.name}: {supply.amount}" for supply in step.supplies)
                by_day[part.day].append(
                    {
                        "title": step.title,
                        "hours": hours(part.hours),
                        "at": clock(part.begins),
                        "needs": needs if part == step.parts[0] else "",
                    }
                )
    return [{"day": day.isoformat(), "steps": by_day[day]} for day in sorted(by_day)]


def _room(room: Room, firm: Firm) -> dict[str, Any]:
    photos = list(room.photos.all())
    try:
        summary = summarize_room(
            replace(room.plan(), photos=photo_places(photos)),
            firm.deduct_rule,
            firm.cabinets_hide_walls,
            firm.metric,
            ident=f"plan-{room.pk}",
        )
    except PlanError as fault:
        summary = RoomSummary(remarks=(str(fault),))
    return {
        "id": room.pk,
        "name": room.name,
        "svg": summary.svg,
        "remarks": list(summary.remarks),
        "figures": [{"label": figure.label, "amount": figure.amount} for figure in summary.first],
        "height": ceiling_height_in_words(room.plan(), firm.metric),
        "photos": [
            {
                "number": photo.number,
                "wall": "" if photo.wall is None else wall_letter(photo.wall),
                "offset": "" if photo.along_nm is None else format_length(photo.along_nm, firm.metric),
                "away": format_length(photo.away_nm, firm.metric),
                "says": photo.in_words,
            }
            for photo in photos
        ],
        "walls": list(_walls(room, firm.metric)),
        "texts": room_texts(room, firm.metric),
    }


def _walls(room: Room, metric: bool) -> Iterable[str]:
    for wall, (length_nm, _) in enumerate(room.legs):
        yield f"{wall_letter(wall)} {format_length(length_nm, metric)}"
