"""The progress bar on top of every page of a job."""

from django import template
from django.utils import timezone

from estimating.models import Job, WorkItem
from estimating.progress.read import (
    billing_steps,
    documents_in_force,
    estimate_events,
    read_progress,
    refunds_due,
)
from estimating.progress.steps import JobProgress

register = template.Library()


@register.simple_tag
def progress_of(job: Job) -> JobProgress:
    """Return the job's progress as of today. Costs four queries beside those of billing."""
    today, documents = timezone.localdate(), list(documents_in_force().filter(job=job))
    work_items = WorkItem.objects.filter(estimate__job=job).count()
    billing_step = billing_steps([(job, estimate_events(documents))], today).get(job.pk)
    refund = refunds_due([(job, documents)]).get(job.pk, "")
    return read_progress(documents, job.rooms.count(), work_items, billing_step, today, refund)
