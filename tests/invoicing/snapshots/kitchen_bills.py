"""Snapshots of invoices, credit notes and a receipt of the demo kitchen."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimating.snapshots.wording import DocumentParty
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import Bill, draft_bill, draft_deposit
from invoicing.snapshots.invoice import (
    BillHeader,
    PaidBefore,
    credit_snapshot,
    invoice_snapshot,
    receipt_snapshot,
)
from tests.invoicing.kitchen import changed_plan


def header(tax_percent: Decimal = Decimal(0), tax_permit: str = "") -> BillHeader:
    firm = DocumentParty(
        "Tolliver Room & Tile",
        "Wren Tolliver",
        "Registration TRT-0142",
        "27 Quarry Road\nFennimore Falls, NY 00000",
        "555-0142",
        "wren@example.com",
    )
    return BillHeader(
        firm,
        DocumentParty("Marisol and Dean Okonjo", address="418 Larkspur Lane\nFennimore Falls"),
        "Okonjo kitchen",
        "418 Larkspur Lane",
        date(2026, 11, 25),
        due=date(2026, 11, 30),
        contract="Estimate 1001",
        how_to_pay="By check, handed over.\nThe number of the invoice on it, please.",
        late="Money that is late costs 12% a year, counted by the day, as we agreed.",
        signed_changes=2,
        state="NY",
        tax_percent=tax_percent,
        tax_permit=tax_permit,
    )


def numbered(snapshot: Mapping[str, Any], number: str = "INV-1002") -> dict[str, Any]:
    """As it is issued."""
    return {**snapshot, "number": number, "title": f"Invoice {number}: Okonjo kitchen"}


# Drywall primed 5042.23 and rot 750.25, less 5 % retainage of 289.62, less the deposit of 1000.00.
PLAN = changed_plan(retainage=Fraction(1, 20), deposit=Decimal("1000.00"))
DEPOSIT = draft_deposit(PLAN, ())
BILL = draft_bill(PLAN, DEPOSIT.lines, ["M3"])
INVOICE = numbered(invoice_snapshot(BILL, header(), PaidBefore(paid=Decimal("1000.00"))))
CREDIT = numbered(
    credit_snapshot(draft_credit(PLAN, [*DEPOSIT.lines, *BILL.lines], BILL.lines), header(), INVOICE), "1"
)
RECEIPT = receipt_snapshot(INVOICE, [(date(2026, 11, 28), "Check 1042", Decimal("4502.86"))])


TAXED = header(Decimal("8.25"), "ST-555-0142")


def taxed_snapshots() -> dict[str, dict[str, Any]]:
    """An invoice of which $2,000.00 are taxed, and two credit notes that take it back."""
    plan = changed_plan()
    lines = [
        line if line.change else replace(line, taxable=Decimal("2000.00"))
        for line in draft_bill(plan, (), ["M3"]).lines
    ]
    bill = Bill(tuple(lines), BILL.before)
    invoice = numbered(invoice_snapshot(bill, TAXED))
    first = draft_credit(plan, lines, lines, (), {lines[0].key: Decimal("42.23")})
    first_note = numbered(credit_snapshot(first, TAXED, invoice), "1")
    rest = draft_credit(plan, [*lines, *first.lines], lines, first.lines)
    last_note = numbered(credit_snapshot(rest, TAXED, invoice, [first_note]), "2")
    return {"taxed invoice": invoice, "first credit note": first_note, "last credit note": last_note}


SNAPSHOTS = {"invoice": INVOICE, "credit note": CREDIT, "receipt": RECEIPT, **taxed_snapshots()}
