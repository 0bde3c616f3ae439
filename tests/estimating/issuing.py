"""A painted floor, ready to be issued."""

from datetime import UTC, date, datetime
from typing import Any

from estimating.documents.estimate import prepare_estimate
from estimating.documents.issue import UnissuedDocument, issue
from estimating.estimates.draft import read_draft
from estimating.models import Document, Estimate
from tests.factories import make_client, make_estimate, make_firm, make_job, make_painting, make_room, put_on

DAY = date(2026, 11, 24)
AT = datetime(2026, 11, 24, 21, 30, tzinfo=UTC)


def painted_floor(**job: Any) -> Estimate:
    """120 sq ft: 2 gal at $40.00 and 1.2 hours at $70.00, each with 20 %: $196.80."""
    job.setdefault("client", make_client(name="Marisol and Dean Okonjo", email="okonjo@example.com"))
    estimate = make_estimate(make_job(**job), make_firm(detail="line"))
    estimate.runs = 0
    estimate.save()
    put_on(estimate, make_painting(), make_room(estimate.job), title="Paint the floor")
    return estimate


def floor_dated(dated: date) -> Estimate:
    """The same, with the date that its paper will bear."""
    estimate = painted_floor()
    estimate.dated = dated
    estimate.save()
    return estimate


def another_floor(estimate: Estimate) -> Estimate:
    """A further job with the same work on a room of its own."""
    assembly = estimate.items.get().assembly
    assert assembly
    further = make_estimate(make_job(client=estimate.job.client), make_firm())
    put_on(further, assembly, make_room(further.job))
    return further


def unissued(estimate: Estimate) -> UnissuedDocument:
    estimate = Estimate.objects.get(pk=estimate.pk)
    firm = make_firm()
    return prepare_estimate(estimate, firm, read_draft(estimate, firm))


def issue_now(estimate: Estimate) -> Document:
    return issue(unissued(estimate), AT)
