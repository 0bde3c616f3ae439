"""The payment schedule: made, its terms, saved as a template; which work is finished; where changes go."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from estimating.models import Job
from estimating.views.changes.drafts import get_change, redirect_if_signed
from estimating.views.lookups import get_job
from invoicing.forms.plan import ChangePlacementForm, PlanTermsForm, TemplateForm
from invoicing.milestones.contract_amounts import ContractAmounts
from invoicing.milestones.plan import PlanFault
from invoicing.milestones.templates import SHIPPED_TEMPLATES, PlanTemplateStep, with_a_balance
from invoicing.models import Pattern, PaymentPlan, PlacedPart, PlannedChange
from invoicing.payment_plan.changes import open_milestones
from invoicing.payment_plan.finished_work import (
    compare_billing,
    group_label,
    groups_of_work,
    mark_finished,
)
from invoicing.payment_plan.page import plan_cautions, plan_rows, rule_in_words
from invoicing.payment_plan.plan import JobPlan, read_plan
from invoicing.payment_plan.signed_schedule import STAYS, schedule_is_signed
from invoicing.payment_plan.templates import create_plan, save_template, template_steps
from invoicing.views.plan_page import plan_page, to_money, with_plan
from saving.forms import Ticks, status_of


def plan_context(
    job: Job, job_plan: JobPlan | None, contract: ContractAmounts, today: date
) -> dict[str, Any]:
    """Return what this part of the job's Money page shows."""
    if job_plan is None:
        return {"contract": contract, "templates": [*SHIPPED_TEMPLATES, *Pattern.objects.all()]}
    return {
        "job_plan": job_plan,
        "plan_is_signed": schedule_is_signed(job_plan),
        "contract": contract,
        "plan_rows": plan_rows(job_plan),
        "plan_cautions": plan_cautions(job_plan, job.state, today),
        "state_rule": rule_in_words(job.state, job.get_state_display()),
        "comparison": compare_billing(job_plan, job.state),
    }


@require_POST
def plan_set_up(request: HttpRequest, job_id: int) -> HttpResponse:
    """Make a plan from a template; a job that has one keeps it."""
    job = get_job(job_id)
    if not PaymentPlan.objects.filter(job=job).exists():
        steps, template = _chosen_template(request.POST.get("pattern", ""))
        try:
            create_plan(job, steps, template)
        except PlanFault as fault:
            messages.error(request, f"That template doesn't fit this job. {fault} Start from another one.")
    return to_money(job)


def _chosen_template(chosen: str) -> tuple[tuple[PlanTemplateStep, ...], Pattern | None]:
    """Return the steps of the chosen template, shipped or saved, and the row of a saved one."""
    shipped = next((template for template in SHIPPED_TEMPLATES if template.code == chosen), None)
    if shipped:
        return shipped.steps, None
    template = get_object_or_404(Pattern, pk=int(chosen) if chosen.isascii() and chosen.isdigit() else 0)
    return with_a_balance(template_steps(template)), template


@require_http_methods(["GET", "POST"])
@with_plan
def plan_terms(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    form = PlanTermsForm(request.POST or None, instance=job_plan.payment_plan, job_plan=job_plan)
    if form.is_valid():
        form.save()
        return to_money(job)
    return plan_page(request, job, "terms", status=status_of(form), form=form, job_plan=job_plan)


@require_http_methods(["GET", "POST"])
@with_plan
def plan_discard(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    """Throw the schedule away, while nothing is billed by it."""
    if job_plan.history:
        messages.error(request, "Bills were made by this schedule: it stays. Edit its milestones instead.")
        return to_money(job)
    if schedule_is_signed(job_plan):
        messages.error(request, f"The schedule stays. {STAYS}")
        return to_money(job)
    if request.method == "POST":
        PlacedPart.objects.filter(milestone__plan=job_plan.payment_plan).delete()
        job_plan.payment_plan.delete()
        messages.success(request, "The payment schedule is thrown away. Set up another.")
        return to_money(job)
    return plan_page(request, job, "discard")


@require_http_methods(["GET", "POST"])
@with_plan
def plan_keep(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    """Save the plan as a template, to be used on other jobs."""
    form = TemplateForm(request.POST or None)
    if form.is_valid():
        template = save_template(job_plan, form.cleaned_data["name"])
        messages.success(request, f"“{template}” is kept: set up the next job's schedule from it.")
        return to_money(job)
    status = status_of(form)
    templates = Pattern.objects.all()
    return plan_page(request, job, "save_template", status=status, form=form, templates=templates)


@require_POST
def template_remove(request: HttpRequest, job_id: int, pattern_id: int) -> HttpResponse:
    """Delete a saved template; plans made from it stay as they are."""
    Pattern.objects.filter(pk=pattern_id).delete()
    return redirect("plan-keep", get_job(job_id).pk)


@require_http_methods(["GET", "POST"])
@with_plan
def work_done(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    """Tick which work of the contract is finished, piece by piece or a whole phase at once."""
    groups = groups_of_work(job_plan)
    ticks = Ticks({_box_name(line.line.place): line.is_finished for group in groups for line in group.lines})
    if request.method == "POST" and job_plan.contract.is_signed:
        whole, boxes = request.POST.get("whole", ""), ticks.merged(request.POST)
        ticked = {
            line.line.place
            for group in groups
            for line in group.lines
            if group.key == whole or _box_name(line.line.place) in boxes
        }
        mark_finished(job_plan, ticked, timezone.localdate())
        return redirect("work-done", job.pk) if whole else to_money(job)
    rows = [
        (group, group_label(job_plan, group), [(_box_name(line.line.place), line) for line in group.lines])
        for group in groups
    ]
    return plan_page(request, job, "work_done", job_plan=job_plan, groups=rows, ticks=ticks)


def _box_name(place: tuple[int, str]) -> str:
    """Return the name of the box of a line of the contract, from its document and key."""
    return f"done-{place[0]}-{place[1]}"


@require_http_methods(["GET", "POST"])
def change_placement(request: HttpRequest, change_id: int) -> HttpResponse:
    """Choose where the money of a signed change goes; by default it goes where the plan sends changes."""
    change = get_change(change_id)
    if elsewhere := redirect_if_signed(request, change):
        return elsewhere
    job = change.job
    job_plan = read_plan(job)
    if job_plan is None:
        messages.info(
            request, "No payment schedule is set up yet. Set one up, then say where the change goes."
        )
        return to_money(job)
    planned = PlannedChange.objects.filter(change=change).first()
    planned = planned or PlannedChange(change=change, goes=job_plan.payment_plan.changes_go)
    form = ChangePlacementForm(request.POST or None, instance=planned, offered=open_milestones(job_plan))
    if form.is_valid():
        form.save()
        return redirect(change)
    status = status_of(form)
    return plan_page(request, job, "change_placement", status=status, form=form, change=change)
