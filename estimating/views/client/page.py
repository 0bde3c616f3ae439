"""The client's page: no sign-in, but a link of his own. Nothing here changes what was issued.

The secret stands in an address once: that address answers with a cookie and leads to a clean one. Wrong,
expired and withdrawn links get one and the same answer.
"""

import logging
from collections.abc import Callable, Collection, Mapping
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_safe

from catalog.models import Firm
from estimating.changes.draft import signed_job
from estimating.client import links
from estimating.client.cancel import cancel, right_to_cancel
from estimating.client.mail import (
    Damaged,
    MailFailed,
    send_cancellation,
    send_code,
    send_declined,
    send_question,
    send_receipts,
)
from estimating.client.options import OpenChoice, OptionLocked, choices_of
from estimating.client.signature_record import what_is_meant
from estimating.client.signing import (
    Refused,
    Visit,
    accept,
    ask,
    contract_stays,
    decline,
    note_opened,
    options_for,
    signed_copy,
    sums_for,
    why_closed,
)
from estimating.contract.cancellation_rule import cancel_by
from estimating.documents.billing_hooks import bill_stands
from estimating.documents.history import talk
from estimating.documents.pdf import PangoMissing
from estimating.events import states
from estimating.forms.client import AskForm, CancelForm, DeclineForm, SignForm
from estimating.models import Acceptance, ClientLink, Document

ClientView = Callable[[HttpRequest, Visit], HttpResponse]

log = logging.getLogger(__name__)


@login_not_required
@require_safe
def client_open(request: HttpRequest, secret: str) -> HttpResponse:
    """Exchange the secret for a cookie, and leave its address at once. Nothing is opened by this: mail
    scanners fetch every link."""
    link = links.find(secret, links.client_address(request), timezone.now())
    if link is None:
        return _kept_private(not_found(request), "no-referrer")
    response = redirect("client-page", link.pk)
    links.let_in(response, link)
    return _kept_private(response, "no-referrer")


def for_client(view: ClientView) -> Callable[..., HttpResponse]:
    """The view for whoever came by a link that is good, and the plain 'not found' for anybody else."""

    @login_not_required
    @wraps(view)
    def answered(request: HttpRequest, link_id: int) -> HttpResponse:
        now = timezone.now()
        link = links.link_let_in(request, link_id, now)
        if link is None:
            return _kept_private(not_found(request))
        visit = Visit(
            link=link,
            at=now,
            today=timezone.localdate(now),
            address=links.client_address(request),
            agent=request.headers.get("User-Agent", ""),
            on_device_of_firm=request.user.is_authenticated,
        )
        return _kept_private(view(request, visit))

    return answered


def only_by_post(view: ClientView) -> ClientView:
    """Where a form is sent to nothing is to be read: a reload or a history leads back to the page."""

    @wraps(view)
    def answered(request: HttpRequest, visit: Visit) -> HttpResponse:
        return view(request, visit) if request.method == "POST" else redirect("client-page", visit.link.pk)

    return answered


def _kept_private(response: HttpResponse, referrer: str = "same-origin") -> HttpResponse:
    """A page with forms can't say "no-referrer": browsers then send them without their origin, which the
    check against forged posts refuses. Its address holds nothing secret, and other sites get none."""
    response.headers["Cache-Control"] = "no-store"
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    response.headers["Referrer-Policy"] = referrer
    return response


def not_found(request: HttpRequest) -> HttpResponse:
    return render(request, "client/not_found.html", status=404)


@for_client
@require_GET
def client_page(request: HttpRequest, visit: Visit) -> HttpResponse:
    """The paper as it was issued, and what the client can do with it."""
    return _page(request, visit)


@for_client
@require_GET
def client_sum(request: HttpRequest, visit: Visit) -> HttpResponse:
    """What it comes to with the options ticked."""
    try:
        places = _places(request.GET.getlist("options"))
        sums = sums_for(visit.link.document, visit.today, places)
    except OptionLocked as error:
        return HttpResponse(str(error), status=409, content_type="text/plain; charset=utf-8")
    intent, button = what_is_meant(visit.link.document.kind, sums.total)
    context = {"sums": sums, "intent": intent, "button": button, "live": True}
    return render(request, "client/_sums.html", context)


@for_client
@only_by_post
def client_opened(request: HttpRequest, visit: Visit) -> HttpResponse:
    """A touch, a scroll or a key on the page: a person has it open."""
    note_opened(visit, "a touch, a scroll or a key on the page")
    return HttpResponse(status=204)


@for_client
@only_by_post
def client_sign(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Sign, or only show the sum where scripts don't run."""
    document = visit.link.document
    note_opened(visit, "a button on the page")
    if Acceptance.objects.filter(document=document).exists():
        return redirect("client-page", visit.link.pk)
    form = SignForm(request.POST, options=options_for(document, visit.today))
    if "look" in request.POST:
        return _page(request, visit, places=_places(request.POST.getlist("options")))
    if not form.is_valid():
        return _page(request, visit, status=422, sign=form)
    try:
        visit = _with_code(visit, form)
        if form.errors:
            return _page(request, visit, status=422, sign=form)
        acceptance = accept(
            visit, form.cleaned_data["name"], form.cleaned_data["options"], form.cleaned_data["seen_total"]
        )
    except (Refused, OptionLocked) as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, sign=form)
    _hand_over_receipts(acceptance)
    return redirect("client-page", visit.link.pk)


def _with_code(visit: Visit, form: SignForm) -> Visit:
    """The visit, with its code where the firm asks for one above a sum; else an error at the field."""
    firm, link = Firm.current(), visit.link
    total = sums_for(link.document, visit.today, form.cleaned_data["options"]).total
    if not links.wants_code(firm, total):
        return visit
    if not link.email:
        raise Refused("A sum like this is signed with a mailed code, and no address of yours is known. Ask.")
    if code := form.cleaned_data["code"]:
        if links.code_is_right(link, code, visit.at):
            return Visit(**{**vars(visit), "code_typed": True})
        form.add_error("code", "That isn't the code mailed last, or it is too old. Empty this for a new one.")
        return visit
    code = links.new_code(link, visit.at)
    try:
        if code:
            send_code(link, code, firm)
        form.add_error("code", f"A six-digit code was mailed to {link.email}. Type it here and sign again.")
    except MailFailed:
        log.exception("The code for %s wasn't mailed.", link)
        form.add_error("code", "The code couldn't be mailed. Please call us.")
    return visit


def _hand_over_receipts(acceptance: Acceptance) -> None:
    """Signing never waits for the mail: what doesn't go out now, the firm sees and sends later."""
    now = timezone.now()
    try:
        send_receipts(acceptance, signed_copy(acceptance, now), Firm.current(), now)
    except (MailFailed, Damaged, PangoMissing):
        log.exception("The receipts of %s didn't all go out.", acceptance.document)


@for_client
@only_by_post
def client_decline(request: HttpRequest, visit: Visit) -> HttpResponse:
    note_opened(visit, "a button on the page")
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, decline=form)
    try:
        decline(visit, form.cleaned_data["reason"])
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, decline=form)
    link, reason = visit.link, form.cleaned_data["reason"]
    try:
        send_declined(link.document, link.name, reason, Firm.current())
    except MailFailed:
        log.exception("That %s was declined wasn't mailed; it stands on the job.", link.document)
    return redirect("client-page", link.pk)


@for_client
@only_by_post
def client_cancel(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Cancel what was signed, while it can be."""
    document = visit.link.document
    form = CancelForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, cancel=form)
    already = document.was_canceled()
    try:
        cancel(visit, form.cleaned_data["name"])
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, cancel=form)
    if not already:
        try:
            send_cancellation(document, visit.link, Firm.current(), visit.today)
        except MailFailed:
            log.exception("The cancellation of %s wasn't mailed; it stands on the job.", document)
    return redirect("client-page", visit.link.pk)


@for_client
@only_by_post
def client_ask(request: HttpRequest, visit: Visit) -> HttpResponse:
    note_opened(visit, "a button on the page")
    form = AskForm(request.POST)
    if not form.is_valid():
        return _page(request, visit, status=422, ask=form)
    link, text = visit.link, form.cleaned_data["text"]
    try:
        ask(visit, text)
    except Refused as error:
        form.add_error(None, str(error))
        return _page(request, visit, status=409, ask=form)
    try:
        send_question(link.document, link.name, text, Firm.current())
    except MailFailed:
        log.exception("A question about %s wasn't mailed; it stands on the job.", link.document)
    return redirect(f"{reverse('client-page', args=[link.pk])}#asked")


def _places(typed: Collection[str]) -> set[int]:
    """Places of options as ticked; OptionLocked for what no page of ours sends."""
    if not all(each.isascii() and each.isdigit() and len(each) < 5 for each in typed):
        raise OptionLocked("One of the options ticked isn't on this paper. Read the page again.")
    return {int(each) for each in typed}


def _still_to_choose(
    document: Document, paper: Mapping[str, Any], acceptance: Acceptance | None, visit: Visit
) -> list[OpenChoice]:
    """Allowances of the paper; once it is signed those that no signed change has settled."""
    choices = choices_of(paper, visit.today)
    signed = signed_job(document.job) if acceptance and choices else None
    if signed is None:
        return list(choices)
    left = {each.line.title for each in signed.left_to_settle()}
    return [each for each in choices if each.name in left]


def _newer_sent_to(link: ClientLink) -> ClientLink | None:
    """This person's own link to the newest paper in place of a replaced one; None where none was mailed."""
    newest = link.document
    while later := Document.objects.filter(supersedes=newest).first():
        newest = later
    mailed = newest.links.filter(email=link.email, withdrawn_at=None, mailed_at__isnull=False)
    return mailed.order_by("-pk").first() if link.email else None


def _page(request: HttpRequest, visit: Visit, status: int = 200, **shown: Any) -> HttpResponse:
    link = visit.link
    document = link.document
    acceptance = Acceptance.objects.filter(document=document).first()
    closed = why_closed(document, visit.today)
    paper = document.read_snapshot()
    options = options_for(document, visit.today)
    sign: SignForm = shown.get("sign") or SignForm(options=options)
    places = shown.get("places", set())
    if sign.is_bound:
        places = set(sign.cleaned_data.get("options", ()))
    places = {each.place for each in options if each.place in places and not each.locked}
    sums = sums_for(document, visit.today, places)
    intent, button = what_is_meant(document.kind, sums.total)
    wrong = next((shown[name] for name in ("sign", "decline", "ask", "cancel") if name in shown), None)
    context = {
        "link": link,
        "document": document,
        "paper": paper,
        "choices": () if closed else _still_to_choose(document, paper, acceptance, visit),
        "extended_to": document.extended_to(),
        "article": f"documents/_{document.kind}.html",
        "acceptance": acceptance,
        "closed": "" if acceptance else closed,
        "contract_stays": contract_stays(document),
        "stands": "" if document.asks_for_answer else bill_stands(document),
        "options": options,
        "places": places,
        "sums": sums,
        "intent": intent,
        "sign": sign,
        "decline": shown.get("decline") or DeclineForm(),
        "ask": shown.get("ask") or AskForm(),
        "cancel": shown.get("cancel") or CancelForm(),
        "right": right_to_cancel(document, visit.today),
        "canceled": document.was_canceled(),
        "today": visit.today.isoformat(),
        "signed_today": cancel_by(visit.today).isoformat(),
        "form": wrong,
        "button": button,
        "talk": talk(document),
        "asked": states.question_waits(document.happened()),
        "newer": _newer_sent_to(link) if document.standing(visit.today) == states.SUPERSEDED else None,
        "state": document.standing(visit.today),
        "watch": link.opened_at is None and not visit.on_device_of_firm,
    }
    return render(request, "client/page.html", context, status=status)
