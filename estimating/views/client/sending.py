"""The firm's side of the client's page: sending a document, answering, and what was signed."""

import secrets
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from access.body_limits import takes_much
from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.client import links, outbox
from estimating.client.cancel import enter_cancellation
from estimating.client.codes import may_require_code
from estimating.client.job_page.links import page_for, put_on_clients_pages, put_on_page
from estimating.client.mail import (
    mail_answer,
    mail_document,
    mail_receipts,
    note_handed_over,
    receipts_on_the_way,
)
from estimating.client.options import OptionLocked
from estimating.client.outbox import DamagedPdf
from estimating.client.signing import (
    Refused,
    answer,
    enter_paper_signature,
    is_to_be_signed,
    options_for,
    why_closed,
)
from estimating.client.uploads import JPEG
from estimating.documents.history import conversation
from estimating.events import states
from estimating.forms.client import (
    AnswerForm,
    CancellationForm,
    PaperSignatureForm,
    SendForm,
    WithdrawForm,
)
from estimating.models import Acceptance, ClientLink, Document, NotAllowed, Scan
from estimating.views.client.files import signed_file_response, signed_pdf_response
from estimating.views.client.job_page import address_of, is_only_here, link_to_show
from estimating.views.documents import get_document
from saving.forms import status_of
from saving.once import keeps_own_transactions

# What follows from the cancellation of a document, by its kind.
CONSEQUENCES: dict[str, str] = {
    Document.Kind.ESTIMATE: "From then nothing counts as signed, changes included, and this can't be undone.",
    Document.Kind.CHANGE_ORDER: "From then it doesn't count, nor do later changes that remove or settle "
    "something of it, and this can't be undone. The rest of the contract stays.",
}
NOT_MAILED = "Nobody has a mailed link, so nothing was mailed."
IN_TIME = (
    "A notice that was mailed or handed over by the last day counts, whenever it reaches you. Some states "
    "give more days: check your local law."
)


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def document_send(request: HttpRequest, document_id: int) -> HttpResponse:
    """Ask who gets the document; then show its link, this once."""
    document = get_document(document_id)
    closed = why_closed(document, timezone.localdate())
    client = document.job.client
    initial = {"name": client.name, "email": client.email, "once": secrets.token_urlsafe(16)}
    form = SendForm(request.POST or None, initial=initial, to_sign=is_to_be_signed(document))
    if closed or not form.is_valid():
        status = 409 if closed and request.method == "POST" else status_of(form)
        return _send_page(request, document, status=status, form=form, closed=closed)
    typed, now = form.cleaned_data, timezone.now()
    try:
        link = put_on_page(document, typed["name"], typed["email"], typed["once"], now)
    except IntegrityError:
        form.add_error(None, "This was sent a moment ago, from another tab or by a double tap.")
        return _send_page(request, document, status=409, form=form)
    assert link.job_link is not None  # just put there
    trouble = _hand_over(link, address_of(request, link.job_link), form.wants_mail())
    about = f"{document} for {document.job.name}, {format_price(document.total.amount)}"
    return _send_page(
        request,
        document,
        link=link,
        **link_to_show(request, link.job_link, about),
        trouble=trouble,
        mailed=form.wants_mail(),
        no_code=not link.email and may_require_code(document, Firm.current(), timezone.localdate()),
    )


def _hand_over(link: ClientLink, address: str, by_mail: bool) -> str:
    """Have the document mailed, or note that the firm hands the link over itself; return what is wrong."""
    if not by_mail:
        note_handed_over(link, timezone.now())
        return ""
    try:
        with transaction.atomic():
            mail_document(link, address, Firm.current(), timezone.now())
    except DamagedPdf as error:
        return str(error)
    outbox.wake()
    return ""


def _send_page(request: HttpRequest, document: Document, status: int = 200, **context: Any) -> HttpResponse:
    context |= {"job": document.job, "place": "papers", "document": document}
    return render(request, "estimating/documents/send.html", context, status=status)


@require_POST
def link_withdraw(request: HttpRequest, document_id: int, link_id: int) -> HttpResponse:
    link = get_object_or_404(ClientLink.objects.select_related("document"), pk=link_id, document=document_id)
    links.withdraw_link(link, timezone.now())
    messages.success(request, f"The link for {link.name} opens nothing any more.")
    return redirect(link.document)


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def document_answer(request: HttpRequest, document_id: int) -> HttpResponse:
    """Answer what the client asked, by mail and on the client's page."""
    document = get_document(document_id)
    form = AnswerForm(request.POST or None)
    if not form.is_valid():
        asked = conversation(document)
        return _small_form(
            request, document, form, "Answer the client", "Send the answer", conversation=asked
        )
    text, now = form.cleaned_data["text"], timezone.now()
    with transaction.atomic():
        answer(document, text, now)
        to = mail_answer(document, text, Firm.current(), _address_for(request), now)
    outbox.wake()
    mailed = f"It goes by mail to {', '.join(to)}." if to else NOT_MAILED
    messages.success(request, f"The answer stands on the client's page. {mailed}")
    return redirect(document)


def _address_for(request: HttpRequest) -> Callable[[ClientLink], str]:
    """Return what gives the address of a person's page; empty where nobody else can open this site.

    The page is made for who has the link of a paper alone: the mail goes to the address that the firm typed.
    """

    def address(link: ClientLink) -> str:
        if is_only_here(request):
            return ""
        return address_of(request, page_for(link.document.job, link.name, link.email, timezone.now()))

    return address


@require_http_methods(["GET", "POST"])
def document_withdraw(request: HttpRequest, document_id: int) -> HttpResponse:
    """Withdraw a document before it is signed, with the reason."""
    document = get_document(document_id)
    form = WithdrawForm(request.POST or None)
    if form.is_valid():
        try:
            with transaction.atomic():
                document.record(states.WITHDRAWN, timezone.now(), {"reason": form.cleaned_data["reason"]})
        except NotAllowed as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{document} is withdrawn. It can't be signed any more.")
            return redirect(document)
    return _small_form(request, document, form, f"Withdraw {document}?", "Withdraw it")


def _small_form(
    request: HttpRequest, document: Document, form: forms.Form, title: str, verb: str, **context: Any
) -> HttpResponse:
    """Return a page with one form, whose button says `verb`."""
    context |= {"job": document.job, "place": "papers", "document": document, "form": form}
    context |= {"title": title, "verb": verb}
    status = status_of(form)
    return render(request, "estimating/documents/revise.html", context, status=status)


@keeps_own_transactions
@takes_much
@require_http_methods(["GET", "POST"])
def document_paper_signature(request: HttpRequest, document_id: int) -> HttpResponse:
    """Enter a signature on paper, with a photo or scan of it."""
    document, today = get_document(document_id), timezone.localdate()
    options = options_for(document, document.dated)
    form = PaperSignatureForm(
        request.POST or None,
        request.FILES or None,
        document=document,
        today=today,
        options=options,
        initial={"name": document.job.client.name, "signed_on": today},
    )
    if form.is_valid():
        typed = form.cleaned_data
        try:
            enter_paper_signature(
                document,
                typed["name"],
                typed["signed_on"],
                typed.get("options", ()),
                typed["scan"],
                request.user.get_username(),
                timezone.now(),
            )
        except (Refused, OptionLocked) as error:
            form.add_error(None, str(error))
        else:
            put_on_clients_pages(document, timezone.now())
            messages.success(request, f"{document} is signed. The scan is kept with it.")
            return redirect(document)
    title = "Enter a signature on paper"
    return _small_form(request, document, form, title, "Keep the signature", with_file=True)


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def document_cancel(request: HttpRequest, document_id: int) -> HttpResponse:
    """Enter a cancellation that the client didn't make on the page."""
    document, today = get_document(document_id), timezone.localdate()
    acceptance = get_object_or_404(Acceptance, document=document)
    initial = {"name": acceptance.name, "on": today}
    form = CancellationForm(
        request.POST or None, signed_on=acceptance.signed_on, today=today, initial=initial
    )
    if form.is_valid():
        typed, by = form.cleaned_data, request.user.get_username()
        try:
            enter_cancellation(document, typed["name"], typed["on"], typed["how"], by, timezone.now())
        except Refused as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{document} is canceled. Nothing of it counts as signed any more.")
            return redirect("job-papers", document.job_id)
    title = f"The client canceled {document}?"
    hint = f"{CONSEQUENCES[document.kind]} {IN_TIME}"
    return _small_form(request, document, form, title, "Enter the cancellation", hint=hint)


@keeps_own_transactions
@require_POST
def document_receipts(request: HttpRequest, document_id: int) -> HttpResponse:
    """Send the receipts that haven't gone out yet."""
    acceptance = get_object_or_404(
        Acceptance.objects.select_related("document__job__client", "link"), document=document_id
    )
    document = acceptance.document
    with transaction.atomic():
        mail_receipts(acceptance, Firm.current(), timezone.now())
        outbox.hurry(document, timezone.now())
    to = receipts_on_the_way(document)
    outbox.wake()
    words = f"goes to {', '.join(to)}" if to else "has nowhere to go: no further address is known"
    messages.success(request, f"The signed copy {words}.")
    return redirect(document)


@require_GET
def document_signed_pdf(request: HttpRequest, document_id: int) -> HttpResponse:
    return signed_pdf_response(document_id) or _none()


@require_GET
def document_signed_file(request: HttpRequest, document_id: int) -> HttpResponse:
    return signed_file_response(document_id) or _none()


@require_GET
def signature_scan(request: HttpRequest, document_id: int) -> HttpResponse:
    """Return the photo or scan of a signature on paper, always as a download."""
    scan = get_object_or_404(Scan, acceptance__document=document_id)
    if not scan.is_whole():
        raise Http404
    name = f"signature-{document_id}.{'jpg' if scan.content_type == JPEG else 'pdf'}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return HttpResponse(bytes(scan.content), content_type=scan.content_type, headers=headers)


def _none() -> HttpResponse:
    raise Http404
