"""What is beside an issued invoice or credit note: how it is paid, its receipt and its XML."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from estimating.documents.pdf import make_pdf
from estimating.estimates.snapshots import paper_name
from estimating.models import Document
from estimating.views.pdf import pdf_response
from invoicing.einvoice.ubl import write_ubl
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.ledger.accounts import read_books
from invoicing.ledger.history import BILLED
from invoicing.snapshots.invoice import einvoice_of, receipt_snapshot


@require_GET
def receipt_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    """The paid invoice as a receipt; there is none while something is open."""
    document = _billed(document_id, Document.Kind.INVOICE)
    books = read_books(document.job.client)
    owed = books.of(document.job.client_id).invoice(str(document))
    if owed.open or not owed.paid:
        raise Http404
    payments = [(books.payments[key].on, books.payments[key].how(), amount) for key, amount in owed.paid_by]
    pdf = make_pdf(receipt_snapshot(document.read_snapshot(), payments, owed.credited))
    return pdf_response(pdf, paper_name(f"receipt for invoice {document.number}", document.job))


@require_GET
def invoice_xml(request: HttpRequest, document_id: int, syntax: str) -> HttpResponse:
    """The invoice or credit note as XML alone: CII as it is in the PDF, or UBL."""
    document = _billed(document_id, *BILLED)
    if syntax == "ubl":
        xml = write_ubl(einvoice_of(document.read_snapshot()))
    elif syntax == "cii" and document.pdf_is_whole():
        xml = xml_of(bytes(document.pdf))
    else:
        raise Http404
    name = paper_name(f"{document.kind} {document.number} {syntax}", document.job).replace(".pdf", ".xml")
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(xml, content_type="application/xml", headers=headers)


def _billed(document_id: int, *kinds: str) -> Document:
    documents = Document.objects.filter(kind__in=kinds).select_related("job__client")
    return get_object_or_404(documents, pk=document_id)
