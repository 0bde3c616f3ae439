"""The days of a job: three weeks, one step, what comes from outside."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.phases import Phase
from estimating.models import Job
from estimating.views.lookups import get_job
from jobsite.days.job_steps import forget_steps
from jobsite.days.moves import CannotMove, move_step, note_progress
from jobsite.days.page import days_page
from jobsite.days.plan import Days, read_days, solve_next
from jobsite.days.planned import PlannedStep
from jobsite.forms.days import JobDaysForm, MoveForm, OutsideEventForm, ProgressForm, work_choices
from jobsite.models import JobDays, OutsideEvent, StepDate
from saving.forms import status_of
from saving.once import keeps_own_transactions


@require_GET
def days(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the next three weeks, or those from a day on."""
    job, today = get_job(job_id), timezone.localdate()
    found = read_days(today, job)
    first = _typed_day(request.GET.get("from", ""))
    page = days_page(found, job, first, today)
    return _page(request, job, "days", page=page, today=today)


def _typed_day(text: str) -> date | None:
    """Return the day in an address; None for anything that is none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if 2000 <= day.year < 2200 else None


@keeps_own_transactions
@require_POST
def days_best(request: HttpRequest, job_id: int) -> HttpResponse:
    """Look for the shortest plan, which takes some seconds, while others save.

    With htmx the page is told to refresh itself; without, the answer leads back to it.
    """
    job = get_job(job_id)
    solve_next(timezone.localdate(), job)
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Trigger": "better-found"})
    return redirect("days", job.pk)


@require_POST
def days_again(request: HttpRequest, job_id: int) -> HttpResponse:
    """Plan what is left again from here: steps are made anew from the work, what is done is left out."""
    job, today = get_job(job_id), timezone.localdate()
    forget_steps(job)
    JobDays.objects.update_or_create(job=job, defaults={"replanned_on": today})
    finish = read_days(today, job).plan.finish(job.pk)
    if finish:
        messages.success(request, f"Planned again from today: it ends {finish:%a} {finish.day} {finish:%b}.")
    else:
        messages.success(request, "Nothing is left to plan: all of the work is done, or there is none yet.")
    return redirect("days", job.pk)


@require_http_methods(["GET", "POST"])
def days_begin(request: HttpRequest, job_id: int) -> HttpResponse:
    """Ask from when a job can be worked on."""
    job = get_job(job_id)
    form = JobDaysForm(request.POST or None, instance=job)
    if form.is_valid():
        form.save()
        return redirect("days", job.pk)
    return _page(request, job, "begin", status=status_of(form), form=form)


@require_http_methods(["GET", "POST"])
def days_step(request: HttpRequest, job_id: int, step: str) -> HttpResponse:
    """Show why a step lies where it lies, and move it."""
    job, today = get_job(job_id), timezone.localdate()
    found = read_days(today, job)
    placed = _get_step(found, job, step)
    form = MoveForm(request.POST or None, today=today)
    if form.is_valid():
        try:
            words = move_step(found, job, placed, form.cleaned_data["move"], form.cleaned_data["day"])
        except CannotMove as error:
            form.add_error("day", str(error))
        else:
            messages.success(request, words)
            return redirect("days-step", job.pk, step)
    context = _step_context(found, job, placed, today)
    progress = ProgressForm()
    return _page(request, job, "step", status=status_of(form), form=form, progress=progress, **context)


@require_POST
def days_step_done(request: HttpRequest, job_id: int, step: str) -> HttpResponse:
    """Keep how much of a step is left: nothing once it is done."""
    job, now = get_job(job_id), timezone.localtime()
    found = read_days(now.date(), job)
    placed = _get_step(found, job, step)
    form = ProgressForm(request.POST)
    if not form.is_valid():
        context = _step_context(found, job, placed, now.date())
        move = MoveForm(today=now.date())
        return _page(request, job, "step", status=422, form=move, also=form, progress=form, **context)
    left = form.cleaned_data["hours_left"]
    note_progress(job, placed, left, now)
    messages.success(request, f"{placed.title}: {f'{left:g} hours left' if left else 'done'}.")
    return redirect("days", job.pk)


def _get_step(found: Days, job: Job, key: str) -> PlannedStep:
    placed = found.plan.step(job.pk, key)
    if placed is None:
        raise Http404("The plan has no such step.")
    return placed


def _step_context(found: Days, job: Job, placed: PlannedStep, today: date) -> dict[str, Any]:
    faults = found.plan.faults.get(job.pk, ())
    return {
        "step": placed,
        "today": today,
        "faults": [words for words in faults if words.startswith(placed.title)],
        "finish": found.plan.finish(job.pk),
        "of_this_work": [step for step in found.plan.of_job(job.pk) if step.place == placed.place],
        "dates": StepDate.Kind,
    }


@require_http_methods(["GET", "POST"])
def days_event_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Note something that others bring, do or decide."""
    job = get_job(job_id)
    return _event_form(request, job, OutsideEvent(job=job))


@require_http_methods(["GET", "POST"])
def days_event(request: HttpRequest, job_id: int, event_id: int) -> HttpResponse:
    job = get_job(job_id)
    return _event_form(request, job, get_object_or_404(OutsideEvent, pk=event_id, job=job))


def _event_form(request: HttpRequest, job: Job, event: OutsideEvent) -> HttpResponse:
    today = timezone.localdate()
    found = read_days(today, job)
    form = OutsideEventForm(request.POST or None, instance=event, work=_work(found, job), today=today)
    if form.is_valid():
        kept = form.save(commit=False)
        kept.lead_days = form.cleaned_data["lead_days"]
        kept.save()
        return redirect("days", job.pk)
    return _page(request, job, "event", status=status_of(form), form=form, event=event)


def _work(found: Days, job: Job) -> list[tuple[str, Any]]:
    """Return the work of a job that can wait for something."""
    facts = found.inputs.steps[job.pk].facts.values() if job.pk in found.inputs.steps else ()
    there = {fact.phase for fact in facts}
    phases = [(f"phase:{phase}", label) for phase, label in Phase.choices if phase in there]
    return work_choices(phases, [(f"line:{fact.document}:{fact.line}", fact.title) for fact in facts])


@require_POST
def days_event_remove(request: HttpRequest, job_id: int, event_id: int) -> HttpResponse:
    job = get_job(job_id)
    OutsideEvent.objects.filter(pk=event_id, job=job).delete()
    return redirect("days", job.pk)


def _page(request: HttpRequest, job: Job, name: str, *, status: int = 200, **context: Any) -> HttpResponse:
    context |= {"job": job, "place": "days"}
    return render(request, f"jobsite/days/{name}.html", context, status=status)
