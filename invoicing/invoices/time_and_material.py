"""Changes billed by hours and receipts: what was entered for them, and what that comes to up to the limit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price
from catalog.money.markup import parse_markup
from estimating.plain_text import in_a_row
from invoicing.billing.draft import SoFar
from invoicing.billing.time_and_material import Hours, Receipt, Terms, Worth, worth_so_far
from invoicing.milestones.contract_amounts import Agreed, change_key
from invoicing.milestones.plan import NO_MONEY, SignedChange
from invoicing.models import HoursWorked, ReceiptKept


@dataclass(frozen=True)
class Measured:
    """The part of a signed change that is billed by measure, with its entries and each one's price."""

    document: int
    change: SignedChange
    terms: Terms
    tax_policy: str
    hours: Sequence[tuple[HoursWorked, Decimal]]
    receipts: Sequence[tuple[ReceiptKept, Decimal]]
    worth: Worth

    @property
    def room(self) -> Decimal:
        """What is left up to the limit."""
        return self.worth.limit - self.worth.billable

    @property
    def taxable(self) -> Decimal:
        """What is taxed of what can be billed: what was bought with its markup, where only material is. Never
        more than was signed."""
        taxed = self.worth.billable if self.tax_policy == "everything" else self.worth.material
        return min(taxed, self.change.taxable)

    def in_words(self) -> str:
        """How it came about, as the client reads it on the bill: "So far 3.5 hours at $80.00." """
        hours = sum((row.hours for row, _ in self.hours), NO_MONEY).normalize()
        paid = sum((row.cost.amount + row.tax.amount for row, _ in self.receipts), NO_MONEY)
        parts = [f"{hours:f} hours at {format_price(self.terms.hour_price)}"] if hours else []
        if paid:
            parts.append(
                f"receipts of {format_price(paid)} with {format_percent(self.terms.markup.share)} on top"
            )
        return f"So far {in_a_row(parts)}; at most {format_price(self.worth.limit)}." if parts else ""


def worth_of(measured: Mapping[str, Measured]) -> dict[str, SoFar]:
    """What each change has come to up to its limit, as `draft_bill` takes it."""
    return {key: SoFar(each.worth.billable, each.taxable) for key, each in measured.items()}


def measured_changes(*agreed: Agreed) -> dict[str, Measured]:
    """Those of one or more jobs by the keys of their changes. Costs two queries where there are any."""
    bases = {change_key(paper.document, True): paper for each in agreed for paper in each.papers[1:]}
    found = {
        bases[change.key].document: (change, bases[change.key].basis)
        for each in agreed
        for change in each.changes
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
        basis["policy"]["tax_policy"],
        list(zip(hours, worth.hours, strict=True)),
        list(zip(receipts, worth.receipts, strict=True)),
        worth,
    )
