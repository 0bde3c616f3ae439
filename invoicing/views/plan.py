"""The plan of payments: drawn, its terms, kept as a pattern; and which work is finished."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from datetime import date
from functools import wraps
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from estimating.models import Job
from estimating.views.changes.drafts import get_change, to_signed
from estimating.views.lookups import get_job
from invoicing.forms.plan import ChangeGoesForm, PatternForm, PlanTermsForm
from invoicing.milestones.contract_amounts import work_lines
from invoicing.milestones.plan import PlanFault
from invoicing.milestones.templates import SHIPPED, Step, with_a_balance
from invoicing.models import (
    FinishedWork,
    Pattern,
    PaymentPlan,
    PlacedPart,
    PlannedChange,
)
from invoicing.payment_plan.page import billed_and_done, plan_cautions, plan_rows, rule_in_words
from invoicing.payment_plan.plan import DrawnPlan, agreed_of, draw, keep_pattern, read_plan, steps_of


def plan_context(job: Job, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    drawn = read_plan(job)
    if drawn is None:
        return {"agreed": agreed_of(job), "patterns": [*SHIPPED, *Pattern.objects.all()]}
    return {
        "drawn": drawn,
        "agreed": drawn.agreed,
        "plan_rows": plan_rows(drawn),
        "plan_cautions": plan_cautions(drawn, job.state, today),
        "state_rule": rule_in_words(job.state, job.get_state_display()),
        "ahead": billed_and_done(drawn, job.state),
    }


def show(request: HttpRequest, job: Job, template: str, status: int = 200, **context: Any) -> HttpResponse:
    return render(
        request, f"invoicing/{template}.html", {"job": job, "place": "money", **context}, status=status
    )


def to_money(job: Job) -> HttpResponse:
    return redirect("job-money", job.pk)


def drawn_plan(job: Job) -> DrawnPlan | None:
    """The job's plan, locked where a transaction is open, so that nobody bills by it meanwhile."""
    if transaction.get_connection().in_atomic_block:
        PaymentPlan.objects.select_for_update().filter(job=job).first()
    return read_plan(job)


def one_transaction(request: HttpRequest) -> AbstractContextManager:
    """For posts alone: on SQLite a transaction keeps others from writing, and reading needs none."""
    return transaction.atomic() if request.method == "POST" else nullcontext()


def with_plan(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Call the view with the job and its plan, posts in one transaction; where none is drawn, go and draw
    one."""

    @wraps(view)
    def found(request: HttpRequest, job_id: int, **more: Any) -> HttpResponse:
        job = get_job(job_id)
        with one_transaction(request):
            drawn = drawn_plan(job)
            return to_money(job) if drawn is None else view(request, job, drawn, **more)

    return found


@require_POST
def plan_draw(request: HttpRequest, job_id: int) -> HttpResponse:
    """Draw a plan from a pattern; a job that has one keeps it."""
    job = get_job(job_id)
    if not PaymentPlan.objects.filter(job=job).exists():
        steps, pattern = _steps(request.POST.get("pattern", ""))
        try:
            draw(job, steps, pattern)
        except PlanFault as fault:
            messages.error(request, f"That pattern doesn't fit this job. {fault} Draw from another one.")
    return to_money(job)


def _steps(chosen: str) -> tuple[tuple[Step, ...], Pattern | None]:
    """The milestones of the chosen pattern: one that comes with the program, or one that he kept."""
    shipped = next((each for each in SHIPPED if each.code == chosen), None)
    if shipped:
        return shipped.steps, None
    pattern = get_object_or_404(Pattern, pk=int(chosen) if chosen.isascii() and chosen.isdigit() else 0)
    return with_a_balance(steps_of(pattern)), pattern


@require_http_methods(["GET", "POST"])
@with_plan
def plan_terms(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    form = PlanTermsForm(request.POST or None, instance=drawn.kept, drawn=drawn)
    if form.is_valid():
        form.save()
        return to_money(job)
    return show(
        request, job, "payment_plan/terms", status=422 if form.is_bound else 200, form=form, drawn=drawn
    )


@require_http_methods(["GET", "POST"])
@with_plan
def plan_discard(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    """Throw the plan away, while nothing is billed by it."""
    if drawn.history:
        messages.error(request, "Bills were made by this plan: it stays. Edit its milestones instead.")
        return to_money(job)
    if request.method == "POST":
        PlacedPart.objects.filter(milestone__plan=drawn.kept).delete()
        drawn.kept.delete()
        messages.success(request, "The plan is thrown away. Draw another.")
        return to_money(job)
    return show(request, job, "payment_plan/discard")


@require_http_methods(["GET", "POST"])
@with_plan
def plan_keep(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    """Keep the plan as a pattern, to be used on other jobs."""
    form = PatternForm(request.POST or None)
    if form.is_valid():
        pattern = keep_pattern(drawn, form.cleaned_data["name"])
        messages.success(request, f"“{pattern}” is kept: draw the next job's plan from it.")
        return to_money(job)
    status = 422 if form.is_bound else 200
    return show(
        request, job, "payment_plan/save_template", status=status, form=form, patterns=Pattern.objects.all()
    )


@require_POST
def pattern_remove(request: HttpRequest, job_id: int, pattern_id: int) -> HttpResponse:
    """Plans drawn from it stay as they are."""
    Pattern.objects.filter(pk=pattern_id).delete()
    return redirect("plan-keep", get_job(job_id).pk)


@require_http_methods(["GET", "POST"])
@with_plan
def work_done(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    """Tick which work of the contract is finished."""
    marks = FinishedWork.objects.filter(document__job=job)
    lines = work_lines(drawn.agreed.papers, marks.values_list("document_id", "key"))
    if request.method == "POST" and drawn.agreed.is_signed:
        ticked = {line.line.place for line in lines if _name_of(line.line.place) in request.POST}
        known = {(mark.document_id, mark.key): mark for mark in marks}
        marks.filter(pk__in=[mark.pk for place, mark in known.items() if place not in ticked]).delete()
        FinishedWork.objects.bulk_create(
            FinishedWork(document_id=document, key=key, finished_on=timezone.localdate())
            for document, key in sorted(ticked - set(known))
        )
        return to_money(job)
    rows = [(_name_of(each.line.place), each) for each in lines]
    return show(request, job, "payment_plan/work_done", drawn=drawn, rows=rows)


def _name_of(place: tuple[int, str]) -> str:
    return f"done-{place[0]}-{place[1]}"


@require_http_methods(["GET", "POST"])
def change_goes(request: HttpRequest, change_id: int) -> HttpResponse:
    """Where the money of a change goes once it is signed; by default it goes the plan's way."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    job = change.job
    drawn = read_plan(job)
    if drawn is None:
        messages.info(request, "No plan is drawn yet. Draw one, then say where the change goes.")
        return to_money(job)
    planned = PlannedChange.objects.filter(change=change).first()
    planned = planned or PlannedChange(change=change, goes=drawn.kept.changes_go)
    form = ChangeGoesForm(request.POST or None, instance=planned)
    if form.is_valid():
        form.save()
        return redirect(change)
    return show(
        request,
        job,
        "payment_plan/change_placement",
        status=422 if form.is_bound else 200,
        form=form,
        change=change,
    )
