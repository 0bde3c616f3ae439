"""The progress of jobs, read from their documents in force."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

from estimating.client.cancel import reason_to_wait
from estimating.documents.billing_hooks import billing
from estimating.documents.progress_step import ProgressStep
from estimating.events.states import ACCEPTED, ANSWERED, CANCELED, EXPIRED, OPEN, QUESTION, state_after
from estimating.models import Document, DocumentEvent, Job, Room, WorkItem
from estimating.models.document import DocumentQuerySet, with_events
from estimating.progress.steps import JobProgress, job_progress
from reading.prepared import keys_of, prepared

SIGNED_KINDS = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)


def documents_in_force() -> DocumentQuerySet:
    """Return the estimates and changes that nothing supersedes, with their events."""
    return Document.objects.for_list().filter(kind__in=SIGNED_KINDS, superseded_by=None)


def read_in_force(jobs: Collection[int]) -> list[Document]:
    """Read those of jobs. Costs two queries."""
    return with_events(_in_force(jobs))


@prepared
def _in_force(jobs: Collection[int]) -> DocumentQuerySet:
    return documents_in_force().filter(job__in=jobs).prefetch_related(None)


def estimate_events(documents: Sequence[Document]) -> list[str]:
    """Return the events of the estimate among a job's documents in force; none before one is issued."""
    kinds = (document.event_kinds() for document in documents if document.kind == Document.Kind.ESTIMATE)
    return next(kinds, [])


def billing_steps(jobs: Iterable[tuple[Job, Sequence[str]]], today: date) -> Mapping[int, ProgressStep]:
    """Return what billing names as the next step of jobs, by the primary key of the job.

    `jobs` come with the events of their estimate in force. A job that isn't signed has no such step.
    Costs the queries of billing, about ten for all jobs together.
    """
    signed = [job for job, events in jobs if state_after(events) == ACCEPTED]
    return billing().next_steps(signed, today) if signed else {}


def refunds_due(jobs: Iterable[tuple[Job, Sequence[Document]]]) -> Mapping[int, str]:
    """Return what goes back to clients who canceled, as a next step, by the primary key of the job.

    `jobs` come with their documents in force. Costs no query where nothing was canceled and no estimate was
    replaced.
    """
    canceled = [job for job, documents in jobs if any(map(_may_follow_a_cancellation, documents))]
    due = billing().refunds_due(canceled) if canceled else ()
    return {refund.job.pk: refund.in_words() for refund in reversed(due)}  # the earliest day of each job


def questions_waiting(jobs: Iterable[Job]) -> set[int]:
    """Return which jobs have a question of the client's that nobody answered, by the primary key of the job.

    He may ask about any paper that nothing supersedes, bills and certificates too. Costs a query.
    """
    latest = {document: (job, kind) for document, job, kind in _messages(keys_of(jobs))}
    return {job for job, kind in latest.values() if kind == QUESTION}


@prepared
def _messages(jobs: Collection[int]) -> QuerySet[DocumentEvent, tuple[int, int, str]]:
    # By their papers first: SQLite would begin at every question that there ever was.
    papers = Document.objects.filter(job__in=jobs, superseded_by=None).order_by().values("pk")
    messages = DocumentEvent.objects.filter(kind__in=(QUESTION, ANSWERED), document__in=papers)
    return messages.order_by("place").values_list("document", "document__job", "kind")


def _may_follow_a_cancellation(document: Document) -> bool:
    state = document.state()
    is_estimate = document.kind == Document.Kind.ESTIMATE
    return state == CANCELED or (is_estimate and document.supersedes_id is not None and state != ACCEPTED)


def jobs_with_progress(jobs: Iterable[Job], today: date) -> list[tuple[Job, JobProgress]]:
    """Return jobs with their progress as of a day, in their order.

    Costs four queries beside those of billing, however many jobs there are.
    """
    jobs = list(jobs)
    keys = keys_of(jobs)
    counts = {job: (rooms or 0, items or 0) for job, rooms, items in _counts(keys)}
    documents: defaultdict[int, list[Document]] = defaultdict(list)
    for document in read_in_force(keys):
        documents[document.job_id].append(document)
    steps = billing_steps([(job, estimate_events(documents[job.pk])) for job in jobs], today)
    refunds = refunds_due([(job, documents[job.pk]) for job in jobs])
    asked = questions_waiting([job for job in jobs if documents[job.pk]]) if documents else set()
    return [
        (
            job,
            read_progress(
                documents[job.pk],
                *counts[job.pk],
                steps.get(job.pk),
                today,
                refunds.get(job.pk, ""),
                job.closed,
                job.pk in asked,
            ),
        )
        for job in jobs
    ]


@prepared
def _counts(jobs: Collection[int]) -> QuerySet[Job, Any]:
    """Return how many rooms and lines of work jobs have, where they have any."""
    rooms = Room.objects.filter(job=OuterRef("pk")).order_by().values("job")
    items = WorkItem.objects.filter(estimate__job=OuterRef("pk")).order_by().values("estimate__job")
    counts = (Subquery(of_job.annotate(count=Count("pk")).values("count")) for of_job in (rooms, items))
    return Job.objects.filter(pk__in=jobs).order_by().values_list("pk", *counts)


def read_progress(
    documents: Sequence[Document],
    rooms: int,
    work_items: int,
    billing_step: ProgressStep | None,
    today: date,
    refund: str = "",
    closed: bool = False,
    asked: bool = False,
) -> JobProgress:
    """Return the progress of a job with these documents in force. Costs no query."""
    estimates = [document for document in documents if document.kind == Document.Kind.ESTIMATE]
    changes = [document for document in documents if document.kind == Document.Kind.CHANGE_ORDER]
    return job_progress(
        rooms,
        work_items,
        estimate_events(documents),
        changes_waiting=sum(change.state() in OPEN for change in changes),
        must_wait=reason_to_wait(documents, today),
        billing_step=billing_step,
        expired=any(estimate.state_as_of(today) == EXPIRED for estimate in estimates),
        refund=refund,
        closed=closed,
        asked=asked,
    )
