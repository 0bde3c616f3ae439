"""Changes billed by hours and receipts: what was entered for them, and what that comes to up to the limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalog.markup import parse_markup
from invoicing.agreed import Agreed, change_key
from invoicing.milestones import SignedChange
from invoicing.models import HoursWorked, ReceiptKept
from invoicing.time_and_material import Hours, Receipt, Terms, Worth, worth_so_far


@dataclass(frozen=True)
class Measured:
    """The part of a signed change that is billed by measure, with its entries and each one's price."""

    document: int
    change: SignedChange
    terms: Terms
    hours: Sequence[tuple[HoursWorked, Decimal]]
    receipts: Sequence[tuple[ReceiptKept, Decimal]]
    worth: Worth

    @property
    def room(self) -> Decimal:
        """What is left up to the limit."""
        return self.worth.limit - self.worth.billable


def measured_changes(agreed: Agreed) -> dict[str, Measured]:
    """Those of a job by the keys of their changes. Costs two queries where there are any."""
    bases = {change_key(paper.document, True): paper for paper in agreed.papers[1:]}
    found = {
        bases[change.key].document: (change, bases[change.key].basis)
        for change in agreed.changes
        if change.by_measure
    }
    if not found:
        return {}
    hours = list(HoursWorked.objects.filter(document__in=found))
    receipts = list(ReceiptKept.objects.filter(document__in=found))
    return {
        change.key: _measured(
            document,
            change,
            basis,
            [row for row in hours if row.document_id == document],
            [row for row in receipts if row.document_id == document],
        )
        for document, (change, basis) in found.items()
    }


def _measured(
    document: int,
    change: SignedChange,
    basis: Mapping[str, Any],
    hours: Sequence[HoursWorked],
    receipts: Sequence[ReceiptKept],
) -> Measured:
    terms = Terms(Decimal(basis["hour_price"]), parse_markup(basis["markup"]), change.amount)
    worth = worth_so_far(
        terms,
        [Hours(row.hours, row.says) for row in hours],
        [Receipt(row.cost.amount, row.tax.amount, row.says) for row in receipts],
    )
    return Measured(
        document,
        change,
        terms,
        list(zip(hours, worth.hours, strict=True)),
        list(zip(receipts, worth.receipts, strict=True)),
        worth,
    )
