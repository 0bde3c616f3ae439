"""The files that the client keeps: the document as issued, the signed copy, the signed file, its checker."""

from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from estimating.client import signed_file
from estimating.client.signed_copy import signed_copy, signed_copy_name
from estimating.client.signing import Visit
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Acceptance
from estimating.views.client.page import for_client, not_found
from estimating.views.pdf import pdf_response

CHECKER = Path(signed_file.__file__).with_name("verify_signed.py")


@for_client
@require_GET
def client_pdf(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the PDF, byte for byte as it was issued."""
    document = visit.link.document
    if not document.pdf_is_whole():
        return not_found(request)
    return pdf_response(
        bytes(document.pdf), pdf_file_name(f"{document.kind} {document.printed_number}", document.job)
    )


@for_client
@require_GET
def client_signed_pdf(request: HttpRequest, visit: Visit) -> HttpResponse:
    return signed_pdf_response(visit.link.document.pk) or not_found(request)


@for_client
@require_GET
def client_signed_file(request: HttpRequest, visit: Visit) -> HttpResponse:
    return signed_file_response(visit.link.document.pk) or not_found(request)


@login_not_required
@require_GET
def checker(request: HttpRequest) -> FileResponse:
    """Return the short program that checks a signed file, with nothing but Python."""
    return FileResponse(CHECKER.open("rb"), as_attachment=True, content_type="text/x-python")


def signed_pdf_response(document_id: int) -> HttpResponse | None:
    """Return the signed copy of a document; None where it isn't signed, or no longer is what was kept."""
    acceptance = _acceptance(document_id)
    copy = signed_copy(acceptance, timezone.now()) if acceptance else None
    if not (acceptance and copy and copy.is_whole()):
        return None
    return pdf_response(bytes(copy.pdf), signed_copy_name(acceptance.document))


def signed_file_response(document_id: int) -> HttpResponse | None:
    """Return the signed file of a document, as a download; None where it isn't signed."""
    acceptance = _acceptance(document_id)
    if acceptance is None:
        return None
    text = signed_file.write(acceptance, signed_copy(acceptance, timezone.now()))
    name = signed_copy_name(acceptance.document).replace(".pdf", ".json")
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(text, content_type="application/json", headers=headers)


def _acceptance(document_id: int) -> Acceptance | None:
    rows = Acceptance.objects.select_related("document__job__client")
    return rows.filter(document=document_id).first()
