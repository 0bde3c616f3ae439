"""What the client's page of a job includes of the diary."""

from collections.abc import Sequence

from django import template

from estimating.models import JobLink
from jobsite.diary.pages import DiaryDay
from jobsite.diary.read import read_for_client

NEWEST = 3

register = template.Library()


@register.simple_tag
def diary_on(page: JobLink) -> Sequence[DiaryDay]:
    """Return the newest of what the client sees of the diary."""
    return read_for_client(page.job, NEWEST)
