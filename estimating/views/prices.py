"""The Price page of a job: what it costs, what it is sold for, and the words beside it."""

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.estimates.price_page import price_page
from estimating.forms.prices import JobPriceForm, PricingForm, WordsForm
from estimating.forms.work import AllowanceForm
from estimating.models import Allowance, Job
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
    draft = read_draft(estimate, firm, "first")
    context = {
        "job": job,
        "place": "price",
        "estimate": estimate,
        "form": pricing,
        "also": job_price,
        "draft": draft,
        "page": price_page(draft, firm.metric, firm.target_margin()),
    }
    page = "estimating/prices/_result.html" if live else "estimating/prices/price.html"
    return render(request, page, context, status=status)


def job_words(request: HttpRequest, job_id: int) -> HttpResponse:
    """Edit the assumptions, what is not included, what stays as it is, and the terms."""
    job, firm = get_job(job_id), Firm.current()
    form = WordsForm(request.POST if request.method == "POST" else None, instance=get_estimate(job, firm))
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/prices/words.html", context, status=status_of(form))


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
