"""What a job made, what a year brought, and the files for the bookkeeper."""

import re
from datetime import date
from fractions import Fraction
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from catalog.money.amounts import format_price
from catalog.price_lists.spreadsheet import write_csv
from estimating.contract.lines import contract_rules
from estimating.views.lookups import get_job
from jobsite.hours.progress import JobHours, tenths
from jobsite.hours.read import read_job, read_job_hours
from jobsite.models import ForTheJob, HoursWorked
from jobsite.outcome.drawing import Bar, bars_svg
from jobsite.outcome.job import JobOutcome
from jobsite.outcome.read import YearSoFar, read_call_backs, read_outcome, read_year
from jobsite.receipts.read import read_bought, read_miles
from jobsite.receipts.records import TABLES, months_with_photos, photos_zip, years_of_records


@require_GET
def job_made(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what a job made, on one page that can be printed; while it runs, what it will make."""
    job = get_job(job_id)
    signed = read_job(job)
    hours, bought = read_job_hours(job, signed), read_bought(job, signed)
    outcome = read_outcome(job, signed, hours, bought)
    context: dict[str, Any] = {
        "job": job,
        "place": "days",
        "outcome": outcome,
        "so_far": hours,
        "bought": bought,
        "miles": read_miles(job),
        "extras": HoursWorked.objects.filter(job=job, for_job=ForTheJob.EXTRA)[:20],
        "today": timezone.localdate(),
    }
    if outcome:
        labor_rate = contract_rules(signed.bases[0].basis).labor_rate
        context["call_backs"] = read_call_backs(job, labor_rate)
        context |= {"money_svg": _money_svg(outcome), "hours_svg": _hours_svg(hours)}
    return render(request, "jobsite/job_made.html", context)


def _money_svg(outcome: JobOutcome) -> str:
    """Return labor, what was bought and what is left, as signed and as it is."""
    rows = (
        ("Your hours", outcome.signed.labor, outcome.was.labor),
        ("Bought", outcome.signed.bought, outcome.was.bought),
        ("Left over", outcome.signed.profit, outcome.was.profit),
    )
    bars = [
        Bar(label, f"{format_price(is_now)}, priced {format_price(was)}", Fraction(was), Fraction(is_now))
        for label, was, is_now in rows
    ]
    return _drawn("money", "Where the price went", bars)


def _hours_svg(hours: JobHours) -> str:
    """Return the hours of each phase, priced and taken."""
    bars = [
        Bar(
            phase.label,
            f"{tenths(phase.taken)} h of {tenths(phase.priced)}",
            phase.priced,
            phase.taken,
        )
        for phase in hours.phases
        if phase.priced or phase.taken
    ]
    return _drawn("hours", "Hours by phase", bars)


def _drawn(ident: str, title: str, bars: list[Bar]) -> str:
    return mark_safe(bars_svg(ident, title, bars))  # made by us; ElementTree escapes texts


@require_GET
def year(request: HttpRequest) -> HttpResponse:
    """Show what a year brought against the year that the hourly rate was worked out from."""
    today = timezone.localdate()
    typed = request.GET.get("year", "")
    chosen = int(typed) if typed.isascii() and typed.isdigit() and 2000 <= int(typed[:4]) <= today.year else 0
    so_far = read_year(chosen if len(typed) == 4 and chosen else today.year, today)
    context = {
        "place": "firm-money",
        "so_far": so_far,
        "before": so_far.year - 1 if so_far.year > 2000 else None,
        "after": so_far.year + 1 if so_far.year < today.year else None,
        "parts_svg": _parts_svg(so_far),
        "hours_svg": _year_hours_svg(so_far),
    }
    return render(request, "jobsite/year.html", context)


def _parts_svg(so_far: YearSoFar) -> str:
    bars = [
        Bar(
            part.label,
            f"{format_price(part.earned)} of {format_price(part.wanted)}",
            Fraction(part.wanted),
            Fraction(part.earned),
        )
        for part in so_far.parts
    ]
    return _drawn("parts", "What the year must bring, and what it brought", bars)


def _year_hours_svg(so_far: YearSoFar) -> str:
    hours = so_far.hours
    billable = f"{tenths(hours.billable)} h of {tenths(hours.planned)} in the year"
    bars = [
        Bar("Hours that clients pay for", billable, hours.planned, hours.billable),
        Bar("Nobody pays for", f"{tenths(hours.unpaid)} h", Fraction(0), hours.unpaid),
    ]
    return _drawn("year-hours", "Hours of the year", bars)


@require_GET
def records(request: HttpRequest) -> HttpResponse:
    """Show the files of hours, receipts and miles for the bookkeeper."""
    context = {
        "place": "firm-money",
        "names": list(TABLES),
        "years": years_of_records(),
        "months": months_with_photos(),
    }
    return render(request, "jobsite/records.html", context)


@require_GET
def records_file(request: HttpRequest, name: str) -> HttpResponse:
    """Return one of the files, of a `?year=` or of all, as CSV that a spreadsheet takes no cell of for a
    formula."""
    if name not in TABLES:
        raise Http404
    typed = request.GET.get("year", "")
    year = int(typed) if re.fullmatch(r"20\d\d", typed) else None
    if typed and not year:
        raise Http404
    headings, rows = TABLES[name](year)
    return HttpResponse(
        write_csv(headings, rows).encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers=_download(f"{name}-{year}.csv" if year else f"{name}-to-{timezone.localdate()}.csv"),
    )


@require_GET
def receipt_photos(request: HttpRequest, month: int, year: int) -> HttpResponse:
    """Return the photos of a month's receipts as one zip file."""
    if not (1 <= month <= 12 and 2000 <= year < 2200):
        raise Http404
    first = date(year, month, 1)
    name = f"receipts-{first:%Y-%m}.zip"
    return HttpResponse(photos_zip(first), content_type="application/zip", headers=_download(name))


def _download(name: str) -> dict[str, str]:
    return {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
