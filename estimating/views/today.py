"""What wants doing: open jobs, the oldest promise first."""

from django.db.models import Count, Prefetch, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from estimating.models import Job
from estimating.progress.billing_hook import money_steps
from estimating.progress.read import estimate_events, papers_in_force, read_tape


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    wanted = request.GET.get("q", "").replace("\0", "").strip()[:100]
    put_away = "put-away" in request.GET
    day = timezone.localdate()
    jobs = list(_jobs(wanted, put_away))
    money = money_steps([(job, estimate_events(job.in_force)) for job in jobs], day)
    tapes = (read_tape(job.in_force, job.room_count, job.item_count, money.get(job.pk), day) for job in jobs)
    context = {
        "jobs": list(zip(jobs, tapes, strict=True)),
        "wanted": wanted,
        "put_away": put_away,
        "any_put_away": Job.objects.filter(closed=True).exists(),
        "today": day,
        "rate_wanted": not Firm.current().labor_rate,
        "place": "today",
    }
    return render(request, "estimating/jobs/today.html", context)


def _jobs(wanted: str, put_away: bool) -> QuerySet[Job]:
    """Open jobs, or those put away; a search looks among both."""
    if wanted or put_away:
        jobs = Job.objects.select_related("client").order_by("closed", "-requested_on", "-pk")
        jobs = jobs if wanted else jobs.filter(closed=True)
    else:
        jobs = Job.objects.owed()
    for word in wanted.split():
        jobs = jobs.filter(
            Q(name__icontains=word)
            | Q(address__icontains=word)
            | Q(client__name__icontains=word)
            | Q(client__address__icontains=word)
        )
    return jobs.annotate(
        room_count=Count("rooms", distinct=True), item_count=Count("estimates__items", distinct=True)
    ).prefetch_related(Prefetch("documents", papers_in_force(), to_attr="in_force"))
