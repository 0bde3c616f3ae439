"""The EN 16931 invoice that says what a snapshot says, so that a PDF and the XML in it can't differ."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.einvoice.model import (
    CorrectedInvoice,
    EInvoice,
    PaymentMeans,
    Tax,
    TaxCategory,
    TaxGroup,
    TradeParty,
    taxed_lines,
)
from invoicing.snapshots.postal_address import parse_postal_address

# UNTDID 4461: the means isn't one of the list; the text says which.
AS_THE_TEXT_SAYS = "1"


def einvoice_of(snapshot: Mapping[str, Any]) -> EInvoice:
    """Return the e-invoice of an invoice, credit note or receipt; that of a receipt is paid."""
    kind, number = snapshot["kind"], snapshot.get("number", "to come")
    is_credit = kind == "credit_note"
    percent = Decimal(snapshot["tax_percent"])
    site = parse_postal_address(snapshot["job"]["address"], snapshot["state"])
    buyer = _trade_party(snapshot["client"], snapshot["state"])
    due, corrects = snapshot.get("due_on"), snapshot.get("corrects")
    payments = (Decimal(payment["amount"]) for payment in snapshot.get("payments", ()))
    paid = sum(payments, Decimal(snapshot.get("credit", "0.00")))
    return EInvoice(
        number=f"{'Credit note' if is_credit else 'Invoice'} {number}",
        issued=date.fromisoformat(snapshot["dated"]),
        seller=_trade_party(snapshot["firm"]),
        buyer=buyer,
        lines=taxed_lines(snapshot_lines(snapshot), percent),
        is_credit=is_credit,
        due=date.fromisoformat(due) if due else None,
        terms="Credited to you." if is_credit else snapshot.get("late", ""),
        note=" ".join(snapshot["note"]),
        corrects=(
            CorrectedInvoice(corrects["number"], date.fromisoformat(corrects["dated"])) if corrects else None
        ),
        contract=snapshot["agreed"],
        site=site if site != buyer.address else None,
        pay_by=_payment_means(snapshot),
        paid=paid,
        tax_correction=Decimal(snapshot["cents"]),
        credited_before=tuple(
            TaxGroup(Tax(TaxCategory.STANDARD, percent), Decimal(group["base"]), Decimal(group["amount"]))
            for group in snapshot.get("credited_before", ())
        ),
    )


def snapshot_lines(snapshot: Mapping[str, Any]) -> list[BillLine]:
    """Return the lines of a snapshot, with the sign that is printed."""
    return [
        BillLine(BillLineKind(line["kind"]), line["title"], Decimal(line["amount"]), Decimal(line["taxable"]))
        for line in snapshot["lines"]
    ]


def _trade_party(party: Mapping[str, Any], state: str = "") -> TradeParty:
    return TradeParty(
        party["name"],
        parse_postal_address(party["address"], state),
        legal_id=party["licence"],
        tax_id=party.get("tax_permit", ""),
        contact=party["owner"],
        phone=party["phone"],
        email=party["email"],
    )


def _payment_means(snapshot: Mapping[str, Any]) -> PaymentMeans | None:
    text = "; ".join(snapshot.get("how_to_pay", ()))
    return PaymentMeans(AS_THE_TEXT_SAYS, text) if text else None
