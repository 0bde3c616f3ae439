"""The one search over everything, and the list of all jobs."""

import re
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.db.models import Max, Min, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.models import Document, Job
from estimating.progress.read import jobs_with_progress
from estimating.search.clients import clients_with_jobs
from estimating.search.found import find
from estimating.search.kinds import papers_with
from estimating.search.pages import KeyPaginator
from estimating.views.lookups import typed_words

JOBS_A_PAGE = 40
CLIENTS_A_PAGE = 40
PAPERS_A_PAGE = 40


@require_GET
def search(request: HttpRequest) -> HttpResponse:
    """Show what has the words typed: some of each kind, or with `?kind=` a page of one kind.

    The number of one paper, or a name that only one row has, opens its page at once.
    """
    text, kind = typed_words(request, "q"), request.GET.get("kind", "")
    found = find(text, kind, request.GET.get("page", ""))
    if not kind and [each.count for each in found] == [1]:
        return redirect(found[0].hits[0].url)
    context = {"searched": text, "found": found, "kind": kind}
    context["query"] = urlencode({"q": text, "kind": kind})
    return render(request, "estimating/search/search.html", context)


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """List all jobs, open or closed, of all years or of one, the newest request first, a page at a time."""
    text, state = typed_words(request, "words"), request.GET.get("state", "")
    year = typed_words(request, "year")
    rows = Job.objects.newest_first().containing(text, by_paper=True)
    if re.fullmatch(r"20\d\d", year):
        rows = rows.filter(requested_on__year=int(year))
    if state in ("open", "closed"):
        rows = rows.filter(closed=state == "closed")
    page = Paginator(rows, JOBS_A_PAGE).get_page(request.GET.get("page", ""))
    open_now = [job for job in page if not job.closed]
    progress = {job.pk: how_far for job, how_far in jobs_with_progress(open_now, timezone.localdate())}
    context = {
        "place": "jobs",
        "page": page,
        "jobs": [(job, progress.get(job.pk)) for job in page],
        "wanted": text,
        "state": state,
        "year": year,
        "years": _years(Job.objects.all(), "requested_on"),
        "query": urlencode({"state": state, "words": text, "year": year}),
        "states": (("", "All"), ("open", "Open"), ("closed", "Closed")),
    }
    return render(request, "estimating/search/jobs.html", context)


@require_GET
def clients(request: HttpRequest) -> HttpResponse:
    """List all clients by name, a page at a time."""
    text = typed_words(request, "words")
    page = Paginator(clients_with_jobs(text), CLIENTS_A_PAGE).get_page(request.GET.get("page", ""))
    context = {"place": "jobs", "page": page, "wanted": text, "query": urlencode({"words": text})}
    return render(request, "estimating/search/clients.html", context)


@require_GET
def papers(request: HttpRequest) -> HttpResponse:
    """List all papers, of all kinds and years or of one, the newest first, a page at a time."""
    text, kind, year = (typed_words(request, name) for name in ("words", "kind", "year"))
    rows = papers_with(text.split())
    if kind in Document.Kind:
        rows = rows.filter(kind=kind)
    if re.fullmatch(r"20\d\d", year):
        rows = rows.filter(dated__year=int(year))
    context = {
        "place": "jobs",
        "page": KeyPaginator(rows, PAPERS_A_PAGE).get_page(request.GET.get("page", "")),
        "wanted": text,
        "kind": kind,
        "kinds": Document.Kind.choices,
        "year": year,
        "years": _years(Document.objects.all(), "dated"),
        "query": urlencode({"words": text, "kind": kind, "year": year}),
    }
    return render(request, "estimating/search/papers.html", context)


def _years(rows: QuerySet[Any], day: str) -> list[int]:
    """Return the years from the newest row to the oldest. Costs a query."""
    span = rows.order_by().aggregate(first=Min(day), last=Max(day))
    return list(range(span["last"].year, span["first"].year - 1, -1)) if span["first"] else []
