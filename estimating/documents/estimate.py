"""An estimate on its way to be issued: its snapshot and basis, and why it can't be issued yet."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.db.models import QuerySet

from catalog.models import Firm
from estimating.contract import warranty
from estimating.contract.cancellation_rule import ADDRESS_MISSING
from estimating.documents.billing_hooks import PaymentsUnfit, billing
from estimating.documents.days_hooks import planned_days
from estimating.documents.issue import CannotIssue, UnissuedDocument, in_a_sentence
from estimating.estimates.draft import Draft
from estimating.estimates.snapshots import read_estimate_snapshot
from estimating.events import states
from estimating.models import Document, Estimate
from estimating.plain_text import day_in_words
from estimating.snapshots.differences import Revision, compare, with_line_prices
from estimating.snapshots.price_basis import estimate_basis
from estimating.snapshots.priced_draft import reasons_not_ready
from reading.prepared import first_of, prepared


def prepare_estimate(estimate: Estimate, firm: Firm, draft: Draft) -> UnissuedDocument:
    """Return the estimate as it would be issued on its date, against the one in force for the job.

    Everything is worked out here, once, and handed on to be issued as it is. Raises CannotIssue where the
    draft has no work, or work that can't be taken off, or where its payment schedule can't stand.
    """
    if reasons := reasons_not_ready(draft):
        raise CannotIssue(*reasons)
    snapshot = read_estimate_snapshot(estimate, firm, draft)
    terms, kept = billing().estimate_terms()
    promised, months = warranty.promise(firm.warranty_months)
    snapshot["terms"] += terms + promised
    basis = estimate_basis(draft, draft.wording.decide_by) | kept | months
    try:
        payments, basis["payments"] = billing().estimate_payments(estimate.job, basis)
    except PaymentsUnfit as error:
        raise CannotIssue(str(error)) from error
    if payments:
        snapshot["payments"] = payments
    if draft.priced.working_days and (begins := planned_days().first_day(estimate, estimate.dated)):
        snapshot["work_days"] = {
            "about": draft.priced.working_days,
            "from": begins.isoformat(),
            "signed_by": estimate.valid_to.isoformat(),
        }
    earlier = first_of(_in_force(estimate.job_id))
    revision = compare(earlier.read_snapshot(), snapshot) if earlier else None
    if earlier and revision:
        snapshot["revision"] = revision.snapshot(f"{earlier.number}", earlier.dated.isoformat())
    return UnissuedDocument(
        kind=Document.Kind.ESTIMATE,
        job=estimate.job,
        snapshot=snapshot,
        basis=basis,
        dated=estimate.dated,
        total=draft.priced.total,
        valid_to=estimate.valid_to,
        estimate=estimate,
        supersedes=earlier,
        revision=revision,
    )


@prepared
def _in_force(job: int) -> QuerySet[Document]:
    """Return the job's estimate that no later one supersedes."""
    rows = Document.objects.filter(kind=Document.Kind.ESTIMATE, job=job, superseded_by=None)
    return rows.order_by("-pk")[:1]


def changes_for_firm(
    earlier: Document | None, snapshot: Mapping[str, Any], basis: Mapping[str, Any]
) -> Revision | None:
    """Return what an estimate changes of an earlier one, line by line, even where the client sees fewer
    prices; None where there is no earlier estimate."""
    if earlier is None or earlier.kind != Document.Kind.ESTIMATE:
        return None
    before = with_line_prices(earlier.read_snapshot(), earlier.read_basis())
    return compare(before, with_line_prices(snapshot, basis))


def reasons_against_issuing(unissued: UnissuedDocument, today: date) -> tuple[str, ...]:
    """Return why an estimate can't be issued as it is, in plain sentences; empty when it can.

    Costs a query where the estimate supersedes another.
    """
    if unissued.valid_to and unissued.valid_to < today:
        return (
            f"It is valid to {day_in_words(unissued.valid_to)}, which is past. "
            "Give it a later date, or more days on the Price page.",
        )
    notice = unissued.snapshot.get("cancellation")
    if notice and not notice["address"]:
        return (ADDRESS_MISSING,)
    if not unissued.supersedes:
        return ()
    state = unissued.supersedes.state()
    if state == states.ACCEPTED:
        return (f"{unissued.supersedes} is accepted. What changes now goes on a change order.",)
    if not unissued.revision and state in states.OPEN:
        return (f"Nothing has changed since {in_a_sentence(unissued.supersedes)} was issued.",)
    return ()
