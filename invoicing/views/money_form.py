"""The page of a short form about a job's money, with a way back to the job's Money page."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from estimating.models import Job
from saving.forms import status_of


def money_form_page(
    request: HttpRequest, job: Job, form: forms.BaseForm, title: str, verb: str, explanation: str = ""
) -> HttpResponse:
    """Render a form under its title; `verb` is on its button, `explanation` above it."""
    context = {
        "job": job,
        "place": "money",
        "form": form,
        "title": title,
        "verb": verb,
        "explanation": explanation,
        "back": reverse("job-money", args=[job.pk]),
    }
    status = status_of(form)
    return render(request, "invoicing/payments/money_form.html", context, status=status)
