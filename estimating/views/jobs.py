"""Jobs and their clients."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from estimating.models import Client, Job


def job_new(request: HttpRequest) -> HttpResponse:
    return render(request, "estimating/job_form.html")


def job_edit(request: HttpRequest, job_id: int) -> HttpResponse:
    return render(request, "estimating/job_form.html", {"job": get_object_or_404(Job, pk=job_id)})


def client_edit(request: HttpRequest, client_id: int) -> HttpResponse:
    return render(request, "estimating/client_form.html", {"client": get_object_or_404(Client, pk=client_id)})
