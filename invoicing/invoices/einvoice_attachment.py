"""The XML of an invoice or credit note as a file inside its PDF, under the name that readers look for.

The name, the relation of the file to the page and the XMP properties are those of the open hybrid format of
EN 16931 invoices (Factur-X 1.0 / ZUGFeRD 2, profile EN 16931, section on PDF/A-3).
"""

import re
import zlib
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from estimating.documents.pdf_metadata import Attachment, XmpProperty, XmpSchema
from invoicing.einvoice.cii import FILE_NAME, write_cii
from invoicing.snapshots.einvoice import einvoice_of

XMP_SCHEMA = XmpSchema(
    "Hybrid invoice",
    "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#",
    "fx",
    (
        XmpProperty("DocumentFileName", FILE_NAME, "The name of the embedded XML document"),
        XmpProperty("DocumentType", "INVOICE", "The type of the hybrid document"),
        XmpProperty("Version", "1.0", "The version of the standard of the embedded XML document"),
        XmpProperty("ConformanceLevel", "EN 16931", "The conformance level of the embedded XML document"),
    ),
)

# How the PDF library writes an embedded file: its dictionary, then its compressed bytes.
_EMBEDDED = re.compile(rb"/Type /EmbeddedFile/Subtype /text#2fxml.*?/FlateDecode.*?>>\r?\nstream\r?\n", re.S)


def xml_attachment(snapshot: Mapping[str, Any]) -> Attachment:
    """Return the XML of a bill, issued or drafted, as a file for its PDF. Raises UnfitInvoice."""
    invoice = einvoice_of(snapshot)
    return Attachment(
        FILE_NAME,
        write_cii(invoice),
        f"{invoice.number} as XML",
        XMP_SCHEMA,
        datetime(*invoice.issued.timetuple()[:3], tzinfo=UTC),
    )


def xml_of(pdf: bytes) -> bytes:
    """Return the XML inside a PDF of ours. Raises ValueError where there is none, or it is damaged."""
    embedded = _EMBEDDED.search(pdf)
    if embedded is None:
        raise ValueError("There is no XML in this PDF.")
    stream = zlib.decompressobj()
    try:
        xml = stream.decompress(pdf[embedded.end() :])
    except zlib.error as error:
        raise ValueError("The XML in this PDF is damaged.") from error
    if not stream.eof:
        raise ValueError("The XML in this PDF breaks off.")
    return xml
