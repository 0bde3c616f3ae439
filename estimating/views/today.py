"""What wants doing today."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.models import Job


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    context = {"jobs": Job.objects.owed(), "today": timezone.localdate(), "place": "today"}
    return render(request, "estimating/today.html", context)
