"""Rows that several views look up by what stands in an address or a form."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from estimating.models import Document


def get_invoice(document_id: int) -> Document:
    """Return an invoice with its job and client. Raises Http404 for any other document."""
    invoices = Document.objects.filter(kind=Document.Kind.INVOICE).select_related("job__client")
    return get_object_or_404(invoices, pk=document_id)


def typed_pk(request: HttpRequest, name: str) -> int:
    """Return the primary key that a form sent; 0, which no row has, for what can't be one."""
    text = request.POST.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
