"""The one search over everything, and the list of all jobs."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.models import Job
from estimating.progress.read import jobs_with_progress
from estimating.search.found import find

JOBS_A_PAGE = 40


@require_GET
def search(request: HttpRequest) -> HttpResponse:
    """Show what has the words typed: some of each kind, or with `?kind=` a page of one kind.

    The number of one paper, or a name that only one row has, opens its page at once.
    """
    text, kind = _typed(request, "q"), request.GET.get("kind", "")
    found = find(text, kind, request.GET.get("page", ""))
    if not kind and [each.count for each in found] == [1]:
        return redirect(found[0].hits[0].url)
    context = {"searched": text, "found": found, "kind": kind}
    context["query"] = urlencode({"q": text, "kind": kind})
    return render(request, "estimating/search/search.html", context)


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """List all jobs, open or closed, the newest request first, a page at a time."""
    text, state = _typed(request, "words"), request.GET.get("state", "")
    rows = Job.objects.newest_first().containing(text)
    if state in ("open", "closed"):
        rows = rows.filter(closed=state == "closed")
    page = Paginator(rows, JOBS_A_PAGE).get_page(request.GET.get("page", ""))
    on_page = Job.objects.newest_first().filter(pk__in=[job.pk for job in page])
    context = {
        "place": "jobs",
        "page": page,
        "jobs": jobs_with_progress(on_page, timezone.localdate()),
        "wanted": text,
        "state": state,
        "query": urlencode({"state": state, "words": text}),
        "states": (("", "All"), ("open", "Open"), ("closed", "Closed")),
    }
    return render(request, "estimating/search/jobs.html", context)


def _typed(request: HttpRequest, name: str) -> str:
    return request.GET.get(name, "").replace("\0", "").strip()[:100]
