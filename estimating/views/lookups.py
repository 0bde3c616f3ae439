"""The rows that the address of a page names, 404 where there is none, and the words that it asks for."""

from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from catalog.models import Firm
from estimating.models import Estimate, Job, WorkItem
from reading.prepared import first_of, prepared


def typed_words(request: HttpRequest, name: str) -> str:
    """Return what was typed to search by, without what no database takes; at most 100 letters."""
    return request.GET.get(name, "").replace("\0", "").strip()[:100]


def get_job(job_id: int) -> Job:
    """Return the job with its client, or answer 404."""
    job = first_of(_jobs(job_id))
    if job is None:
        raise Http404("No such job.")
    return job


@prepared
def _jobs(job: int) -> QuerySet[Job]:
    return Job.objects.filter(pk=job).select_related("client")


def get_estimate(job: Job, firm: Firm) -> Estimate:
    """Return the job's draft, begun today when there is none."""
    return Estimate.current(job, firm, timezone.localdate())


def get_item(job: Job, item_id: int) -> WorkItem:
    """Return a work item of the job, with its change and assembly, or answer 404."""
    return get_object_or_404(
        WorkItem.objects.select_related("estimate__change", "assembly"), pk=item_id, estimate__job=job
    )


def list_url(item: WorkItem) -> str:
    """Return the page that lists the item: the job's work, or the change that adds it."""
    change = getattr(item.estimate, "change", None)
    return change.get_absolute_url() if change else reverse("job-work", args=[item.estimate.job_id])


def is_signed(item: WorkItem) -> bool:
    """Tell whether the item is work of a change that was signed, which stays as it is."""
    change = getattr(item.estimate, "change", None)
    return change is not None and change.is_signed()
