"""Files of an issued invoice or credit note: its receipt and its XML."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from catalog.models import Firm
from catalog.money.pay_link import bank_lines, fill_pay_link
from estimating.client.signing import Visit
from estimating.documents.pdf import make_pdf
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Document
from estimating.plain_text import nonblank_lines
from estimating.views.client.page import for_client
from estimating.views.pdf import pdf_response
from invoicing.einvoice.ubl import write_ubl
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.invoices.issued import is_receipted
from invoicing.ledger.accounts import read_books
from invoicing.ledger.history import BILLED
from invoicing.snapshots.einvoice import einvoice_of
from invoicing.snapshots.invoice import receipt_snapshot
from invoicing.views.lookups import get_invoice


@require_GET
def receipt_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    """Return the paid invoice as a receipt; there is none while something is open."""
    return _receipt(get_invoice(document_id))


@for_client
@require_GET
def client_receipt(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the same to the client by his link."""
    return _receipt(get_invoice(visit.link.document_id))


@for_client
@require_GET
def client_pay(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the client how to pay what is open of an invoice: online, from his bank, or as the firm says."""
    invoice, firm = get_invoice(visit.link.document_id), Firm.current()
    owed = read_books(invoice.job.client).owed_on(invoice)
    address = fill_pay_link(firm.pay_link, owed.open, invoice.printed_number) if firm.pay_link else ""
    to_copy = [("Amount", f"{owed.open}"), ("Reference", invoice.printed_number)]
    bank = [*bank_lines(firm.bank_details), *to_copy] if firm.bank_details.strip() else []
    how_to_pay = nonblank_lines(firm.how_to_pay)
    context = {"link": visit.link, "invoice": invoice, "firm": firm, "owed": owed, "address": address}
    return render(request, "client/pay.html", {**context, "bank": bank, "how_to_pay": how_to_pay})


def _receipt(invoice: Document) -> HttpResponse:
    """Return the receipt of an invoice. Raises Http404 where there is none."""
    books = read_books(invoice.job.client)
    owed = books.owed_on(invoice)
    if not is_receipted(owed):
        raise Http404
    rows = [(books.payments[key], amount) for key, amount in owed.paid_by]
    payments = [(payment.on, payment.method_in_words(), amount) for payment, amount in rows]
    pdf = make_pdf(receipt_snapshot(invoice.read_snapshot(), payments, owed.credited))
    return pdf_response(pdf, pdf_file_name(f"receipt for invoice {invoice.printed_number}", invoice.job))


@require_GET
def invoice_xml(request: HttpRequest, document_id: int, syntax: str) -> HttpResponse:
    """Return the invoice or credit note as XML alone: CII as it is in the PDF, or UBL."""
    bills = Document.objects.filter(kind__in=BILLED).select_related("job__client")
    document = get_object_or_404(bills, pk=document_id)
    if syntax == "ubl":
        xml = write_ubl(einvoice_of(document.read_snapshot()))
    elif syntax == "cii" and document.pdf_is_whole():
        xml = xml_of(bytes(document.pdf))
    else:
        raise Http404
    name = pdf_file_name(f"{document.kind} {document.printed_number} {syntax}", document.job).replace(
        ".pdf", ".xml"
    )
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(xml, content_type="application/xml", headers=headers)
