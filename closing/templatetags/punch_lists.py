"""What Today shows of punch lists, and a client's signed certificate of the care of what was built."""

from collections.abc import Collection
from decimal import Decimal

from django import template
from django.db.models import QuerySet

from closing.care.read import papers_of
from closing.models import MaterialPaper
from closing.punch_list.read import read_standings
from estimating.models import Document, Job
from jobsite.models import CallBack
from reading.prepared import prepared

register = template.Library()


@register.simple_tag
def left_on_lists() -> list[tuple[Job, int, Decimal]]:
    """Return the jobs with items left on their punch lists: how many, and their worth. Costs two queries."""
    standings = read_standings(None)
    jobs = _jobs([job for job, one in standings.items() if one.left])
    return [(job, standings[job.pk].left, standings[job.pk].worth) for job in jobs]


@prepared
def _jobs(jobs: Collection[int]) -> QuerySet[Job]:
    return Job.objects.filter(pk__in=jobs).order_by("pk")


@register.simple_tag
def call_backs_to_go_to() -> list[CallBack]:
    """Return the call-backs without hours, the oldest first. Costs a query."""
    return _call_backs()


@prepared
def _call_backs() -> QuerySet[CallBack]:
    return CallBack.objects.filter(worked=None).select_related("job").order_by("on", "pk")


@register.simple_tag
def makers_papers(document: Document) -> list[MaterialPaper]:
    """Return the makers' papers of what was built on a document's job, in the order of its care sheet."""
    return papers_of(document.job)
