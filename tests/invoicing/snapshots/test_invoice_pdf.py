"""The PDF of a bill and the XML inside it."""

import io
import subprocess
from base64 import b64encode
from pathlib import Path

import page
import pikepdf
import pytest

from demo.photo import receipt_photo
from estimating.documents.pdf import make_pdf
from estimating.documents.pdf_metadata import with_schemas
from invoicing.einvoice.cii import write_cii
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.snapshots.einvoice import einvoice_of
from tests.drawn_once import drawn
from tests.invoicing.snapshots.kitchen_bills import CREDIT, INVOICE, RECEIPT

# How a file inside a PDF begins.
PACKED = b"/Type /EmbeddedFile/Subtype /text#2fxml/FlateDecode>>\nstream\n"
FX = "{urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#}"


def pages_of(pdf: bytes) -> list[str]:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=drawn(pdf), capture_output=True, check=True
    )
    return done.stdout.decode().split("\f")[:-1]


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(pages_of(pdf)).split())


@pytest.fixture(scope="module")
def invoice_pdf() -> bytes:
    return drawn(make_pdf(INVOICE))


def test_the_invoice_says_all_that_its_reader_wants_to_know(invoice_pdf: bytes) -> None:
    text = text_of(invoice_pdf)
    for words in (
        "Please pay By",
        "$4,502.86 Mon 30 Nov 2026",
        "What this bill is for",
        "Retainage held back -$289.62",
        "Deposit applied -$1,000.00",
        "This bill $4,502.86",
        "By check, handed over.",
        "Money that is late costs 12% a year",
        "Contract sum: Estimate 1001, with 2 changes $26,447.06",
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
        "Receipt for invoice INV-1002: Okonjo kitchen",
        "Paid in full",
        "Sat 28 Nov 2026, Check 1042 $4,502.86",
        "Left to pay on this bill",
        "$0.00",
    ):
        assert words in text
    assert "How to pay" not in text
    assert "Left to bill" not in text  # true on the day of the bill, and no longer


def test_a_credit_note_names_its_invoice_and_gives_back_in_proportion() -> None:
    text = text_of(make_pdf(CREDIT))
    for words in (
        "This credits $4,502.86 of invoice INV-1002. All of it is credited now.",
        "$4,502.86 Invoice INV-1002",
        "Drywall primed $5,042.23",
        "Retainage held back -$289.62",
        "Credited to you $4,502.86",
        "Left to bill $25,447.06",
    ):
        assert words in text


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


def test_a_checker_of_pdf_a_and_pdf_ua_finds_nothing_with_photos_and_a_logo_either(
    invoice_pdf: bytes,
) -> None:
    picture = {"jpeg": b64encode(receipt_photo("Store", "Nails", "9.00")).decode()}
    firm = INVOICE["firm"] | {"logo": picture, "color": "#7a3b1c"}
    pictured = INVOICE | {"firm": firm, "photos": [picture | {"caption": "Primed."}]}
    for pdf in (invoice_pdf, drawn(make_pdf(pictured)), drawn(make_pdf(CREDIT))):
        for profile in (page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1):
            report = page.validate_pdf_bytes(pdf, profile=profile)
            assert [str(failure) for failure in report.failures] == []
            assert report.rules.total > 100


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
