"""How far a job is, its places, and what it comes to: what stands around every page of a job."""

from collections.abc import Sequence
from dataclasses import dataclass

from django import template
from django.db.models import QuerySet
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from estimating.estimates.draft import Draft
from estimating.models import Job, Room, WorkItem
from estimating.pricing.price_parts import PriceParts, price_parts
from estimating.progress.places import Place, places
from estimating.progress.read import (
    billing_steps,
    estimate_events,
    questions_waiting,
    read_in_force,
    read_progress,
    refunds_due,
)
from estimating.progress.steps import JobProgress
from reading.prepared import prepared

register = template.Library()


@dataclass(frozen=True)
class JobFrame:
    """The progress of a job and its places with their addresses."""

    progress: JobProgress
    places: Sequence[tuple[Place, str]]


@register.simple_tag
def frame_of(job: Job) -> JobFrame:
    """Return the job's progress as of today, and its places. Costs five queries beside those of billing."""
    today, documents = timezone.localdate(), read_in_force([job.pk])
    rooms, work_items = len(_rooms(job.pk)), len(_work_items(job.pk))
    billing_step = billing_steps([(job, estimate_events(documents))], today).get(job.pk)
    refund = refunds_due([(job, documents)]).get(job.pk, "")
    asked = bool(documents and questions_waiting([job]))
    progress = read_progress(documents, rooms, work_items, billing_step, today, refund, job.closed, asked)
    found = ((place, _url(place.address, job)) for place in places(progress, rooms, work_items))
    return JobFrame(progress, [(place, url) for place, url in found if url])


@prepared
def _rooms(job: int) -> QuerySet[Room, int]:
    return Room.objects.filter(job=job).order_by().values_list("pk", flat=True)


@prepared
def _work_items(job: int) -> QuerySet[WorkItem, int]:
    return WorkItem.objects.filter(estimate__job=job).order_by().values_list("pk", flat=True)


@register.filter
def parts(draft: Draft) -> PriceParts:
    """Return what the price of a draft is made of."""
    return price_parts(draft.priced, draft.policy)


def _url(address: str, job: Job) -> str:
    """Return where a place is; empty where no app of the site has it."""
    try:
        return reverse(address, args=[job.pk])
    except NoReverseMatch:
        return ""
