"""What Today shows of punch lists, and a client's signed certificate of the care of what was built."""

from decimal import Decimal

from django import template

from closing.care.read import papers_of
from closing.models import MaterialPaper
from closing.punch_list.read import read_standings
from estimating.models import Document, Job
from jobsite.models import CallBack

register = template.Library()


@register.simple_tag
def left_on_lists() -> list[tuple[Job, int, Decimal]]:
    """Return the jobs with items left on their punch lists: how many, and their worth. Costs two queries."""
    standings = read_standings(None)
    jobs = Job.objects.in_bulk([job for job, one in standings.items() if one.left]) if standings else {}
    return [(job, standings[pk].left, standings[pk].worth) for pk, job in sorted(jobs.items())]


@register.simple_tag
def call_backs_to_go_to() -> list[CallBack]:
    """Return the call-backs without hours, the oldest first. Costs a query."""
    return list(CallBack.objects.filter(worked=None).select_related("job").order_by("on", "pk"))


@register.simple_tag
def makers_papers(document: Document) -> list[MaterialPaper]:
    """Return the makers' papers of what was built on a document's job, in the order of its care sheet."""
    return papers_of(document.job)
