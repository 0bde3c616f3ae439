"""Amounts proposed by what a job already tells, stored on its work and marked as proposed."""

from decimal import Decimal

from catalog.measures.room_measures import MEASURES
from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, MeasureOverride
from estimating.takeoff.proposals import proposals

PROPOSED = "proposed by "


def propose_amounts(estimate: Estimate, firm: Firm) -> None:
    """Store an amount, marked as proposed, on each piece of work whose amount the job already tells.

    Call in a transaction. Costs what reading the draft costs, and a write.
    """
    draft = read_draft(estimate, firm, "first")
    rows = []
    for proposal in proposals(draft.works, draft.rooms, draft.take_off):
        amount = Decimal(proposal.amount.numerator) / Decimal(proposal.amount.denominator)
        is_length = MEASURES[proposal.measure].unit == "ft"
        rows.append(
            MeasureOverride(
                item_id=int(proposal.work),
                measure=proposal.measure,
                amount=amount,
                typed=f"{amount:f}'" if is_length else f"{amount:f}",
                reason=f"{PROPOSED}{proposal.why}",
            )
        )
    MeasureOverride.objects.bulk_create(rows)
