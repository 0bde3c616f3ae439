"""The Price place of a job: what it costs, what it is sold for, and the words beside it."""

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


def job_price(request: HttpRequest, job_id: int) -> HttpResponse:
    """Rates on the left, what they make on the right; with htmx each change is saved at once."""
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    forms = [PricingForm(request.POST if request.method == "POST" else None, instance=estimate)]
    forms.append(JobPriceForm(request.POST if request.method == "POST" else None, instance=job))
    live = bool(request.headers.get("HX-Request"))
    status = 200
    if request.method == "POST":
        if sum(form.is_valid() for form in forms) == len(forms):
            with transaction.atomic():
                for form in forms:
                    form.save()
            if not live:
                return redirect("job-price", job.pk)
        else:
            status = 422
            job, estimate = get_job(job_id), get_estimate(get_job(job_id), firm)
    draft = read_draft(estimate, firm, "first")
    context = {
        "job": job,
        "place": "price",
        "estimate": estimate,
        "form": forms[0],
        "also": forms[1],
        "draft": draft,
        "page": price_page(draft, firm.metric),
    }
    page = "estimating/prices/_result.html" if live else "estimating/prices/price.html"
    return render(request, page, context, status=status)


def job_words(request: HttpRequest, job_id: int) -> HttpResponse:
    """Assumptions, what is not included, what stays as it is, terms."""
    job, firm = get_job(job_id), Firm.current()
    form = WordsForm(request.POST if request.method == "POST" else None, instance=get_estimate(job, firm))
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form}
    return render(request, "estimating/prices/words.html", context, status=422 if form.errors else 200)


def allowance_new(request: HttpRequest, job_id: int) -> HttpResponse:
    job, firm = get_job(job_id), Firm.current()
    estimate = get_estimate(job, firm)
    blank = Allowance(estimate=estimate, position=estimate.allowances.count())
    return _allowance_page(request, job, blank)


def allowance_edit(request: HttpRequest, job_id: int, allowance_id: int) -> HttpResponse:
    job = get_job(job_id)
    return _allowance_page(request, job, get_allowance(job, allowance_id))


def allowance_remove(request: HttpRequest, job_id: int, allowance_id: int) -> HttpResponse:
    job = get_job(job_id)
    allowance = get_allowance(job, allowance_id)
    if request.method == "POST":
        allowance.delete()
        return redirect("job-price", job.pk)
    back = reverse("allowance", args=[job.pk, allowance.pk])
    context = {"job": job, "place": "price", "name": allowance.name, "back": back}
    return render(request, "estimating/jobs/remove_question.html", context)


def get_allowance(job: Job, allowance_id: int) -> Allowance:
    return get_object_or_404(Allowance, pk=allowance_id, estimate__job=job)


def _allowance_page(request: HttpRequest, job: Job, allowance: Allowance) -> HttpResponse:
    form = AllowanceForm(request.POST if request.method == "POST" else None, instance=allowance)
    if request.method == "POST" and form.is_valid():
        form.save()
        return redirect("job-price", job.pk)
    context = {"job": job, "place": "price", "form": form, "allowance": allowance}
    return render(request, "estimating/prices/allowance.html", context, status=422 if form.errors else 200)
