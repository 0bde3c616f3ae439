"""What wants doing: open jobs, the oldest promise first."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from estimating.models import Job
from estimating.progress.read import jobs_with_progress


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """List the open jobs: what was promised first stands first."""
    day = timezone.localdate()
    context = {
        "jobs": jobs_with_progress(Job.objects.open_jobs(), day),
        "any_closed": Job.objects.filter(closed=True).exists(),
        "today": day,
        "rate_wanted": not Firm.current().labor_rate,
        "place": "today",
    }
    return render(request, "estimating/jobs/today.html", context)
