"""The Price page of a job: what it costs, what it is sold for, and the words beside it."""

from urllib.parse import urlencode

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from catalog.forms.firm import HoursTogetherForm
from catalog.models import ContingencyOf, Firm
from estimating.estimates.draft import read_draft
from estimating.estimates.hours_basis import hours_parts
from estimating.estimates.price_page import price_page
from estimating.estimates.range_page import kept_margin, range_page
from estimating.forms.prices import JobPriceForm, KeepForm, OnHandForm, PricingForm, WordsForm
from estimating.forms.work import AllowanceForm
from estimating.models import Allowance, Estimate, Job
from estimating.views.lookups import get_estimate, get_job
from saving.forms import status_of


def job_price(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the rates on the left, what they make on the right; with htmx each change is saved at once."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    posted = request.POST if request.method == "POST" else None
    pricing, job_price = PricingForm(posted, instance=estimate), JobPriceForm(posted, instance=job)
    live = bool(request.headers.get("HX-Request"))
    status = 200
    if request.method == "POST":
        valid = [pricing.is_valid(), job_price.is_valid()]  # both, so that both show what is wrong
        if all(valid):
            with transaction.atomic():
                pricing.save()
                job_price.save()
            if not live:
                return redirect("job-price", job.pk)
        else:
            status = status_of(pricing, job_price)
            job, estimate = get_job(job_id), get_estimate(get_job(job_id), firm)
    page = "estimating/prices/_result.html" if live else "estimating/prices/price.html"
    return _price_page(request, page, job, estimate, firm, form=pricing, also=job_price, status=status)


@require_GET
def hours_basis(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show how much of the labor rests on published figures, on the firm's own numbers and on guesses."""
    job, firm = get_job(job_id), Firm.current()
    draft = read_draft(get_estimate(job, firm), firm, "first")
    context = {"job": job, "place": "price", "parts": hours_parts(draft.take_off.items_in_sum)}
    return render(request, "estimating/prices/hours_basis.html", context)


@require_POST
def hours_together(request: HttpRequest, job_id: int) -> HttpResponse:
    """Set how far the firm's hours run over together."""
    job, firm = get_job(job_id), Firm.current()
    form = HoursTogetherForm(request.POST, instance=firm)
    if form.is_valid():
        form.save()
        return redirect_to_range(job)
    for error in form.errors["hours_together_percent"]:
        messages.error(request, f"How far hours run over together: {error}")
    firm = Firm.current()
    estimate = get_estimate(job, firm)
    return _price_page(
        request,
        "estimating/prices/price.html",
        job,
        estimate,
        firm,
        form=PricingForm(instance=estimate),
        also=JobPriceForm(instance=job),
        together=form,
        status=status_of(form),
    )


@require_POST
def margin_keep(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take the contingency that keeps a margin four times out of five."""
    job, firm = get_job(job_id), Firm.current()
    estimate, form = get_estimate(job, firm), KeepForm(request.POST)
    if not form.is_valid():
        return redirect(
            f"{reverse('job-price', args=[job.pk])}?{urlencode({'keep': request.POST.get('keep', '')})}"
        )
    kept = kept_margin(
        read_draft(estimate, firm, "first"), firm.hours_together_percent, form.cleaned_data["keep"]
    )
    if kept.contingency is None:
        messages.error(request, "No contingency up to 100% keeps that much: the contingency stays as it was.")
    else:
        of = ContingencyOf(estimate.contingency_of).label
        estimate.contingency_percent = kept.contingency
        estimate.save(update_fields=["contingency_percent"])
        messages.success(request, f"Contingency is {kept.contingency.normalize():f}% {of} now.")
    return redirect("job-price", job.pk)


def redirect_to_range(job: Job) -> HttpResponse:
    """Lead back to the range on the Price page."""
    return redirect(f"{reverse('job-price', args=[job.pk])}#range")


def _price_page(
    request: HttpRequest,
    template: str,
    job: Job,
    estimate: Estimate,
    firm: Firm,
    *,
    status: int,
    together: HoursTogetherForm | None = None,
    **forms: object,
) -> HttpResponse:
    draft = read_draft(estimate, firm, "first")
    keep = KeepForm(request.GET if "keep" in request.GET else None)
    percent = firm.hours_together_percent
    context = {
        "job": job,
        "place": "price",
        "estimate": estimate,
        "draft": draft,
        "page": price_page(draft, firm.metric, firm.target_margin()),
        "range": range_page(draft, percent),
        "together": together or HoursTogetherForm(instance=firm),
        "keep": keep,
        "kept": kept_margin(draft, percent, keep.cleaned_data["keep"]) if keep.is_valid() else None,
        **forms,
    }
    return render(request, template, context, status=status)


def job_words(request: HttpRequest, job_id: int) -> HttpResponse:
    """Edit the assumptions, what is not included, what stays as it is, and the terms."""
    job, firm = get_job(job_id), Firm.current()
    form = WordsForm(request.POST if request.method == "POST" else None, instance=get_estimate(job, firm))
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/prices/words.html", context, status=status_of(form))


def on_hand(request: HttpRequest, job_id: int) -> HttpResponse:
    """Say how much of each material of the draft is on hand."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    lines = read_draft(estimate, firm, "first").take_off.materials
    form = OnHandForm(
        request.POST if request.method == "POST" else None, estimate=estimate, lines=lines, metric=firm.metric
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "What is on hand is saved; the price and the shopping list go by it.")
        return redirect(f"{reverse('job-price', args=[job.pk])}#price-buying")
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/prices/on_hand.html", context, status=status_of(form))


def allowance_new(request: HttpRequest, job_id: int) -> HttpResponse:
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    blank = Allowance(estimate=estimate, position=estimate.allowances.count())
    return _allowance_page(request, job, blank)


def allowance_edit(request: HttpRequest, job_id: int, allowance_id: int) -> HttpResponse:
    job = get_job(job_id)
    return _allowance_page(request, job, _get_allowance(job, allowance_id))


def allowance_remove(request: HttpRequest, job_id: int, allowance_id: int) -> HttpResponse:
    job = get_job(job_id)
    allowance = _get_allowance(job, allowance_id)
    if request.method == "POST":
        allowance.delete()
        return redirect("job-price", job.pk)
    back = reverse("allowance", args=[job.pk, allowance.pk])
    context = {"job": job, "place": "price", "name": allowance.name, "back": back}
    return render(request, "estimating/jobs/remove_question.html", context)


def _get_allowance(job: Job, allowance_id: int) -> Allowance:
    """Return an allowance of the job, or answer 404."""
    return get_object_or_404(Allowance, pk=allowance_id, estimate__job=job)


def _allowance_page(request: HttpRequest, job: Job, allowance: Allowance) -> HttpResponse:
    form = AllowanceForm(request.POST if request.method == "POST" else None, instance=allowance)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form, "allowance": allowance}
    return render(request, "estimating/prices/allowance.html", context, status=status_of(form))
