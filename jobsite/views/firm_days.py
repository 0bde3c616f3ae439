"""The firm's hours, days off, the order of its jobs, lead times, and its calendars."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jobsite.days.inputs import read_inputs
from jobsite.days.moves import move_job
from jobsite.forms.days import AbsenceForm, LeadTimeForm, WorkWeekForm
from jobsite.models import Absence, CalendarFeed, LeadTime, WorkWeek
from saving.forms import status_of


@require_GET
def firm_days(request: HttpRequest) -> HttpResponse:
    """Show what binds the days of all jobs."""
    today = timezone.localdate()
    context: dict[str, Any] = {
        "week": WorkWeek.current(),
        "absences": Absence.objects.filter(last__gte=today),
        "lead_times": LeadTime.objects.select_related("supplier", "material"),
        "feeds": CalendarFeed.objects.working(),
        "jobs": read_inputs(today).jobs,
        "today": today,
    }
    return _page(request, "firm_days", **context)


@require_http_methods(["GET", "POST"])
def work_week(request: HttpRequest) -> HttpResponse:
    form = WorkWeekForm(request.POST or None, instance=WorkWeek.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Your hours are kept. All jobs are planned by them.")
        return redirect("firm-days")
    return _page(request, "form", status=status_of(form), form=form, title="Your hours", verb="Save hours")


@require_http_methods(["GET", "POST"])
def absence_new(request: HttpRequest) -> HttpResponse:
    """Enter days, or a morning or afternoon, on which nothing is worked."""
    form = AbsenceForm(request.POST or None, initial={"first": timezone.localdate()})
    if form.is_valid():
        form.save()
        messages.success(request, "Kept. The work moves around it.")
        return redirect("firm-days")
    return _page(request, "form", status=status_of(form), form=form, title="Day off", verb="Keep it free")


@require_POST
def absence_remove(request: HttpRequest, absence_id: int) -> HttpResponse:
    Absence.objects.filter(pk=absence_id).delete()
    return redirect("firm-days")


@require_http_methods(["GET", "POST"])
def lead_time_new(request: HttpRequest) -> HttpResponse:
    form = LeadTimeForm(request.POST or None)
    if form.is_valid():
        form.save()
        return redirect("firm-days")
    title = "Days from order to arrival"
    return _page(request, "form", status=status_of(form), form=form, title=title, verb="Save")


@require_POST
def lead_time_remove(request: HttpRequest, lead_time_id: int) -> HttpResponse:
    LeadTime.objects.filter(pk=lead_time_id).delete()
    return redirect("firm-days")


@require_POST
def job_order(request: HttpRequest, job_id: int) -> HttpResponse:
    """Put a job one place up or down: the upper is planned first where both want the same hours."""
    order = [job.pk for job in read_inputs(timezone.localdate()).jobs]
    move_job(order, job_id, up="up" in request.POST)
    return redirect("firm-days")


def _page(request: HttpRequest, name: str, *, status: int = 200, **context: Any) -> HttpResponse:
    return render(request, f"jobsite/days/{name}.html", {"place": "firm-days", **context}, status=status)
