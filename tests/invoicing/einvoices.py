"""Invoices of the demo firm (all invented), and the official examples' lines by category and rate."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import TypedDict, Unpack

from invoicing.einvoice.model import (
    OUTSIDE,
    ZERO,
    Address,
    Adjustment,
    CorrectedInvoice,
    EInvoice,
    InvoiceLine,
    PaymentMeans,
    Tax,
    TaxCategory,
    TaxGroup,
    TradeParty,
)

TAXED = Tax(TaxCategory.STANDARD, Decimal("8.25"))
FIRM = TradeParty(
    "Tolliver Room & Tile",
    Address("12 Quarry Road", city="Fennimore Falls", postcode="00000", region="NY"),
    legal_id="HI-000417",
    tax_id="ST-555-0199",
    contact="Wren Tolliver",
    phone="555-0114",
    email="wren@example.com",
)
CLIENT = TradeParty(
    "Marisol and Dean Okonjo", Address("418 Larkspur Lane", city="Fennimore Falls", region="NY")
)
SITE = Address("418 Larkspur Lane", "Kitchen", "Fennimore Falls", "00000", "NY")


def line(amount: str, tax: Tax = TAXED, name: str = "Drywall primed") -> InvoiceLine:
    value = Decimal(amount)
    return InvoiceLine(name, abs(value), tax, Decimal(-1 if value < 0 else 1))


class EInvoiceValues(TypedDict, total=False):
    """What an invoice of the demo firm can say beside its lines."""

    adjustments: tuple[Adjustment, ...]
    is_credit: bool
    currency: str
    due: date | None
    terms: str
    note: str
    corrects: CorrectedInvoice | None
    contract: str
    site: Address | None
    finished: date | None
    pay_by: PaymentMeans | None
    paid: Decimal
    rounding: Decimal
    credited_before: tuple[TaxGroup, ...]
    tax_correction: Decimal


def invoice(*lines: InvoiceLine, **values: Unpack[EInvoiceValues]) -> EInvoice:
    values.setdefault("due", date(2026, 4, 1))
    return EInvoice("I-0003", date(2026, 3, 27), FIRM, CLIENT, lines or (line("5042.23"),), **values)


ONE_RATE = invoice(
    line("5042.23"),
    replace(line("0", name="Hours"), price=Decimal("80.00"), quantity=Decimal("3.5"), unit="HUR"),
    note="Milestone 3 of 5: walls A and B sanded and primed.",
    terms="Due in 5 days. 1 % a month on late money, as the contract states.",
    contract="E-0012",
    site=SITE,
    finished=date(2026, 3, 26),
    pay_by=PaymentMeans("30", "Transfer, or check to Tolliver Room & Tile", "000123456789"),
)
MIXED = invoice(line("5042.23"), line("336.00", ZERO, "Labor, not taxed"), line("-252.11", TAXED, "Held"))
UNTAXED = replace(
    invoice(line("7563.35", OUTSIDE), line("-1000.00", OUTSIDE, "Deposit applied")),
    seller=replace(FIRM, tax_id=""),
)
EXEMPT = invoice(line("900.00", Tax(TaxCategory.EXEMPT, reason="Exemption certificate 0042")))
ADJUSTED = invoice(
    line("1000.01"),
    adjustments=(
        Adjustment(Decimal("50.00"), "Neighbor's discount", TAXED),
        Adjustment(Decimal("25.50"), "Permit fee", TAXED, is_charge=True),
    ),
)
PREPAID = invoice(line("1000.00"), paid=Decimal("600.00"))
PAID = invoice(line("1000.00"), paid=Decimal("1082.50"))
FREE = invoice(line("500.00", OUTSIDE), line("-500.00", OUTSIDE, "Deposit applied"), due=None)
CREDIT_NOTE = invoice(
    line("500.00"),
    line("-50.00", TAXED, "Retainage held back"),
    is_credit=True,
    corrects=CorrectedInvoice("I-0002", date(2026, 3, 12)),
    terms="Credited to you.",
    due=None,
)
LAST_CREDIT_NOTE = replace(
    CREDIT_NOTE,
    lines=(line("9.40"),),
    credited_before=(TaxGroup(TAXED, Decimal("5.05"), Decimal("0.42")),),
)
ALL = {
    "one rate": ONE_RATE,
    "taxed beside not taxed": MIXED,
    "nothing taxed": UNTAXED,
    "exempt client": EXEMPT,
    "allowance and charge": ADJUSTED,
    "part paid before": PREPAID,
    "receipt": PAID,
    "deposit covers it": FREE,
    "credit note": CREDIT_NOTE,
    "last credit note": LAST_CREDIT_NOTE,
}


def example(groups: dict[str, str], adjustments: str = "", paid: str = "0") -> EInvoice:
    """An invoice of net amounts by category and rate ("S25"), with document charges and, negative,
    allowances at the first of them."""
    taxes = {
        code: Tax(
            TaxCategory(code[0]), Decimal(code[1:] or 0), "As the example says" if code[0] == "E" else ""
        )
        for code in groups
    }
    lines = [line(amount, taxes[code]) for code, amounts in groups.items() for amount in amounts.split()]
    first = next(iter(taxes.values()))
    added = tuple(
        Adjustment(abs(Decimal(amount)), "As the example says", first, Decimal(amount) > 0)
        for amount in adjustments.split()
    )
    return invoice(*lines, adjustments=added, paid=Decimal(paid))
