"""What wants doing: open jobs, the oldest promise first."""

from datetime import date

from django.db.models import Count, Prefetch, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.models import Firm
from estimating.canceling import right_to_cancel
from estimating.document_states import EXPIRED, OPEN
from estimating.models import Document, Job
from estimating.money_next import money_steps
from estimating.tape import Step, Tape, tape


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    wanted = request.GET.get("q", "").replace("\0", "").strip()[:100]
    put_away = "put-away" in request.GET
    day = timezone.localdate()
    jobs = list(_jobs(wanted, put_away))
    money = money_steps([(job, _events(job)) for job in jobs], day)
    context = {
        "jobs": [(job, _tape(job, day, money.get(job.pk))) for job in jobs],
        "wanted": wanted,
        "put_away": put_away,
        "any_put_away": Job.objects.filter(closed=True).exists(),
        "today": day,
        "rate_wanted": not Firm.current().labour_rate,
        "place": "today",
    }
    return render(request, "estimating/today.html", context)


def _jobs(wanted: str, put_away: bool) -> QuerySet[Job]:
    """Open jobs, or those put away; a search looks among both."""
    if wanted or put_away:
        jobs = Job.objects.select_related("client").order_by("closed", "-asked_on", "-pk")
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
    signed_for = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)
    in_force = Document.objects.for_list().filter(kind__in=signed_for, superseded_by=None)
    return jobs.annotate(
        room_count=Count("rooms", distinct=True), item_count=Count("estimates__items", distinct=True)
    ).prefetch_related(Prefetch("documents", in_force, to_attr="in_force"))


def _of_kind(job: Job, kind: str) -> list[Document]:
    return [each for each in job.in_force if each.kind == kind]


def _events(job: Job) -> list[str]:
    """What happened to the estimate in force."""
    return next((each.happened() for each in _of_kind(job, Document.Kind.ESTIMATE)), [])


def _tape(job: Job, today: date, money: Step | None) -> Tape:
    estimates = _of_kind(job, Document.Kind.ESTIMATE)
    waiting = sum(each.state() in OPEN for each in _of_kind(job, Document.Kind.CHANGE_ORDER))
    cancel_by = right_to_cancel(estimates[0], today)["still_to"] if estimates else None
    expired = any(each.standing(today) == EXPIRED for each in estimates)
    return tape(job.room_count, job.item_count, _events(job), waiting, cancel_by, money, expired)
