"""What the client's page of a job includes of the diary."""

from collections.abc import Sequence

from django import template
from django.db.models import QuerySet

from estimating.models import JobLink
from jobsite.diary.pages import DiaryDay
from jobsite.diary.read import read_for_client
from jobsite.models import Reference

NEWEST = 3

register = template.Library()


@register.simple_tag
def diary_on(page: JobLink) -> Sequence[DiaryDay]:
    """Return the newest of what the client sees of the diary."""
    return read_for_client(page.job, NEWEST)


@register.simple_tag
def references_on(page: JobLink) -> QuerySet[Reference]:
    """Return the pairs of photos that the client of a job is asked about."""
    return Reference.objects.filter(job=page.job_id)
