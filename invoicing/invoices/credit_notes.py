"""An invoice with the credit notes on it: what they took back, and what is left to take back."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimating.models import Document
from invoicing.billing.basis import read_lines
from invoicing.billing.credit_note import PROPORTIONAL_KINDS, left_of_line
from invoicing.billing.lines import WORK_KINDS, BillLine


@dataclass(frozen=True)
class CreditedInvoice:
    """An invoice and the credit notes on it, the oldest first; there may be none."""

    invoice: Document
    notes: Sequence[Document]

    @property
    def lines(self) -> tuple[BillLine, ...]:
        return read_lines(self.invoice.read_basis())

    @property
    def credited(self) -> list[BillLine]:
        """The lines of the credit notes, which have the opposite sign of those of the invoice."""
        return [line for note in self.notes for line in read_lines(note.read_basis())]

    @property
    def has_work(self) -> bool:
        """Whether it bills work, which can be given up."""
        return any(line.kind in WORK_KINDS for line in self.lines)

    def left(self) -> list[tuple[BillLine, Decimal]]:
        """Return the lines that a credit note can choose from, with what is left of each."""
        credited = self.credited
        left = [
            (line, left_of_line(line, credited)) for line in self.lines if line.kind not in PROPORTIONAL_KINDS
        ]
        return [(line, amount) for line, amount in left if amount]


def read_credited_invoice(invoice: Document) -> CreditedInvoice:
    """Return an invoice with the credit notes on it. Costs a query."""
    return CreditedInvoice(invoice, list(Document.objects.filter(billed__corrects=invoice).order_by("pk")))
