"""What the client is told of the days, and the weeks on paper."""

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from catalog.models import Firm
from estimating.client import outbox
from estimating.client.signing import Visit
from estimating.models import Job
from estimating.views.client.page import for_client
from estimating.views.lookups import get_job
from jobsite.days.inputs import off_days
from jobsite.days.page import notes_by_day, worked_weekdays
from jobsite.days.plan import read_days
from jobsite.days.planned import monday_of
from jobsite.days.supplies import supply_runs
from jobsite.days.weeks import lay_out_weeks
from jobsite.forms.days import TellForm
from jobsite.hours.read import read_job
from jobsite.models import OutsideEvent
from jobsite.telling.client_days import days_for_client, told_last, weeks_to_show
from jobsite.telling.tell import client_calendar, tell
from saving.forms import status_of
from saving.once import keeps_own_transactions


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def days_tell(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what the client will read; send it with the reason."""
    job, now = get_job(job_id), timezone.localtime()
    found = read_days(now.date(), job)
    document, days = found.contract(job), days_for_client(found, job, now.date())
    told = told_last(job)
    form = TellForm(request.POST if request.method == "POST" else None, needs_reason=told is not None)
    context = {"job": job, "place": "days", "days": days, "told": told, "today": now.date(), "form": form}
    context["weeks"] = weeks_to_show(days, now.date()) if days else ()
    if document is None or days is None:
        return render(
            request, "jobsite/days/tell.html", context, status=409 if request.method == "POST" else 200
        )
    if form.is_valid():
        to = tell(job, document, days, form.cleaned_data["reason"], now)
        outbox.wake()
        mailed = f"They go by mail to {', '.join(to)}." if to else "No address is known: nothing is mailed."
        messages.success(request, f"The days stand on the client's page. {mailed}")
        return redirect("days", job.pk)
    return render(request, "jobsite/days/tell.html", context, status=status_of(form))


@require_GET
def days_week_door(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a week for the client's refrigerator door, on one page."""
    return _week(request, get_job(job_id), "door")


@require_GET
def days_week_site(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a week with its steps and materials, on one page."""
    return _week(request, get_job(job_id), "site")


def _week(request: HttpRequest, job: Job, kind: str) -> HttpResponse:
    today = timezone.localdate()
    found = read_days(today, job)
    monday = _week_of(request, found.plan.begins(job.pk) or today, today)
    steps = [step for step in found.plan.in_order() if kind == "site" or step.job == job.pk]
    rows = list(OutsideEvent.objects.filter(job__in=found.inputs.jobs if kind == "site" else [job]))
    weeks = lay_out_weeks(
        steps,
        job.pk,
        monday,
        1,
        today,
        off_days(found.inputs, monday, monday + timedelta(days=6)),
        notes_by_day(found, job, rows, today) if kind == "site" else {},
        found.names(),
        worked_weekdays(found.inputs),
    )
    context: dict[str, Any] = {
        "job": job,
        "place": "days",
        "week": weeks[0],
        "today": today,
        "firm": Firm.current(),
        "days": days_for_client(found, job, today),
        "before": monday - timedelta(days=7),
        "after": monday + timedelta(days=7),
        "sunday": monday + timedelta(days=6),
        "finish": found.plan.finish(job.pk),
    }
    return render(request, f"jobsite/days/week_{kind}.html", context)


def _week_of(request: HttpRequest, begins: date, today: date) -> date:
    """Return the Monday that is asked for; else that of this week, or of the job's first."""
    try:
        asked = date.fromisoformat(request.GET.get("from", ""))
    except ValueError:
        return monday_of(max(begins, today))
    return monday_of(asked) if 2000 <= asked.year < 2200 else monday_of(today)


@require_GET
def days_supplies(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show what is bought on which day, by supplier."""
    job, today = get_job(job_id), timezone.localdate()
    found = read_days(today, job)
    runs = supply_runs(found, job, [basis.basis for basis in read_job(job).bases])
    context = {"job": job, "place": "days", "runs": runs, "today": today}
    return render(request, "jobsite/days/supplies.html", context)


@for_client
@require_GET
def client_days_file(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the days that the client was told as a calendar file."""
    content = client_calendar(visit.link.document.job, Firm.current())
    headers = {"Content-Disposition": 'attachment; filename="days.ics"'}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)
