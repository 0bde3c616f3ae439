"""The basis of an issued invoice or credit note: its lines as they enter the history, and its sums.

The lines of a credit note have the opposite sign of its invoice's; its sums are above zero, as printed.
The keys are frozen with every issued document and must stay as they are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from estimating.plain_text import money
from invoicing.billing.lines import BillLine, BillLineKind


@dataclass(frozen=True)
class BilledSums:
    """The sums of an issued document.

    `corrects` is the invoice that a credit note takes back: "Invoice 1001".
    """

    before_tax: Decimal
    taxable: Decimal
    tax: Decimal
    due: date | None
    corrects: str = ""

    @property
    def total(self) -> Decimal:
        """What the document asks for or gives back, with sales tax."""
        return self.before_tax + self.tax


def write_basis(lines: Sequence[BillLine], sums: BilledSums, position: int) -> dict[str, Any]:
    """Return the basis as plain values; `position` is the document's among the bills of its job, from 1."""
    return {
        "place": position,
        "lines": [
            {
                "kind": line.kind.value,
                "title": line.title,
                "amount": money(line.amount),
                "taxable": money(line.taxable),
                "milestone": line.milestone,
                "change": line.change,
                "retained": line.retained,
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
    """Return the lines as they enter the history."""
    return tuple(
        BillLine(
            BillLineKind(line["kind"]),
            line["title"],
            Decimal(line["amount"]),
            Decimal(line["taxable"]),
            line["milestone"],
            line["change"],
            line.get("retained", True),  # before this key, retainage was held from every line of work
        )
        for line in basis["lines"]
    )


def read_sums(basis: Mapping[str, Any]) -> BilledSums:
    """Return the sums."""
    return BilledSums(
        Decimal(basis["before_tax"]),
        Decimal(basis["taxable"]),
        Decimal(basis["tax"]),
        date.fromisoformat(basis["due"]) if basis["due"] else None,
        basis["corrects"],
    )
