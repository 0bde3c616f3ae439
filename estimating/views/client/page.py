"""The client's page, which opens by a link instead of a sign-in. Nothing here changes what was issued.

The secret is in an address only once: that address answers with a cookie and leads to a clean one. Wrong,
expired and withdrawn links get one and the same answer. Pages answer `Referrer-Policy: same-origin`, and the
exchange of the secret `no-referrer`.
"""

import logging
from collections.abc import Callable, Collection
from datetime import datetime
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_safe

from access.addresses import client_address
from catalog.models import Firm
from estimating.client import links, outbox, signing
from estimating.client.cancel import cancel_document, right_to_cancel
from estimating.client.codes import CodeMissing, check_code
from estimating.client.job_page.links import find_page, grant_page, paper_by_page
from estimating.client.job_page.page import refunds_of
from estimating.client.options import OptionLocked, Sums, unlocked
from estimating.client.signature_record import meaning_of_signing
from estimating.client.signed_copy import as_signed
from estimating.client.signing import (
    Refused,
    Visit,
    choices_left,
    contract_stays,
    note_opened,
    options_for,
    sums_for,
    why_closed,
)
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.billing_hooks import ClientBill, billing
from estimating.documents.history import conversation
from estimating.events import states
from estimating.forms.client import AskForm, CancelForm, DeclineForm, SignForm, typed_positions
from estimating.models import Acceptance, ClientLink, Document
from saving.once import keeps_own_transactions

ClientView = Callable[[HttpRequest, Visit], HttpResponse]

log = logging.getLogger(__name__)


@login_not_required
@require_safe
def client_open(request: HttpRequest, secret: str) -> HttpResponse:
    """Exchange the secret for a cookie, and leave its address at once.

    This doesn't count as opened: mail scanners fetch every link.
    """
    now = timezone.now()
    if page := find_page(secret, now):
        response = redirect("client-job", page.pk)
        grant_page(response, page)
    elif link := links.find_link(secret, now):
        response = redirect("client-page", link.pk)
        links.grant_access(response, link)
    else:
        return kept_private(not_found(request), "no-referrer")
    return kept_private(response, "no-referrer")


def for_client(view: ClientView) -> Callable[..., HttpResponse]:
    """Let a view answer a browser that came by a working link, of the paper itself or of its job's page.

    Anybody else gets the plain "closed".
    """

    @login_not_required
    @wraps(view)
    def answered(request: HttpRequest, link_id: int) -> HttpResponse:
        now = timezone.now()
        of_paper = links.link_with_access(request, link_id, now)
        link = of_paper or paper_by_page(request, link_id, now)
        if link is None:
            return kept_private(render(request, "client/closed.html", status=404))
        return kept_private(view(request, visit_of(request, link, now, by_page=of_paper is None)))

    return answered


def visit_of(request: HttpRequest, link: ClientLink, now: datetime, by_page: bool) -> Visit:
    """Return who came by which link, when and from where."""
    return Visit(
        link=link,
        at=now,
        today=timezone.localdate(now),
        address=client_address(request),
        agent=request.headers.get("User-Agent", ""),
        site=request.build_absolute_uri("/").rstrip("/"),
        by_page=by_page,
        on_device_of_firm=request.user.is_authenticated,
    )


def only_by_post(view: ClientView) -> ClientView:
    """Let a view answer posts only; a reload or the browser's history leads back to the page."""

    @wraps(view)
    def answered(request: HttpRequest, visit: Visit) -> HttpResponse:
        return view(request, visit) if request.method == "POST" else redirect("client-page", visit.link.pk)

    return answered


def kept_private(response: HttpResponse, referrer: str = "same-origin") -> HttpResponse:
    """Keep a response out of caches and search engines, and its address from other sites.

    A page with forms can't say "no-referrer": browsers then send them without their origin, which the check
    against forged posts refuses. Its address holds nothing secret.
    """
    response.headers["Cache-Control"] = "no-store"
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    response.headers["Referrer-Policy"] = referrer
    return response


def not_found(request: HttpRequest) -> HttpResponse:
    return render(request, "client/not_found.html", status=404)


@for_client
@require_GET
def client_page(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the document as it was issued, and what the client can do with it."""
    return _page(request, visit)


@for_client
@require_GET
def client_sum(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Return the sums with the options ticked, for the request that runs at each tick."""
    document = visit.link.document
    try:
        positions = typed_positions(request.GET.getlist("options"))
        sums = sums_for(document, visit.today, positions)
    except OptionLocked as error:
        return HttpResponse(str(error), status=409, content_type="text/plain; charset=utf-8")
    return render(request, "client/_sums.html", {**_sums_context(document, sums), "live": True})


@keeps_own_transactions
@for_client
@only_by_post
def client_opened(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Note that a person has the page open: a touch, a scroll or a key on it."""
    note_opened(visit, "a touch, a scroll or a key on the page")
    return HttpResponse(status=204)


@keeps_own_transactions
@for_client
@only_by_post
def client_sign(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Sign, or only show the sum where scripts don't run."""
    document = visit.link.document
    note_opened(visit, "a button on the page")
    if Acceptance.objects.filter(document=document).exists():
        return redirect("client-page", visit.link.pk)
    form = SignForm(request.POST, options=options_for(document, visit.today))
    is_right = form.is_valid()
    if "look" in request.POST and "options" not in form.errors:
        return _page(request, visit, positions=form.positions())
    if not is_right:
        return _page(request, visit, status=422, sign=form)
    typed = form.cleaned_data
    try:
        visit = check_code(visit, Firm.current(), typed["options"], typed["code"])
        signing.accept(visit, typed["name"], typed["options"], typed["seen_total"])
    except CodeMissing as error:
        form.add_error("code", str(error))
        return _page(request, visit, status=422, sign=form)
    except (Refused, OptionLocked) as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, sign=form)
    outbox.wake()
    return redirect("client-page", visit.link.pk)


@keeps_own_transactions
@for_client
@only_by_post
def client_decline(request: HttpRequest, visit: Visit) -> HttpResponse:
    note_opened(visit, "a button on the page")
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, decline=form)
    try:
        signing.decline(visit, form.cleaned_data["reason"])
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, decline=form)
    outbox.wake()
    return redirect("client-page", visit.link.pk)


@keeps_own_transactions
@for_client
@only_by_post
def client_cancel(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Cancel what was signed, while it can be."""
    form = CancelForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, cancel=form)
    try:
        cancel_document(visit, form.cleaned_data["name"])
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, cancel=form)
    outbox.wake()
    return redirect("client-page", visit.link.pk)


@keeps_own_transactions
@for_client
@only_by_post
def client_ask(request: HttpRequest, visit: Visit) -> HttpResponse:
    note_opened(visit, "a button on the page")
    form = AskForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, ask=form)
    link, text = visit.link, form.cleaned_data["text"]
    try:
        signing.ask(visit, text)
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, ask=form)
    outbox.wake()
    return redirect(f"{reverse('client-page', args=[link.pk])}#asked")


def _page(
    request: HttpRequest,
    visit: Visit,
    status: int = 200,
    *,
    sign: SignForm | None = None,
    decline: DeclineForm | None = None,
    ask: AskForm | None = None,
    cancel: CancelForm | None = None,
    positions: Collection[int] = (),
) -> HttpResponse:
    """Return the client's page, with a form that was sent back, or the options at `positions` ticked."""
    link = visit.link
    document = link.document
    acceptance = Acceptance.objects.filter(document=document).first()
    closed = why_closed(document, visit.today)
    options = options_for(document, visit.today)
    ticked = (sign.positions() if sign else set(positions)) & unlocked(options)
    state, snapshot = document.state_as_of(visit.today), document.read_snapshot()
    context = {
        "link": link,
        "page": link.job_link if visit.by_page else None,
        "document": document,
        "snapshot": as_signed(snapshot, acceptance) if acceptance else snapshot,
        "choices": () if closed else choices_left(document, visit.today, acceptance is not None),
        "extended_to": document.extended_to(),
        "article": f"documents/_{document.kind}.html",
        "acceptance": acceptance,
        "closed": "" if acceptance else closed,
        "contract_stays": contract_stays(document),
        "bill": _bill(document),
        "options": options,
        "ticked": ticked,
        **_sums_context(document, sums_for(document, visit.today, ticked)),
        "sign": sign or SignForm(options=options),
        "decline": decline or DeclineForm(),
        "ask": ask or AskForm(),
        "cancel": cancel or CancelForm(),
        "form": sign or decline or ask or cancel,
        "right": right_to_cancel(document, visit.today),
        "canceled": document.was_canceled(),
        "refunds": refunds_of(document) if document.was_canceled() else (),
        "today": visit.today.isoformat(),
        "signed_today": cancel_by(visit.today).isoformat(),
        "conversation": conversation(document),
        "question_waits": states.question_waits(document.event_kinds()),
        "newer": links.mailed_link_to_newest(link) if state == states.SUPERSEDED else None,
        "watch": link.opened_at is None and not visit.on_device_of_firm,
    }
    return render(request, "client/page.html", context, status=status)


def _bill(document: Document) -> ClientBill | None:
    """Return how an invoice is paid; None of any other document."""
    if document.kind != Document.Kind.INVOICE:
        return None
    return billing().client_money(document.job.client, [document]).bills.get(document.pk)


def _sums_context(document: Document, sums: Sums) -> dict[str, Any]:
    """Return the sums, what signing for them means, and the words on its button."""
    intent, button = meaning_of_signing(document.kind, sums.total)
    return {"sums": sums, "intent": intent, "button": button}
