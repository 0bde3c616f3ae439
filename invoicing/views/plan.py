"""The plan of payments: drawn, edited, and its milestones marked reached."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from datetime import date
from functools import wraps
from hashlib import sha256
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.money import format_price
from estimating.models import Job
from estimating.views.changes import get_change, to_signed
from estimating.views.work import get_job
from invoicing.agreed import work_lines
from invoicing.forms.plan import ChangeGoesForm, MilestoneForm, PatternForm, PlanTermsForm, ReachedForm
from invoicing.milestones import PlanFault
from invoicing.models import (
    FinishedWork,
    Milestone,
    MilestonePhoto,
    Pattern,
    PaymentPlan,
    PlacedPart,
    PlannedChange,
)
from invoicing.patterns import SHIPPED, Step, with_a_balance
from invoicing.plan_rows import billed_and_done, plan_cautions, plan_rows, rule_in_words
from invoicing.plans import DrawnPlan, agreed_of, check_rows, draw, keep_pattern, read_plan, steps_of


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


def _one_transaction(request: HttpRequest) -> AbstractContextManager:
    """For posts alone: on SQLite a transaction keeps others from writing, and reading needs none."""
    return transaction.atomic() if request.method == "POST" else nullcontext()


def with_plan(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Call the view with the job and its plan, posts in one transaction; where none is drawn, go and draw
    one."""

    @wraps(view)
    def found(request: HttpRequest, job_id: int, **more: Any) -> HttpResponse:
        job = get_job(job_id)
        with _one_transaction(request):
            drawn = drawn_plan(job)
            return to_money(job) if drawn is None else view(request, job, drawn, **more)

    return found


def of_milestone(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Call the view with the job, its plan and one row of it, posts in one transaction."""

    @wraps(view)
    def found(request: HttpRequest, milestone_id: int) -> HttpResponse:
        milestones = Milestone.objects.select_related("plan__job__client")
        job = get_object_or_404(milestones, pk=milestone_id).plan.job
        with _one_transaction(request):
            drawn = drawn_plan(job)
            row = get_object_or_404(Milestone, pk=milestone_id)
            if drawn is None or row not in drawn.rows:
                raise Http404("The line of a change that was canceled.")
            rows = tuple(row if each.pk == row.pk else each for each in drawn.rows)
            return view(request, job, drawn, row, rows)

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
            messages.error(request, f"{fault}")
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
    return show(request, job, "plan_terms", status=422 if form.is_bound else 200, form=form, drawn=drawn)


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
    return show(request, job, "plan_discard")


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
    return show(request, job, "plan_keep", status=status, form=form, patterns=Pattern.objects.all())


@require_POST
def pattern_remove(request: HttpRequest, job_id: int, pattern_id: int) -> HttpResponse:
    """Plans drawn from it stay as they are."""
    Pattern.objects.filter(pk=pattern_id).delete()
    return redirect("plan-keep", get_job(job_id).pk)


@require_http_methods(["GET", "POST"])
@with_plan
def milestone_new(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    row = Milestone(plan=drawn.kept, position=len(drawn.rows))
    form = MilestoneForm(request.POST or None, instance=row, drawn=drawn)
    if form.is_valid():
        form.save()
        return to_money(job)
    return show(request, job, "milestone", status=422 if form.is_bound else 200, form=form, drawn=drawn)


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_edit(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    name = row.name
    form = MilestoneForm(request.POST or None, instance=row, drawn=drawn)
    if form.is_valid():
        form.save()
        return to_money(job)
    status = 422 if form.is_bound else 200
    return show(request, job, "milestone", status=status, form=form, drawn=drawn, row=row, name=name)


@require_POST
@of_milestone
def milestone_move(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Up or down by one; at the end of the plan it stays."""
    order = list(rows)
    place = order.index(row)
    order.insert(max(place + (-1 if request.POST.get("way") == "up" else 1), 0), order.pop(place))
    for position, each in enumerate(order):
        each.position = position
    Milestone.objects.bulk_update(order, ["position"])
    return redirect(f"{reverse('job-money', args=[job.pk])}?order=1#milestone-{row.pk}")


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_remove(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Take a milestone out, where the others still sum to the contract without it."""
    if row.placed_parts.exists():
        reason = f"{row} carries a signed change: it must stay in the plan."
    else:
        reason = _why_it_stays(drawn, [each for each in rows if each != row])
    if request.method == "POST" and not reason:
        row.delete()
        return to_money(job)
    status = 422 if request.method == "POST" else 200
    return show(request, job, "milestone_remove", status=status, row=row, reason=reason)


def _why_it_stays(drawn: DrawnPlan, rows: list[Milestone]) -> str:
    try:
        check_rows(drawn, rows)
    except PlanFault as fault:
        return str(fault)
    return ""


@require_http_methods(["GET", "POST"])
@of_milestone
def milestone_reached(
    request: HttpRequest, job: Job, drawn: DrawnPlan, row: Milestone, rows: tuple[Milestone, ...]
) -> HttpResponse:
    """Mark a milestone reached, with the day and photos; or take the mark back while it isn't billed."""
    today = timezone.localdate()
    billed = any(line.milestone == row.key for line in drawn.history)
    if request.method == "POST" and "not-yet" in request.POST:
        if billed:
            messages.error(request, f"{row} is billed: credit the bill first.")
        else:
            Milestone.objects.filter(pk=row.pk).update(reached_on=None)
        return to_money(job)
    form = ReachedForm(
        request.POST or None,
        request.FILES or None,
        today=today,
        initial={"reached_on": row.reached_on or today},
    )
    if form.is_valid():
        Milestone.objects.filter(pk=row.pk).update(reached_on=form.cleaned_data["reached_on"])
        for content in form.cleaned_data["photos"]:
            row.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults={"content": content})
        messages.success(request, f"{row} is reached{_worth(drawn, row)}.")
        return to_money(job)
    status = 422 if form.is_bound else 200
    return show(request, job, "milestone_reached", status=status, form=form, row=row, billed=billed)


def _worth(drawn: DrawnPlan, row: Milestone) -> str:
    return f": {format_price(drawn.left[row.key])} can be billed" if drawn.plan else ""


@require_GET
def milestone_photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(MilestonePhoto, pk=photo_id)
    headers = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}
    return HttpResponse(bytes(photo.content), content_type="image/jpeg", headers=headers)


@require_POST
def milestone_photo_remove(request: HttpRequest, photo_id: int) -> HttpResponse:
    photo = get_object_or_404(MilestonePhoto, pk=photo_id)
    photo.delete()
    return redirect("milestone-reached", photo.milestone_id)


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
    return show(request, job, "work_done", drawn=drawn, rows=rows)


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
    return show(request, job, "change_goes", status=422 if form.is_bound else 200, form=form, change=change)
