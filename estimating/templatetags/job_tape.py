"""The ruler on top of every page of a job."""

from django import template
from django.utils import timezone

from estimating.canceling import right_to_cancel
from estimating.change_drafts import waiting_changes
from estimating.document_states import ACCEPTED, EXPIRED
from estimating.models import Document, Job, WorkItem
from estimating.money_next import money_steps
from estimating.tape import Tape, tape

register = template.Library()


@register.simple_tag
def tape_of(job: Job) -> Tape:
    """The job's tape as of today. This costs four queries, and up to two more once it is signed, beside those
    of its money."""
    estimate = Document.objects.for_list().in_force(Document.Kind.ESTIMATE, job)
    work_items = WorkItem.objects.filter(estimate__job=job).count()
    events = estimate.happened() if estimate else ()
    waiting = len(waiting_changes(job)) if ACCEPTED in events else 0
    today = timezone.localdate()
    cancel_by = right_to_cancel(estimate, today)["still_to"] if estimate else None
    expired = estimate is not None and estimate.standing(today) == EXPIRED
    money = money_steps([(job, events)], today).get(job.pk)
    return tape(job.rooms.count(), work_items, events, waiting, cancel_by, money, expired)
