"""What wants doing: open jobs, the oldest promise first, and before the first estimate the steps to it."""

from collections.abc import Sequence

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from catalog.models import Firm, Package, TaxPolicy
from estimating.client import outbox
from estimating.models import Document, FirstStepTick, Job
from estimating.progress.first_steps import STEPS, FirmFacts, FirstStep, first_steps
from estimating.progress.read import jobs_with_progress
from reading.prepared import prepared

JOBS_A_PAGE = 40


@require_GET
def today(request: HttpRequest) -> HttpResponse:
    """List the open jobs, a page at a time: what was promised first stands first."""
    day, firm = timezone.localdate(), Firm.current()
    page = Paginator(Job.objects.open_jobs(), JOBS_A_PAGE).get_page(request.GET.get("page", ""))
    context = {
        "page": page,
        "jobs": jobs_with_progress(page, day),
        "any_closed": bool(_any_closed()),
        "today": day,
        "rate_wanted": not firm.labor_rate,
        "steps": _steps(firm),
        "unsent": outbox.read_failing(),
        "place": "today",
    }
    return render(request, "estimating/jobs/today.html", context)


@prepared
def _any_closed() -> QuerySet[Job, int]:
    return Job.objects.filter(closed=True).order_by().values_list("pk", flat=True)[:1]


@prepared
def _any_issued() -> QuerySet[Document, int]:
    return Document.objects.order_by().values_list("pk", flat=True)[:1]


@require_POST
def mail_again(request: HttpRequest) -> HttpResponse:
    """Try the mails that failed again, at once."""
    outbox.try_again(timezone.now())
    messages.success(request, "The mails are tried again now.")
    return redirect("today")


@require_POST
def mail_drop(request: HttpRequest, mail_id: int) -> HttpResponse:
    """Send a mail that failed no more."""
    outbox.drop(mail_id)
    messages.success(request, "The mail isn't sent any more.")
    return redirect("today")


@require_POST
def first_step(request: HttpRequest, code: str) -> HttpResponse:
    """Tick a step as right, or put the steps aside (`path`); `again` takes them up anew."""
    if code == FirstStepTick.PATH and "again" in request.POST:
        FirstStepTick.objects.filter(code=code).delete()
    elif code in (*STEPS, FirstStepTick.PATH):
        FirstStepTick.objects.get_or_create(code=code)
    return redirect("today")


def _steps(firm: Firm) -> Sequence[FirstStep]:
    """Return the steps of a firm that has issued nothing yet; none where they are all done or put aside."""
    if _any_issued():
        return ()
    ticked = set(FirstStepTick.objects.values_list("code", flat=True))
    if FirstStepTick.PATH in ticked:
        return ()
    facts = FirmFacts(
        is_named=firm.name != Firm.UNNAMED,
        has_rate=bool(firm.labor_rate),
        has_tax=bool(firm.tax_percent) or firm.tax_policy == TaxPolicy.NONE,
        has_own_prices=Package.objects.filter(shipped=None).exists(),
        has_logo=bool(getattr(firm, "logo", "")),
    )
    steps = first_steps(facts, ticked)
    return () if all(step.is_done for step in steps) else steps
