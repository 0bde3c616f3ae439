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
    """List open jobs, or those put away; a search looks among both."""
    searched = request.GET.get("q", "").replace("\0", "").strip()[:100]
    put_away = "put-away" in request.GET
    day = timezone.localdate()
    if searched:
        jobs = Job.objects.newest_first().containing(searched)
    elif put_away:
        jobs = Job.objects.newest_first().filter(closed=True)
    else:
        jobs = Job.objects.open_jobs()
    context = {
        "jobs": jobs_with_progress(jobs, day),
        "wanted": searched,
        "put_away": put_away,
        "any_put_away": Job.objects.filter(closed=True).exists(),
        "today": day,
        "rate_wanted": not Firm.current().labor_rate,
        "place": "today",
    }
    return render(request, "estimating/jobs/today.html", context)
