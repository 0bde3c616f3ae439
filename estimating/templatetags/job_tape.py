"""The ruler on top of every page of a job."""

from django import template
from django.utils import timezone

from estimating.models import Job, WorkItem
from estimating.progress.billing_hook import money_steps
from estimating.progress.read import estimate_events, papers_in_force, read_tape
from estimating.progress.steps import Tape

register = template.Library()


@register.simple_tag
def tape_of(job: Job) -> Tape:
    """The job's tape as of today. This costs four queries beside those of its money."""
    today, papers = timezone.localdate(), list(papers_in_force().filter(job=job))
    work_items = WorkItem.objects.filter(estimate__job=job).count()
    money = money_steps([(job, estimate_events(papers))], today).get(job.pk)
    return read_tape(papers, job.rooms.count(), work_items, money, today)
