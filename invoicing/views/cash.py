"""Money in and out by day while the plan is drawn, and what another split of it would do."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Firm
from estimating.models import Job
from invoicing.cash_flow.drawing import cash_in_words, cash_svg
from invoicing.forms.plan import PlannedCostForm
from invoicing.milestones.plan import PlanFault
from invoicing.models import Milestone, PlannedCost
from invoicing.payment_plan.cash_flow_page import (
    Trial,
    even_split,
    in_percent,
    plan_cash,
    split_now,
    try_split,
)
from invoicing.payment_plan.plan import DrawnPlan, check_rows
from invoicing.views.plan import show, to_money, with_plan


@require_http_methods(["GET", "POST"])
@with_plan
def plan_cash_page(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    """The cash line; with shares typed another one beside it, which a button makes the plan."""
    if drawn.plan is None:
        return to_money(job)
    hours, today = Firm.current().hours_per_day, timezone.localdate()
    trial = _trial(request, drawn, hours, today)
    status = 200
    if request.method == "POST" and trial:
        if fault := trial.fault or _keep(drawn, trial):
            trial, status = Trial(trial.typed, trial.terms, trial.cash, fault), 422
        else:
            messages.success(request, "The plan has that split now.")
            return redirect("plan-cash", job.pk)
    cash = plan_cash(drawn, drawn.plan, hours, today)
    shares = trial.typed if trial else split_now(drawn)
    return show(
        request,
        job,
        "payment_plan/cash_flow",
        status=status,
        drawn=drawn,
        cash=cash,
        svg=cash_svg(cash, trial.cash if trial else None),
        words=cash_in_words(cash),
        trial=trial,
        trial_words=cash_in_words(trial.cash) if trial and trial.cash else "",
        splits=[(row, shares.get(row.key, "")) for row in drawn.rows if row.change_id is None],
        dated=all(row.expected_on or row.reached_on for row in drawn.rows),
    )


def _trial(request: HttpRequest, drawn: DrawnPlan, hours: Any, today: Any) -> Trial | None:
    """The split that he typed, or equal shares where he asked for them."""
    given = request.POST if request.method == "POST" else request.GET
    if "even" in given:
        return try_split(drawn, even_split(drawn), hours, today)
    typed = {row.key: given.get(f"share-{row.key}", "") for row in drawn.rows if row.change_id is None}
    return try_split(drawn, typed, hours, today) if any(typed.values()) else None


def _keep(drawn: DrawnPlan, trial: Trial) -> str:
    """Make the split the plan's own; returns why it can't be, or nothing."""
    rows = {row.key: row for row in drawn.rows}
    for term in trial.terms:
        rows[term.key].share_percent, rows[term.key].amount = in_percent(term), None
    try:
        check_rows(drawn, list(rows.values()))
    except PlanFault as fault:
        return str(fault)
    Milestone.objects.bulk_update(rows.values(), ["share_percent", "amount"])
    return ""


@require_http_methods(["GET", "POST"])
@with_plan
def cost_new(request: HttpRequest, job: Job, drawn: DrawnPlan) -> HttpResponse:
    return _cost_page(request, job, PlannedCost(plan=drawn.kept))


@require_http_methods(["GET", "POST"])
def cost_edit(request: HttpRequest, cost_id: int) -> HttpResponse:
    cost = _cost(cost_id)
    return _cost_page(request, cost.plan.job, cost)


@require_POST
def cost_remove(request: HttpRequest, cost_id: int) -> HttpResponse:
    cost = _cost(cost_id)
    cost.delete()
    return redirect("plan-cash", cost.plan.job_id)


def _cost(cost_id: int) -> PlannedCost:
    return get_object_or_404(PlannedCost.objects.select_related("plan__job__client"), pk=cost_id)


def _cost_page(request: HttpRequest, job: Job, cost: PlannedCost) -> HttpResponse:
    form = PlannedCostForm(request.POST or None, instance=cost)
    if form.is_valid():
        form.save()
        return redirect("plan-cash", job.pk)
    return show(
        request, job, "payment_plan/planned_cost", status=422 if form.is_bound else 200, form=form, cost=cost
    )
