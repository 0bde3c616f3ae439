"""The tape of a job, read from its papers in force."""

from collections.abc import Sequence
from datetime import date

from estimating.client.cancel import what_waits
from estimating.events.states import EXPIRED, OPEN
from estimating.models import Document
from estimating.models.document import DocumentQuerySet
from estimating.progress.steps import Step, Tape, tape

SIGNED_FOR = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)


def papers_in_force() -> DocumentQuerySet:
    """Estimates and changes that nothing supersedes, with what happened to them."""
    return Document.objects.for_list().filter(kind__in=SIGNED_FOR, superseded_by=None)


def estimate_events(papers: Sequence[Document]) -> list[str]:
    """What happened to the estimate among a job's papers in force; nothing before one is issued."""
    return next((each.happened() for each in papers if each.kind == Document.Kind.ESTIMATE), [])


def read_tape(
    papers: Sequence[Document], rooms: int, work_items: int, money: Step | None, today: date
) -> Tape:
    """The tape of a job with these papers in force. Costs no query."""
    estimates = [each for each in papers if each.kind == Document.Kind.ESTIMATE]
    waiting = sum(each.state() in OPEN for each in papers if each.kind == Document.Kind.CHANGE_ORDER)
    expired = any(each.standing(today) == EXPIRED for each in estimates)
    waits = what_waits(papers, today)
    return tape(rooms, work_items, estimate_events(papers), waiting, waits, money, expired)
