"""The "If we find" page of a job: hidden conditions priced in advance, and what was opened before quoting."""

from typing import Any

from django import forms
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.estimates.draft import conventions_of, policy_of, read_conditions
from estimating.forms.hidden_conditions import (
    AssemblyConditionForm,
    ConditionForm,
    OpenedForm,
    suggested_values,
)
from estimating.forms.photos import takes_photos
from estimating.models import HiddenCondition, Job
from estimating.pricing.hidden_condition_suggestions import SUGGESTIONS
from estimating.pricing.hidden_conditions import hidden_conditions_for_snapshot
from estimating.views.lookups import get_estimate, get_job
from saving.forms import status_of


@takes_photos
@require_http_methods(["GET", "POST"])
def hidden_conditions(request: HttpRequest, job_id: int) -> HttpResponse:
    """List the hidden conditions, suggestions to choose from, and what was opened and looked at."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    form = OpenedForm(request.POST or None, request.FILES or None, instance=estimate)
    if form.is_valid():
        with transaction.atomic():
            form.save()
            estimate.add_photos(form.cleaned_data["photos"], is_opened=True)
        return redirect("hidden-conditions", job.pk)
    policy, conventions = policy_of(estimate, job), conventions_of(firm)
    conditions = read_conditions(estimate, CatalogReader(firm), policy, conventions)
    shown = hidden_conditions_for_snapshot(conditions, policy)
    names = {condition.name for condition in conditions}
    context = {
        "rows": list(zip(estimate.conditions.all(), conditions, shown, strict=True)),
        "suggestions": [suggestion for suggestion in SUGGESTIONS if suggestion.name not in names],
        "photos": estimate.photos.filter(is_opened=True),
    }
    return _show(request, job, "hidden_conditions/list", form, **context)


@require_http_methods(["GET", "POST"])
def condition_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a condition with a typed price; `like` in the address fills in a suggestion."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    blank = HiddenCondition(estimate=estimate, position=estimate.conditions.count())
    key = request.GET.get("like", "")
    suggestion = next((suggestion for suggestion in SUGGESTIONS if suggestion.key == key), None)
    policy = policy_of(estimate, job)
    form = ConditionForm(
        request.POST or None,
        instance=blank,
        initial=suggested_values(suggestion, policy, firm.metric) if suggestion else {},
        metric=firm.metric,
    )
    return _save_or_show(request, job, form, blank)


@require_http_methods(["GET", "POST"])
def condition_from_catalog(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a condition whose price is computed from an assembly."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    blank = HiddenCondition(estimate=estimate, position=estimate.conditions.count())
    return _save_or_show(request, job, _assembly_form(request, blank, firm), blank)


@require_http_methods(["GET", "POST"])
def condition_edit(request: HttpRequest, job_id: int, condition_id: int) -> HttpResponse:
    job, firm = get_job(job_id), Firm.current()
    row = _condition(job, condition_id)
    if row.assembly_id:
        return _save_or_show(request, job, _assembly_form(request, row, firm), row)
    form = ConditionForm(request.POST or None, instance=row, metric=firm.metric)
    return _save_or_show(request, job, form, row)


def _assembly_form(request: HttpRequest, row: HiddenCondition, firm: Firm) -> AssemblyConditionForm:
    policy, conventions = policy_of(row.estimate, row.estimate.job), conventions_of(firm)
    return AssemblyConditionForm(
        request.POST or None,
        instance=row,
        reader=CatalogReader(firm),
        policy=policy,
        conventions=conventions,
    )


def _save_or_show(
    request: HttpRequest, job: Job, form: ConditionForm | AssemblyConditionForm, row: HiddenCondition
) -> HttpResponse:
    if form.is_valid():
        form.save()
        return redirect("hidden-conditions", job.pk)
    return _show(
        request,
        job,
        "hidden_conditions/condition",
        form,
        condition=row,
        from_catalog=isinstance(form, AssemblyConditionForm),
    )


@require_http_methods(["GET", "POST"])
def condition_remove(request: HttpRequest, job_id: int, condition_id: int) -> HttpResponse:
    """Remove a condition from the draft; what was issued keeps it."""
    job = get_job(job_id)
    row = _condition(job, condition_id)
    if request.method == "POST":
        row.delete()
        return redirect("hidden-conditions", job.pk)
    context = {
        "job": job,
        "place": "price",
        "name": row.name,
        "back": reverse("hidden-conditions", args=[job.pk]),
    }
    return render(request, "estimating/jobs/remove_question.html", context)


def _condition(job: Job, condition_id: int) -> HiddenCondition:
    rows = HiddenCondition.objects.select_related("estimate__job")
    return get_object_or_404(rows, pk=condition_id, estimate__job=job)


def _show(
    request: HttpRequest, job: Job, template: str, form: forms.BaseForm, **context: Any
) -> HttpResponse:
    status = status_of(form)
    context = {"job": job, "place": "price", "form": form, **context}
    return render(request, f"estimating/{template}.html", context, status=status)
