"""A PDF as an answer."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """Shown by the browser under a name that says what it is, and kept by nothing on the way."""
    headers = {
        "Content-Disposition": content_disposition_header(as_attachment=False, filename=name),
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
    }
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)
