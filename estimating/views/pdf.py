"""A PDF as an HTTP response."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """Return a PDF that the browser shows under this name and that no cache on the way keeps."""
    headers = {
        "Content-Disposition": content_disposition_header(as_attachment=False, filename=name),
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
