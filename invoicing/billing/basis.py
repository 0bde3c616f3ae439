"""What is kept behind an issued invoice or credit note: its lines as they enter history, and its sums.

A credit note's lines have the opposite sign of its invoice's; its sums are above zero, as on its paper.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.plain_text import money
from invoicing.billing.draft import BillLine, Kind


@dataclass(frozen=True)
class BilledSums:
    """Sums of an issued paper. `corrects` is the invoice that a credit note takes back: "Invoice 1001"."""

    before_tax: Decimal
    taxable: Decimal
    tax: Decimal
    due: date | None
    corrects: str = ""

    @property
    def total(self) -> Decimal:
        return self.before_tax + self.tax


def write_basis(lines: Sequence[BillLine], sums: BilledSums, place: int) -> dict[str, Any]:
    """Plain values for the basis of a document; `place` is its place among the bills of its job, from 1."""
    return {
        "place": place,
        "lines": [
            {
                "kind": line.kind.value,
                "title": line.title,
                "amount": money(line.amount),
                "taxable": money(line.taxable),
                "milestone": line.milestone,
                "change": line.change,
            }
            for line in lines
        ],
        "before_tax": money(sums.before_tax),
        "taxable": money(sums.taxable),
        "tax": money(sums.tax),
        "total": money(sums.total),
        "due": sums.due.isoformat() if sums.due else "",
        "corrects": sums.corrects,
    }


def read_lines(basis: Mapping[str, Any]) -> tuple[BillLine, ...]:
    """The lines as they enter history."""
    return tuple(
        BillLine(
            Kind(line["kind"]),
            line["title"],
            Decimal(line["amount"]),
            Decimal(line["taxable"]),
            line["milestone"],
            line["change"],
        )
        for line in basis["lines"]
    )


def read_sums(basis: Mapping[str, Any]) -> BilledSums:
    return BilledSums(
        Decimal(basis["before_tax"]),
        Decimal(basis["taxable"]),
        Decimal(basis["tax"]),
        date.fromisoformat(basis["due"]) if basis["due"] else None,
        basis["corrects"],
    )
