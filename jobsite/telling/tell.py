"""Telling the client the days: kept, told by the signed estimate's history, and mailed with a calendar."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from catalog.models import Firm
from estimating.client.mail import addresses_of, mail_days
from estimating.events import states
from estimating.models import Document, Job
from estimating.plain_text import day_in_words
from jobsite.models import CalendarEntry, ToldDates
from jobsite.telling import client_days
from jobsite.telling.calendar import calendar_file, keep_entries, told_entries
from jobsite.telling.client_days import ClientDays, in_lines


def tell(job: Job, document: Document, days: ClientDays, reason: str, at: datetime) -> list[str]:
    """Tell the client these days; return the addresses that they are mailed to."""
    today = at.date()
    before = client_days.told_last(job)
    addresses, firm = addresses_of(document), Firm.current()
    context = {
        "reason": reason,
        "begins": day_in_words(days.begins) if days.begins > today else "",
        "verb": "goes on" if days.under_way else "begins",
        "finish": day_in_words(days.finish),
        "told_before": day_in_words(before.finish) if before and before.finish != days.finish else "",
        "home": in_lines(days.to_come(today).home, today),
        "decide": in_lines(days.to_come(today).decide, today),
    }
    with transaction.atomic():
        ToldDates.objects.create(
            job=job,
            document=document,
            begins=days.begins,
            finish=days.finish,
            reason=reason,
            content=client_days.as_json(days),
            sent_to=", ".join(addresses)[:254],
            told_at=at,
        )
        document.record(
            states.DATES,
            at,
            {"finish": days.finish.isoformat(), "reason": reason, "to": ", ".join(addresses)},
        )
        keep_entries(CalendarEntry.TOLD, {job.pk: told_entries(days)}, at)
        mail_days(document, context, client_calendar(job, firm), addresses, firm, at)
    return addresses


def client_calendar(job: Job, firm: Firm) -> bytes:
    """Return the calendar file of the days that the client was told last. Costs a query."""
    rows = CalendarEntry.objects.filter(job=job, kind=CalendarEntry.TOLD).select_related("job__client")
    return calendar_file(rows, f"{job.name}, {firm.name}", settings.TIME_ZONE, lambda row: firm.name)
