"""After its last day a paper can't be signed until the firm has looked prices up again and said so.

He says so by a revision at the prices of today, or by extending the paper as it is: an event with the new
last day. What was issued never moves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from catalog.models import Firm, Package
from estimating.changes.draft import read_change, signed_job
from estimating.client.price_comparison import Moved, look_up, packages_of
from estimating.documents.issue import CannotIssue, changes_for_firm, unissued_estimate
from estimating.estimates.draft import read_draft
from estimating.events import states
from estimating.models import Document, Estimate, NotAllowed
from estimating.plain_text import day_in_words, money
from estimating.snapshots.differences import Revision

LONGEST = timedelta(days=365)
EXTENDABLE = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)


class CannotExtend(ValueError):
    """The paper can't be extended so; the message says why in a plain sentence."""


@dataclass(frozen=True)
class Today:
    """What a paper would come to today. `moved` are the packages that it buys, `total` and `revision` its
    draft as it stands now; `reasons` say why there is none."""

    moved: Moved
    total: Decimal | None = None
    revision: Revision | None = None
    reasons: Sequence[str] = ()


def today_s_prices(document: Document, firm: Firm, today: date) -> Today:
    """Look the paper's prices up again."""
    basis = document.read_basis()
    packages = Package.objects.offered().filter(pk__in=packages_of(basis), material__retired=False)
    moved = look_up(basis, {str(pk): price for pk, price in packages.values_list("pk", "price")})
    if document.kind == Document.Kind.CHANGE_ORDER:
        return Today(moved, _change_today(document, firm, today))
    estimate = Estimate.current(document.job, firm, today)
    try:
        paper = unissued_estimate(estimate, firm, read_draft(estimate, firm))
    except CannotIssue as error:
        return Today(moved, reasons=error.reasons)
    revision = changes_for_firm(document, paper.snapshot, paper.basis)
    return Today(moved, paper.total, revision)


def _change_today(document: Document, firm: Firm, today: date) -> Decimal | None:
    signed = signed_job(document.job)
    change = getattr(document.estimate, "change", None)
    return read_change(change, signed, firm, today).priced.total if signed and change else None


def latest_end(today: date) -> date:
    return today + LONGEST


def extend(document: Document, until: date, seen: Decimal, who: str, at: datetime, today: date) -> None:
    """Let the paper be signed to a later day, as it is. `seen` is what its materials cost more today than
    then, as the firm was shown. Raises CannotExtend."""
    if document.kind not in EXTENDABLE:
        raise CannotExtend("Only estimates and change orders have a last day to sign.")
    last = document.last_day()
    if until < today or (last and until <= last):
        after = max(today, last + timedelta(days=1)) if last else today
        raise CannotExtend(f"That day is too early: type {day_in_words(after)} or later.")
    if until > latest_end(today):
        raise CannotExtend(f"That is over a year away: type {day_in_words(latest_end(today))} or earlier.")
    data = {"valid_to": until.isoformat(), "said_by": who, "materials_moved": money(seen)}
    try:
        with transaction.atomic():
            document.record(states.EXTENDED, at, data)
    except NotAllowed as error:
        raise CannotExtend(str(error)) from error
