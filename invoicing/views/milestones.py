"""Milestones of a plan: added, edited, moved, removed, and marked reached."""

from collections.abc import Callable
from functools import wraps

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.money.amounts import format_price
from estimating.forms.photos import takes_photos
from estimating.models import Job
from invoicing.forms.plan import MilestoneAmountField, MilestoneForm, ReachedForm
from invoicing.invoices.billable import amount_due
from invoicing.milestones.reached_work import WorkGroup, groups_reached
from invoicing.models import Milestone, MilestonePhoto
from invoicing.payment_plan.finished_work import (
    changes_apart,
    finish_groups,
    group_label,
    groups_of_work,
)
from invoicing.payment_plan.milestones import is_billed, mark_reached, move_milestone, removal_fault
from invoicing.payment_plan.page import share_in_words
from invoicing.payment_plan.plan import JobPlan, read_plan
from invoicing.payment_plan.signed_schedule import STAYS, schedule_is_signed
from invoicing.views.plan_page import one_transaction, plan_page, to_money, with_plan
from saving.forms import status_of

MilestoneView = Callable[[HttpRequest, Job, JobPlan, Milestone], HttpResponse]


def with_milestone(view: MilestoneView) -> Callable[[HttpRequest, int], HttpResponse]:
    """Call the view with the job, its plan and one milestone of it, posts in one transaction."""

    @wraps(view)
    def wrapped(request: HttpRequest, milestone_id: int) -> HttpResponse:
        milestones = Milestone.objects.select_related("plan__job__client")
        job = get_object_or_404(milestones, pk=milestone_id).plan.job
        with one_transaction(request):
            job_plan = read_plan(job, lock=request.method == "POST")
            rows = job_plan.milestones if job_plan else ()
            milestone = next((row for row in rows if row.pk == milestone_id), None)
            if job_plan is None or milestone is None:
                raise Http404("The line of a change that was canceled.")
            return view(request, job, job_plan, milestone)

    return wrapped


@require_GET
@with_plan
def asks_reading(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    """Show what a share comes to, in words, while it is typed."""
    typed = request.GET.get("asks", "")[:100].replace("\0", "")
    if not typed.strip():
        return HttpResponse("")
    try:
        share, amount = MilestoneAmountField().read(typed)
    except ValueError as error:
        return HttpResponse(escape(str(error)))
    edited = request.GET.get("milestone", "")
    row = next((row for row in job_plan.milestones if row.key == edited), None)
    return HttpResponse(share_in_words(job_plan, share, amount, row))


@require_http_methods(["GET", "POST"])
@with_plan
def milestone_new(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    if schedule_is_signed(job_plan):
        messages.error(request, f"Nothing is added to this schedule. {STAYS}")
        return to_money(job)
    milestone = Milestone(plan=job_plan.payment_plan, position=len(job_plan.milestones))
    form = MilestoneForm(request.POST or None, instance=milestone, job_plan=job_plan)
    if form.is_valid():
        form.save()
        return to_money(job)
    return plan_page(request, job, "milestone", status=status_of(form), form=form, job_plan=job_plan)


@require_http_methods(["GET", "POST"])
@with_milestone
def milestone_edit(request: HttpRequest, job: Job, job_plan: JobPlan, milestone: Milestone) -> HttpResponse:
    name, signed = milestone.name, milestone.change_id is None and schedule_is_signed(job_plan)
    form = MilestoneForm(request.POST or None, instance=milestone, job_plan=job_plan)
    if form.is_valid():
        form.save()
        return to_money(job)
    status = status_of(form)
    return plan_page(
        request,
        job,
        "milestone",
        status=status,
        form=form,
        job_plan=job_plan,
        row=milestone,
        name=name,
        stays=STAYS if signed else "",
    )


@require_POST
@with_milestone
def milestone_move(request: HttpRequest, job: Job, job_plan: JobPlan, milestone: Milestone) -> HttpResponse:
    """Move a milestone up or down by one; at the end of the plan, and once it is signed, it stays."""
    if not schedule_is_signed(job_plan):
        move_milestone(job_plan.milestones, milestone, up=request.POST.get("way") == "up")
    return redirect(f"{reverse('job-money', args=[job.pk])}?order=1#milestone-{milestone.pk}")


@require_http_methods(["GET", "POST"])
@with_milestone
def milestone_remove(request: HttpRequest, job: Job, job_plan: JobPlan, milestone: Milestone) -> HttpResponse:
    """Take a milestone out, where the others sum to the contract without it."""
    fault = removal_fault(job_plan, milestone)
    if request.method == "POST" and not fault:
        milestone.delete()
        return to_money(job)
    status = 422 if request.method == "POST" else 200
    return plan_page(request, job, "milestone_remove", status=status, row=milestone, reason=fault)


@takes_photos
@require_http_methods(["GET", "POST"])
@with_milestone
def milestone_reached(
    request: HttpRequest, job: Job, job_plan: JobPlan, milestone: Milestone
) -> HttpResponse:
    """Mark a milestone reached, with the day and photos; or take the mark back while it isn't billed."""
    today, billed = timezone.localdate(), is_billed(job_plan, milestone)
    if request.method == "POST" and "not-yet" in request.POST:
        if billed:
            messages.error(request, f"{milestone} is billed: credit the bill first.")
        else:
            mark_reached(milestone, None)
        return to_money(job)
    work, guess = _work_to_tick(job_plan, milestone)
    initial = {"reached_on": milestone.reached_on or today, "finished": guess}
    form = ReachedForm(request.POST or None, request.FILES or None, today=today, work=work, initial=initial)
    if form.is_valid():
        reached_on = form.cleaned_data["reached_on"]
        mark_reached(milestone, reached_on, form.cleaned_data["photos"])
        if finished := form.cleaned_data.get("finished"):
            finish_groups(job_plan, finished, reached_on)
        due = amount_due(job_plan, milestone)
        billable = f": {format_price(due)} can be billed" if due > 0 else ""
        messages.success(request, f"{milestone} is complete{billable}.")
        return to_money(job)
    status = status_of(form)
    return plan_page(
        request, job, "milestone_reached", status=status, form=form, row=milestone, billed=billed
    )


def _work_to_tick(job_plan: JobPlan, milestone: Milestone) -> tuple[list[tuple[str, str]], list[str]]:
    """Return the groups of work that a milestone asks about, key and label, and which of them are ticked.

    A deposit asks about none. Ticked is what the milestone stands for, until it is marked reached.
    """
    plan = job_plan.plan
    if plan is None or milestone.is_deposit or not job_plan.contract.is_signed:
        return [], []
    groups = groups_of_work(job_plan)
    work = [
        (group.key, f"{group_label(job_plan, group)}: {_pieces(group)}, {format_price(group.price)}")
        for group in groups
        if not group.is_finished
    ]
    if milestone.reached_on:
        return work, []
    return work, sorted(groups_reached(plan, milestone.key, groups, changes_apart(job_plan)))


def _pieces(group: WorkGroup) -> str:
    count = len(group.lines)
    return f"{count} piece{'s' * (count > 1)} of work"


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
