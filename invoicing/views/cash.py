"""Money in and out by day while the plan is made, and what another split of it would do."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from estimating.models import Job
from invoicing.cash_flow.drawing import cash_in_words, cash_svg
from invoicing.cash_flow.forecast import WorkSchedule
from invoicing.forms.plan import PlannedCostForm
from invoicing.milestones.plan import PlanFault
from invoicing.models import PlannedCost
from invoicing.payment_plan.cash_flow_page import (
    TrialSplit,
    current_split,
    even_split,
    keep_split,
    plan_cash,
    try_split,
    work_schedule,
)
from invoicing.payment_plan.plan import JobPlan
from invoicing.payment_plan.signed_schedule import STAYS, schedule_is_signed
from invoicing.views.plan_page import plan_page, to_money, with_plan
from saving.forms import status_of


@require_http_methods(["GET", "POST"])
@with_plan
def plan_cash_page(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    """Show the cash flow and, beside it, that of shares typed to be tried; a button makes those the plan."""
    if job_plan.plan is None:
        return to_money(job)
    today = timezone.localdate()
    when = work_schedule(job_plan, Firm.current(), today)
    trial, fault = _typed_split(request, job_plan, when, today), ""
    if request.method == "POST" and trial:
        fault = trial.fault or _keep(job_plan, trial)
        if not fault:
            messages.success(request, "The schedule has that split now.")
            return redirect("plan-cash", job.pk)
    cash = plan_cash(job_plan, job_plan.plan, when, today)
    trial_cash = trial.cash if trial else None
    shares = trial.typed if trial else current_split(job_plan)
    return plan_page(
        request,
        job,
        "cash_flow",
        status=422 if fault else 200,
        job_plan=job_plan,
        cash=cash,
        svg=cash_svg(cash, trial_cash),
        words=cash_in_words(cash),
        trial=trial,
        plan_is_signed=schedule_is_signed(job_plan),
        trial_fault=fault or (trial.fault if trial else ""),
        trial_words=cash_in_words(trial_cash) if trial_cash else "",
        splits=[(milestone, shares.get(milestone.key, "")) for milestone in job_plan.own_milestones],
        dated=all(milestone.expected_on or milestone.reached_on for milestone in job_plan.milestones),
    )


def _typed_split(
    request: HttpRequest, job_plan: JobPlan, when: WorkSchedule, today: date
) -> TrialSplit | None:
    """Return the split that was typed, or equal shares where those were asked for; None where neither was."""
    given = request.POST if request.method == "POST" else request.GET
    if "even" in given:
        return try_split(job_plan, even_split(job_plan), when, today)
    typed = {milestone.key: given.get(f"share-{milestone.key}", "") for milestone in job_plan.own_milestones}
    return try_split(job_plan, typed, when, today) if any(typed.values()) else None


def _keep(job_plan: JobPlan, trial: TrialSplit) -> str:
    """Make the split the plan's own, and return why it can't be; empty where it is."""
    if schedule_is_signed(job_plan):
        return f"The split stays. {STAYS}"
    try:
        keep_split(job_plan, trial)
    except PlanFault as fault:
        return str(fault)
    return ""


@require_http_methods(["GET", "POST"])
@with_plan
def cost_new(request: HttpRequest, job: Job, job_plan: JobPlan) -> HttpResponse:
    return _cost_page(request, job, PlannedCost(plan=job_plan.payment_plan))


@require_http_methods(["GET", "POST"])
def cost_edit(request: HttpRequest, cost_id: int) -> HttpResponse:
    cost = _get_cost(cost_id)
    return _cost_page(request, cost.plan.job, cost)


@require_POST
def cost_remove(request: HttpRequest, cost_id: int) -> HttpResponse:
    cost = _get_cost(cost_id)
    cost.delete()
    return redirect("plan-cash", cost.plan.job_id)


def _get_cost(cost_id: int) -> PlannedCost:
    return get_object_or_404(PlannedCost.objects.select_related("plan__job__client"), pk=cost_id)


def _cost_page(request: HttpRequest, job: Job, cost: PlannedCost) -> HttpResponse:
    form = PlannedCostForm(request.POST or None, instance=cost)
    if form.is_valid():
        form.save()
        return redirect("plan-cash", job.pk)
    return plan_page(request, job, "planned_cost", status=status_of(form), form=form, cost=cost)
