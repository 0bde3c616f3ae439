"""Permits and the record of lead-safe work of a job, read for pages, papers and the file of the job."""

from base64 import b64encode
from datetime import date
from typing import Any

from catalog.models import Firm
from estimating.client.photos import small_photo
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Job
from estimating.plain_text import day_in_words, list_in_words
from jobsite.models import LeadRecord, OutsideEvent, Permit
from jobsite.permits.lead_papers import LeadHead, LeadWork, pamphlet_snapshot, record_snapshot


def lead_record_of(job: Job) -> LeadRecord:
    """Return the job's record, not saved yet where it has none; the renovator is the one of the last job."""
    if kept := LeadRecord.objects.filter(job=job).first():
        return kept
    last = LeadRecord.objects.exclude(renovator="").order_by("-pk").first()
    known = {"renovator": last.renovator, "certificate": last.certificate} if last else {}
    return LeadRecord(job=job, **known)


def read_pamphlet(job: Job, today: date) -> dict[str, Any]:
    """Return the acknowledgment that the owner signs for the lead pamphlet."""
    return pamphlet_snapshot(_head(job, today), job.work_begins_on, _rooms(job))


def read_lead_record(job: Job, record: LeadRecord, today: date) -> dict[str, Any]:
    """Return the record of lead-safe work, ticked as far as it is entered."""
    work = LeadWork(
        renovator=record.renovator,
        certificate=record.certificate,
        helpers=record.helpers,
        tests=record.tests,
        cloths=record.cloths,
        done=record.done,
        ended_on=record.ended_on,
    )
    return record_snapshot(_head(job, today), work, _rooms(job))


def _head(job: Job, today: date) -> LeadHead:
    firm = Firm.current()
    return LeadHead(
        firm=firm_party(firm),
        client=client_party(job.client),
        job=job.name,
        address=job.address,
        year_built=job.year_built,
        paper_size=firm.paper_size,
        dated=today,
    )


def _rooms(job: Job) -> str:
    return list_in_words(list(job.rooms.values_list("name", flat=True)))


def permits_for_file(job: Job) -> list[dict[str, Any]]:
    """Return permits as the file of a job prints them, with their inspections and small photos of the card.

    Costs three queries.
    """
    rows = Permit.objects.filter(job=job).prefetch_related("inspections", "photos")
    return [
        {
            "name": str(row),
            "facts": _facts(row),
            "inspections": [_inspection(event) for event in row.inspections.all()],
            "photos": [
                {
                    "says": f"The card of {row}",
                    "jpeg": b64encode(small_photo(bytes(photo.content))).decode("ascii"),
                }
                for photo in row.photos.all()
            ],
        }
        for row in rows
    ]


def _facts(row: Permit) -> list[str]:
    days = (
        ("asked for on", row.applied_on),
        ("given on", row.issued_on),
        ("good until", row.expires_on),
        ("closed on", row.closed_on),
    )
    known = [f"{label} {day_in_words(day)}" for label, day in days if day]
    return [row.office, *known] if row.office else known


def _inspection(event: OutsideEvent) -> str:
    on = day_in_words(event.on) if event.on else "no day yet"
    result = event.get_result_display() if event.result else ""
    return ", ".join(filter(None, (event.title, on, result, event.said)))
