"""Extending a document past its last day, and what its prices are today.

After its last day a document can't be signed until the firm has looked prices up again. The firm then either
issues a revision at the prices of today, or extends the document as it is: an event with the new last day.
`Document.last_day()` is that day everywhere; what was issued, `valid_to` included, never moves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from catalog.models import Firm, Package
from estimating.changes.draft import read_change, signed_job
from estimating.client.price_comparison import PriceChanges, compare_prices, package_keys
from estimating.documents.estimate import changes_for_firm, prepare_estimate
from estimating.documents.issue import CannotIssue
from estimating.estimates.draft import read_draft
from estimating.events import states
from estimating.models import Document, Estimate, NotAllowed
from estimating.plain_text import day_in_words, money
from estimating.snapshots.differences import Revision

LONGEST = timedelta(days=365)
EXTENDABLE = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)


class CannotExtend(ValueError):
    """The document can't be extended so; the message says why in a plain sentence."""


@dataclass(frozen=True)
class CurrentPricing:
    """What a document would come to today.

    `materials` are the prices of the packages that it buys; `total` and `revision` are those of its draft as
    it is now; `reasons` are sentences why there is no such draft.
    """

    materials: PriceChanges
    total: Decimal | None = None
    revision: Revision | None = None
    reasons: Sequence[str] = ()


def current_prices(document: Document, firm: Firm, today: date) -> CurrentPricing:
    """Return what an estimate or a change order would come to today."""
    basis = document.read_basis()
    packages = Package.objects.offered().filter(pk__in=package_keys(basis), material__retired=False)
    materials = compare_prices(basis, {str(package.pk): package.price.amount for package in packages})
    if document.kind == Document.Kind.CHANGE_ORDER:
        return CurrentPricing(materials, _change_total(document, firm, today))
    estimate = Estimate.current(document.job, firm, today)
    estimate.dated = today
    try:
        unissued = prepare_estimate(estimate, firm, read_draft(estimate, firm))
    except CannotIssue as error:
        return CurrentPricing(materials, reasons=error.reasons)
    revision = changes_for_firm(document, unissued.snapshot, unissued.basis)
    return CurrentPricing(materials, unissued.total, revision)


def _change_total(document: Document, firm: Firm, today: date) -> Decimal | None:
    signed = signed_job(document.job)
    change = getattr(document.estimate, "change", None)
    return read_change(change, signed, firm, today).priced.total if signed and change else None


def can_be_extended(document: Document, today: date) -> bool:
    """Return whether a document can be extended: one that the client signs, unanswered, expired or not."""
    return document.kind in EXTENDABLE and document.state_as_of(today) in (*states.OPEN, states.EXPIRED)


def usual_end(document: Document, firm: Firm, today: date) -> date:
    """Return the last day of a document that is issued today."""
    return today + timedelta(days=document.estimate.valid_days if document.estimate else firm.valid_days)


def latest_end(today: date) -> date:
    """Return the latest day to which a document can be extended."""
    return today + LONGEST


def extend(document: Document, until: date, seen: Decimal, who: str, at: datetime, today: date) -> None:
    """Let a document be signed to a later day, as it is.

    `seen` is what its materials cost more today than then, as the firm was shown. Raises CannotExtend.
    """
    if document.kind not in EXTENDABLE:
        raise CannotExtend("Only estimates and change orders have a last day to sign.")
    last = document.last_day()
    if until < today or (last and until <= last):
        first = max(today, last + timedelta(days=1)) if last else today
        raise CannotExtend(f"That day is too early: type {day_in_words(first)} or later.")
    if until > latest_end(today):
        raise CannotExtend(f"That is over a year away: type {day_in_words(latest_end(today))} or earlier.")
    data = {"valid_to": until.isoformat(), "said_by": who, "materials_moved": money(seen)}
    try:
        with transaction.atomic():
            document.record(states.EXTENDED, at, data)
    except NotAllowed as error:
        raise CannotExtend(str(error)) from error
