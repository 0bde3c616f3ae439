"""The certificate of completion: what it will say, and its issue, after which both sign it."""

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.models import Firm
from closing.punch_list.end import CHANGED, issue_certificate, prepare_certificate
from closing.punch_list.read import read_list
from estimating.documents.clock import NOT_TICKED, TICK, DateInDoubt, date_question
from estimating.documents.issue import CannotIssue, UnissuedDocument
from estimating.documents.pdf import PangoMissing
from estimating.events import states
from estimating.models import Document, Job
from estimating.views.lookups import get_job
from saving.once import keeps_own_transactions

THEN = ("go-ahead", "document-send")


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def completion(request: HttpRequest, job_id: int) -> HttpResponse:
    """Ask before the certificate is issued, and issue it; signed already, show it."""
    job, firm, now = get_job(job_id), Firm.current(), timezone.now()
    typed, then = request.POST.get("key", ""), request.POST.get("then")
    key = typed if typed.isascii() and typed.isalnum() else ""
    if key and (issued := Document.objects.filter(job=job, issue_key=key).first()):
        return redirect(then, issued.pk) if then in THEN else redirect(issued)
    punch_list = read_list(job)
    if punch_list.end:
        return redirect(punch_list.end.document)
    waits = punch_list.certificate
    if waits and waits.state() in states.OPEN and request.method == "GET":
        return redirect(waits)
    try:
        unissued = prepare_certificate(punch_list, firm, timezone.localdate(now))
        if request.method == "GET" or key != unissued.key:
            changed = CHANGED if request.method == "POST" else ""
            return _page(request, job, unissued=unissued, changed=changed, asked=date_question(now))
        document = issue_certificate(unissued, firm, now, date_is_right=TICK in request.POST)
    except DateInDoubt as error:
        return _page(request, job, unissued=unissued, changed=NOT_TICKED, asked=str(error))
    except CannotIssue as error:
        return _page(request, job, error.reasons)
    except PangoMissing as error:
        return _page(request, job, str(error).splitlines(), status=503)
    return redirect(then, document.pk) if then in THEN else redirect(document)


def _page(
    request: HttpRequest,
    job: Job,
    reasons: Iterable[str] = (),
    unissued: UnissuedDocument | None = None,
    changed: str = "",
    asked: str = "",
    status: int = 409,
) -> HttpResponse:
    context: dict[str, Any] = {
        "job": job,
        "place": "days",
        "reasons": reasons,
        "unissued": unissued,
        "snapshot": unissued.snapshot if unissued else None,
        "changed": changed,
        "date_question": asked,
    }
    return render(
        request, "closing/completion.html", context, status=status if request.method == "POST" else 200
    )
