"""What is answered where a page can't be shown or saved: in plain words where the disk or database is why."""

import sys

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from estimating.database.trouble import Trouble, trouble_of

_STATUS = {Trouble.FULL: 507, Trouble.READ_ONLY: 503, Trouble.DAMAGED: 503, Trouble.BUSY: 503}


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a request that failed; 507 says that the disk is full. Needs neither database nor session."""
    error = sys.exc_info()[1]
    trouble = trouble_of(error) if error else None
    if trouble is None:
        return HttpResponse(render_to_string("500.html"), status=500)
    context = {"trouble": trouble.name.lower(), "saving": request.method not in ("GET", "HEAD")}
    return HttpResponse(render_to_string("not_stored.html", context), status=_STATUS[trouble])
