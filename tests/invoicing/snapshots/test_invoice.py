"""The snapshot of a bill, its PDF and the XML inside it, from pure values."""

import io
import subprocess
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from lxml import etree

from estimating.documents.pdf import make_pdf
from estimating.documents.pdf_metadata import with_schemas
from estimating.snapshots.wording import DocumentParty
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import Bill, draft_bill, draft_deposit
from invoicing.einvoice.cii import write_cii
from invoicing.einvoice.ubl import write_ubl
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.snapshots.einvoice import einvoice_of
from invoicing.snapshots.invoice import (
    BillHeader,
    PaidBefore,
    credit_snapshot,
    invoice_snapshot,
    receipt_snapshot,
)
from tests.invoicing.kitchen import changed_plan
from tests.invoicing.official_rules import cii_faults, ubl_faults

# How a file inside a PDF begins.
PACKED = b"/Type /EmbeddedFile/Subtype /text#2fxml/FlateDecode>>\nstream\n"
FX = "{urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#}"


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


def numbered(snapshot: Mapping[str, Any], number: str = "1002") -> dict[str, Any]:
    """As it is issued."""
    return {**snapshot, "number": number, "title": f"Invoice {number}: Okonjo kitchen"}


# Board primed 5042.23 and rot 750.25, less 5 % retainage of 289.62, less the deposit of 1000.00.
PLAN = changed_plan(retainage=Fraction(1, 20), deposit=Decimal("1000.00"))
DEPOSIT = draft_deposit(PLAN, ())
BILL = draft_bill(PLAN, DEPOSIT.lines, ["M3"])
INVOICE = numbered(invoice_snapshot(BILL, header(), PaidBefore(paid=Decimal("1000.00"))))
CREDIT = numbered(
    credit_snapshot(draft_credit(PLAN, [*DEPOSIT.lines, *BILL.lines], BILL.lines), header(), INVOICE), "1"
)
RECEIPT = receipt_snapshot(INVOICE, [(date(2026, 11, 28), "Check 1042", Decimal("4502.86"))])


def pages_of(pdf: bytes) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(pages_of(pdf)).split())


@pytest.fixture(scope="module")
def invoice_pdf() -> bytes:
    return make_pdf(INVOICE)


def test_the_invoice_says_all_that_its_reader_wants_to_know(invoice_pdf: bytes) -> None:
    text = text_of(invoice_pdf)
    for words in (
        "This bill is for: Board primed and Rotted subfloor. Please pay $4,502.86 by Mon 30 Nov 2026.",
        "Retainage held back -$289.62",
        "Deposit taken off -$1,000.00",
        "This bill $4,502.86",
        "By check, handed over.",
        "Money that is late costs 12% a year",
        "Contract sum: Estimate 1001, with 2 signed changes $26,447.06",
        "Billed before $1,000.00",
        "Left to bill $20,944.20",
        "Paid on this job before this bill: $1,000.00. $289.62 of what is left is retainage",
        "Page 1 of 1",
    ):
        assert words in text


def test_many_long_lines_begin_on_the_first_page_and_end_with_their_sum() -> None:
    line = INVOICE["lines"][0] | {"says": "Closed again, taped, sanded and primed. " * 8}
    first, second = pages_of(make_pdf(INVOICE | {"lines": [line] * 8}))
    assert first.count("Closed again, taped") > 2 * 8
    assert "This bill" in second
    assert "Closed again, taped" in second


def test_a_receipt_says_what_paid_the_invoice() -> None:
    text = text_of(make_pdf(RECEIPT))
    for words in (
        "Receipt for invoice 1002: Okonjo kitchen",
        "Invoice 1002 is paid in full. Thank you.",
        "Sat 28 Nov 2026, Check 1042 $4,502.86",
        "Left to pay on this bill $0.00",
    ):
        assert words in text
    assert "How to pay" not in text


def test_a_credit_note_names_its_invoice_and_gives_back_in_proportion() -> None:
    text = text_of(make_pdf(CREDIT))
    for words in (
        "This takes back $4,502.86 of invoice 1002. All of it is taken back now.",
        "Corrects Invoice 1002",
        "Board primed $5,042.23",
        "Retainage held back -$289.62",
        "Taken off what you owe $4,502.86",
        "Left to bill $25,447.06",
    ):
        assert words in text


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


def test_the_xml_stands_inside_the_pdf_as_its_alternative(invoice_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(invoice_pdf)) as pdf:
        (file,) = pdf.Root.AF
        assert file.AFRelationship == "/Alternative"
        assert pdf.attachments["factur-x.xml"].get_file().read_bytes() == write_cii(einvoice_of(INVOICE))
    assert xml_of(invoice_pdf) == write_cii(einvoice_of(INVOICE))


def test_the_pdf_is_for_the_archive_and_keeps_its_tags(invoice_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(invoice_pdf)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
        assert pdf.Root.OutputIntents[0].S == "/GTS_PDFA1"
        assert pdf.trailer.ID
        with pdf.open_metadata() as metadata:
            assert metadata.pdfa_status == "3A"
            assert metadata["pdfuaid:part"] == "1"
            assert metadata[f"{FX}ConformanceLevel"] == "EN 16931"
            assert metadata[f"{FX}DocumentFileName"] == "factur-x.xml"
        xmp = pdf.Root.Metadata.read_bytes()
        dictionaries = [item for item in pdf.objects if isinstance(item, pikepdf.Dictionary)]
        assert all("/FontFile2" in item for item in dictionaries if item.get("/Type") == "/FontDescriptor")
    assert xmp.count(b"<rdf:RDF") == xmp.count(b"<pdfaExtension:schemas") == 1


@pytest.mark.usefixtures("draw_anew")
def test_the_same_invoice_is_the_same_file(invoice_pdf: bytes) -> None:
    assert make_pdf(dict(reversed(INVOICE.items()))) == invoice_pdf


def test_qpdf_finds_nothing_wrong(invoice_pdf: bytes, tmp_path: Path) -> None:
    path = tmp_path / "invoice.pdf"
    path.write_bytes(invoice_pdf)
    with pikepdf.open(path) as pdf:
        assert pdf.check_pdf_syntax() == []


def test_a_description_by_another_hand_is_refused() -> None:
    with pytest.raises(ValueError, match="doesn't know"):
        with_schemas(b"<rdf:RDF>")


@pytest.mark.parametrize("pdf", [b"", PACKED + b"neither packed nor XML", PACKED + b"x"])
def test_a_pdf_without_readable_xml_is_told(pdf: bytes) -> None:
    with pytest.raises(ValueError, match="in this PDF"):
        xml_of(pdf)
