"""What the snapshot of a bill says, and the XML of the same bill."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from lxml import etree

from invoicing.billing.draft import Bill
from invoicing.einvoice.cii import write_cii
from invoicing.einvoice.model import Address
from invoicing.einvoice.ubl import write_ubl
from invoicing.snapshots.einvoice import einvoice_of, snapshot_lines
from invoicing.snapshots.invoice import PaidBefore, credit_snapshot, invoice_snapshot, receipt_snapshot
from tests.invoicing.official_rules import cii_faults, ubl_faults
from tests.invoicing.snapshots.kitchen_bills import (
    BILL,
    CREDIT,
    INVOICE,
    SNAPSHOTS,
    TAXED,
    header,
    numbered,
    taxed_snapshots,
)


def test_credit_on_account_pays_the_bill_as_far_as_it_goes() -> None:
    part = invoice_snapshot(BILL, header(), PaidBefore(credit=Decimal("2.86")))
    whole = invoice_snapshot(BILL, header(), PaidBefore(credit=Decimal("9999.00")))
    assert (part["credit"], part["due"], whole["credit"], whole["due"]) == (
        "2.86",
        "4500.00",
        "4502.86",
        "0.00",
    )
    assert whole["first_line"].endswith("Nothing is left to pay on it.")
    assert ("credit_left" in part, whole["credit_left"]) == (False, "5496.14")


@pytest.mark.parametrize("name", SNAPSHOTS)
def test_the_xml_of_every_paper_keeps_the_official_rules(name: str) -> None:
    invoice = einvoice_of(SNAPSHOTS[name])
    assert cii_faults(write_cii(invoice)) == []
    assert ubl_faults(write_ubl(invoice)) == []


def test_credit_notes_give_back_the_tax_of_the_invoice_to_the_cent() -> None:
    snapshots = taxed_snapshots()
    tax = {name: Decimal(snapshot["tax"]["amount"]) for name, snapshot in snapshots.items()}
    assert tax["taxed invoice"] == Decimal("165.00")  # 8.25 % of 2000.00
    assert tax["first credit note"] + tax["last credit note"] == tax["taxed invoice"]


@pytest.mark.parametrize("name", SNAPSHOTS)
def test_paper_and_xml_say_the_same_sums(name: str) -> None:
    snapshot = SNAPSHOTS[name]
    root = etree.fromstring(write_cii(einvoice_of(snapshot)))
    printed = {etree.QName(element).localname: element.text for element in root.iter()}
    paid = sum(Decimal(payment["amount"]) for payment in snapshot.get("payments", ()))
    assert printed["GrandTotalAmount"] == snapshot["total"]
    assert printed["DuePayableAmount"] == f"{Decimal(snapshot['due']) - paid:.2f}"


def test_an_invoice_says_how_the_contract_stands_before_and_after_it() -> None:
    assert INVOICE["contract"] == {
        "label": "Estimate 1001, with 2 changes",
        "sum": "26447.06",
        "before": "1000.00",
        "this": "4502.86",
        "left": "20944.20",
        "held": "289.62",
    }
    assert CREDIT["contract"]["held"] == "0.00"


def test_one_signed_change_and_none_are_told_apart() -> None:
    labels = [
        invoice_snapshot(BILL, replace(header(), signed_changes=count))["contract"]["label"]
        for count in (0, 1)
    ]
    assert labels == ["Estimate 1001", "Estimate 1001, with 1 change"]


def test_the_tax_says_its_rate_what_it_is_on_the_permit_and_what_earlier_bills_rounded() -> None:
    """8.25 % of 2,000.00 is 165.00."""
    taxed = taxed_snapshots()["taxed invoice"]
    assert taxed["tax"] == {
        "label": "Sales tax, 8.25% on the taxed part, $2,000.00 (permit ST-555-0142)",
        "amount": "165.00",
    }
    whole = Bill(tuple(replace(line, taxable=line.amount) for line in BILL.lines), BILL.before)
    for correction, words in (("0.02", "and $0.02"), ("-0.01", "less $0.01")):
        snapshot = invoice_snapshot(whole, header(Decimal("8.250")), tax_correction=Decimal(correction))
        assert snapshot["tax"] == {
            "label": f"Sales tax, 8.25% on all of it, {words} for the rounding of earlier bills",
            "amount": f"{Decimal('371.49') + Decimal(correction)}",  # 8.25 % of 4,502.86
        }
    assert invoice_snapshot(BILL, header())["tax"] == {}
    assert invoice_snapshot(BILL, TAXED)["tax_percent"] == "0"


def test_a_credit_note_in_part_leaves_the_rest_and_the_last_takes_it_with_the_correction() -> None:
    invoice = {**taxed_snapshots()["taxed invoice"], "cents": "0.01"}
    snapshots = taxed_snapshots()
    first, last = snapshots["first credit note"], snapshots["last credit note"]
    assert (first["cents"], first["first_line"]) == (
        "0.00",
        "This credits $43.61 of invoice INV-1002. The rest of it stands.",
    )
    assert last["first_line"].endswith("All of it is credited now.")
    (line,) = snapshot_lines(first)
    assert (line.amount, line.taxable) == (Decimal("42.23"), Decimal("16.75"))
    plan_lines = [line.negated() for line in snapshot_lines(invoice)]
    whole = credit_snapshot(Bill(tuple(plan_lines), BILL.before), TAXED, invoice)
    assert (whole["cents"], whole["total"]) == ("0.01", f"{Decimal(invoice['total']) + Decimal('0.01')}")


def test_lines_say_their_own_sentences_and_retainage_none() -> None:
    texts = {"M3": "Walls primed.", "CO-1": "Rot gone.", "": "Never said."}
    snapshot = invoice_snapshot(BILL, replace(header(), line_texts=texts))
    assert [line["says"] for line in snapshot["lines"]] == ["Walls primed.", "Rot gone.", "", ""]


def test_a_receipt_is_paid_by_its_payments_and_the_credit_that_was_used() -> None:
    invoice = numbered(invoice_snapshot(BILL, header(), PaidBefore(credit=Decimal("2.86"))))
    receipt = receipt_snapshot(invoice, [(date(2026, 11, 28), "Check", Decimal("4500.00"))], Decimal("1.00"))
    assert (receipt["credited"], einvoice_of(receipt).paid) == ("1.00", Decimal("4502.86"))
    assert einvoice_of(invoice).paid == Decimal("2.86")


def test_the_site_is_named_where_it_is_not_the_client_s_address() -> None:
    assert einvoice_of(INVOICE).site == Address("418 Larkspur Lane", region="NY")
    home = invoice_snapshot(BILL, replace(header(), address="418 Larkspur Lane\nFennimore Falls"))
    assert einvoice_of(numbered(home)).site is None


def test_without_a_due_date_the_first_line_names_none() -> None:
    snapshot = invoice_snapshot(BILL, replace(header(), due=None, late="", how_to_pay=""))
    assert snapshot["first_line"].endswith("Rotted subfloor. Please pay $4,502.86.")
    assert (einvoice_of(snapshot).due, einvoice_of(snapshot).pay_by) == (None, None)
