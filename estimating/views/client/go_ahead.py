"""A go-ahead on the spot: the client signs on the contractor's device."""

from collections.abc import Collection

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from access.addresses import client_address
from access.body_limits import takes_much
from estimating.client import outbox
from estimating.client.job_page.links import put_on_clients_pages
from estimating.client.mail import receipts_on_the_way
from estimating.client.options import OptionLocked, unlocked
from estimating.client.signature_record import meaning_of_signing
from estimating.client.signing import (
    HandedOver,
    Refused,
    accept_here,
    is_to_be_signed,
    options_for,
    sums_for,
    why_closed,
)
from estimating.contract.cancellation_rule import WAIVER_ASKS, cancel_by
from estimating.forms.client import GoAheadForm
from estimating.models import Acceptance, Document
from estimating.views.documents import get_document
from saving.forms import status_of
from saving.once import keeps_own_transactions


@keeps_own_transactions
@takes_much
@require_http_methods(["GET", "POST"])
def document_go_ahead(request: HttpRequest, document_id: int) -> HttpResponse:
    """Show the paper on the contractor's device, and take the signature of the client who holds it."""
    document, now = get_document(document_id), timezone.now()
    today = timezone.localdate(now)
    if why_closed(document, today) or not is_to_be_signed(document):
        return redirect(document)
    options, may_waive = options_for(document, today), may_be_waived(document)
    form = GoAheadForm(request.POST or None, request.FILES or None, options=options, may_waive=may_waive)
    is_right = form.is_valid()
    if "look" in request.POST and "options" not in form.errors:
        again = GoAheadForm(initial={"name": request.POST.get("name")}, options=options, may_waive=may_waive)
        return _page(request, document, again, form.positions())
    if not is_right:
        return _page(request, document, form, form.positions(), status_of(form))
    typed = form.cleaned_data
    handed = HandedOver(
        document,
        now,
        today,
        client_address(request),
        request.headers.get("User-Agent", ""),
        request.user.get_username(),
    )
    try:
        acceptance = accept_here(
            handed, typed["name"], typed["options"], typed["seen_total"], typed["drawn"], typed.get("waiver")
        )
    except (Refused, OptionLocked) as error:
        form.add_error(None, str(error))
        return _page(request, document, form, form.positions(), 409)
    put_on_clients_pages(document, now)
    messages.success(request, f"{document} is signed by {acceptance.name}. {_mail_copy(acceptance)}")
    return redirect(document)


def may_be_waived(document: Document) -> bool:
    """Return whether a document is a change that its client could cancel, though its work might not wait."""
    return document.kind == Document.Kind.CHANGE_ORDER and bool(document.read_snapshot().get("cancellation"))


def _mail_copy(acceptance: Acceptance) -> str:
    """Have the signed copy mailed to both sides at once, and say to whom it goes."""
    to = receipts_on_the_way(acceptance.document)
    outbox.wake()
    return f"The signed copy goes to {', '.join(to)}." if to else "No address is known for the copy."


def _page(
    request: HttpRequest, document: Document, form: GoAheadForm, positions: Collection[int], status: int = 200
) -> HttpResponse:
    today = timezone.localdate()
    options = options_for(document, today)
    ticked = set(positions) & unlocked(options)
    sums = sums_for(document, today, ticked)
    intent, button = meaning_of_signing(document.kind, sums.total)
    context = {
        "job": document.job,
        "place": "papers",
        "document": document,
        "snapshot": document.read_snapshot(),
        "article": f"documents/_{document.kind}.html",
        "form": form,
        "options": options,
        "ticked": ticked,
        "sums": sums,
        "intent": intent,
        "button": button,
        "today": today.isoformat(),
        "signed_today": cancel_by(today).isoformat(),
        "waiver_asks": WAIVER_ASKS if may_be_waived(document) else (),
    }
    return render(request, "client/go_ahead.html", context, status=status)
