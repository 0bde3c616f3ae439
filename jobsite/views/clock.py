"""The running clock: started with two taps, switched, stopped; asked about where it was forgotten."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from estimating.models import Job
from estimating.plain_text import day_in_words
from estimating.views.lookups import get_job
from jobsite.forms.hours import ForgottenClockForm, token_of
from jobsite.hours.day import day_fault
from jobsite.hours.read import SignedWork, read_day, read_job, read_signed, targets_of
from jobsite.hours.running import read_clock, start_clock, stop_clock, time_of
from jobsite.hours.targets import open_groups
from jobsite.models import HoursWorked, RunningClock
from saving.forms import status_of

LATELY, OFFERED = 60, 4


@require_GET
def clock(request: HttpRequest) -> HttpResponse:
    """Show the clock that runs, and all that it can be started on or switched to."""
    jobs = list(Job.objects.open_jobs())
    signed = read_signed(jobs)
    running = read_clock()
    context = {
        "place": "today",
        "running": running and shown_clock(running),
        "lately": _lately(jobs, signed),
        "jobs": [(job, open_groups(signed[job.pk].groups())) for job in _signed_first(jobs, signed)],
        "unsigned": [job for job in jobs if job.pk not in signed],
    }
    return render(request, "jobsite/clock.html", context)


def shown_clock(running: RunningClock) -> dict[str, Any]:
    """Return what pages show of the clock that runs. Costs two queries."""
    return {
        "clock": running,
        "label": read_job(running.job).label_of(running),
        "time": time_of(running, timezone.now()),
    }


@require_POST
def clock_start(request: HttpRequest, job_id: int) -> HttpResponse:
    """Start the clock on something of a job; what ran before is stopped and kept."""
    job, now = get_job(job_id), timezone.now()
    signed = read_job(job)
    target = targets_of(signed).get(request.POST.get("on_what", ""))
    if target is None:
        messages.error(request, "That can't be worked on any more. Choose something else.")
        return redirect("clock")
    running = read_clock()
    if running and time_of(running, now).was_forgotten:
        messages.warning(request, "First say how long you worked: the clock was still running.")
        return redirect("clock-stop")
    if running:
        _stop(request, running)
    start_clock(job, target, now)
    messages.success(request, f"The clock runs: {target.label}.")
    return redirect("clock")


@require_http_methods(["GET", "POST"])
def clock_stop(request: HttpRequest) -> HttpResponse:
    """Stop the clock and keep what was worked; where it was forgotten, ask first."""
    running, now = read_clock(), timezone.now()
    if running is None:
        messages.warning(request, "No clock is running.")
        return redirect("clock")
    ran = time_of(running, now)
    if not ran.was_forgotten and request.method == "POST":
        _stop(request, running)
        return redirect("hours", running.job_id)
    answered = request.POST if "worked" in request.POST else None
    form = ForgottenClockForm(answered)
    if form.is_valid():
        signed, day = read_job(running.job), ran.started.date()
        fault = day_fault(form.cleaned_data["worked"], read_day(day, signed, running.job), day_in_words(day))
        if not fault:
            kept = stop_clock(running, form.cleaned_data["worked"])
            messages.success(request, f"{kept} kept for {day_in_words(day)}.")
            return redirect("hours", running.job_id)
        form.add_error("worked", fault)
    context = {"place": "today", "form": form, "running": shown_clock(running)}
    return render(request, "jobsite/clock_stop.html", context, status=status_of(form))


@require_POST
def clock_drop(request: HttpRequest) -> HttpResponse:
    """Throw away what a clock ran: nothing is kept of it."""
    if running := read_clock():
        stop_clock(running, None)
        messages.success(request, "The clock is stopped, and nothing is kept of it.")
    return redirect("clock")


def _stop(request: HttpRequest, running: RunningClock) -> None:
    """Keep what was worked; say where it can't be beside other hours of the day."""
    worked, signed = time_of(running, timezone.now()).worked(), read_job(running.job)
    kept = stop_clock(running, worked)
    if worked is None or kept is None:
        messages.warning(request, "The clock ran less than a minute: nothing is kept of it.")
        return
    edit = reverse("hours-edit", args=[kept.pk])
    words = '{} kept, on {}. <a href="{}">Wrong? Correct it</a>'
    messages.success(request, format_html(words, kept, signed.label_of(kept), edit))
    if fault := day_fault(worked, read_day(kept.on, signed, running.job, kept.pk), day_in_words(kept.on)):
        messages.warning(request, f"Both are kept, but: {fault}")


def _signed_first(jobs: list[Job], signed: Mapping[int, SignedWork]) -> list[Job]:
    """Return the jobs that have something signed, the one worked on last first. Costs a query."""
    rows = HoursWorked.objects.filter(job__in=[job for job in jobs if job.pk in signed])
    last = list(dict.fromkeys(rows.order_by("-pk").values_list("job", flat=True)[:LATELY]))
    order = {pk: place for place, pk in enumerate(last)}
    return sorted((job for job in jobs if job.pk in signed), key=lambda job: order.get(job.pk, len(order)))


def _lately(jobs: list[Job], signed: Mapping[int, SignedWork]) -> list[dict[str, Any]]:
    """Return what was worked on last and can be again, each once. Costs a query."""
    by_pk, targets = {job.pk: job for job in jobs}, {}
    found: dict[tuple[int, str], dict[str, Any]] = {}
    for row in HoursWorked.objects.filter(job__in=jobs).order_by("-pk")[:LATELY]:
        if row.job_id not in targets:
            targets[row.job_id] = targets_of(signed.get(row.job_id, SignedWork()))
        target = targets[row.job_id].get(token_of(row))
        if target and not target.is_finished:
            found.setdefault((row.job_id, target.token), {"job": by_pk[row.job_id], "target": target})
    return list(found.values())[:OFFERED]
