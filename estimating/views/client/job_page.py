"""The client's page of a whole job, and the firm's page with the link to it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.http.request import split_domain_port
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from catalog.models import Firm
from estimating.client import outbox, signing
from estimating.client.job_page import links
from estimating.client.job_page.page import read_page
from estimating.client.job_page.text_message import text_message_address
from estimating.client.signing import Refused
from estimating.forms.client import AskAboutForm
from estimating.models import JobLink
from estimating.views.client.page import kept_private, visit_of
from saving.once import keeps_own_transactions


@keeps_own_transactions
@login_not_required
@require_http_methods(["GET", "POST"])
def client_job(request: HttpRequest, page_id: int) -> HttpResponse:
    """Show every paper that the holder was sent, what waits for him and what he owes; take a question."""
    now = timezone.now()
    page = links.page_with_access(request, page_id, now)
    if page is None:
        return kept_private(render(request, "client/closed.html", status=404))
    shown = read_page(page, timezone.localdate(now))
    papers = {paper.link.pk: paper for paper in (*shown.papers, *shown.over)}
    form = AskAboutForm(
        request.POST or None, papers={key: str(paper.document) for key, paper in papers.items()}
    )
    status = 200
    if form.is_valid():
        link = papers[int(form.cleaned_data["paper"])].link
        try:
            signing.ask(visit_of(request, link, now, by_page=True), form.cleaned_data["text"])
        except Refused as error:
            form.add_error(None, str(error))
            status = 409
        else:
            outbox.wake()
            return kept_private(redirect(f"{reverse('client-job', args=[page.pk])}#asked"))
    elif form.is_bound:
        status = 422
    context = {"page": page, "job": page.job, "firm": Firm.current(), "shown": shown, "form": form}
    return kept_private(render(request, "client/job.html", context, status=status))


@require_GET
def job_link(request: HttpRequest, job_id: int, page_id: int) -> HttpResponse:
    """Show the link to the client's page of a job, to copy it or send it as a text message."""
    page = get_object_or_404(JobLink.objects.select_related("job__client"), pk=page_id, job=job_id)
    works = page.withdrawn_at is None and links.is_of_this_site(page)
    context = {"job": page.job, "place": "papers", "page": page, "works": works}
    if works:
        context |= link_to_show(request, page)
    return render(request, "estimating/documents/job_link.html", context)


@require_POST
def job_link_withdraw(request: HttpRequest, job_id: int, page_id: int) -> HttpResponse:
    """Let the link to the client's page open nothing any more."""
    page = get_object_or_404(JobLink, pk=page_id, job=job_id)
    links.withdraw_page(page, timezone.now())
    messages.success(request, f"The link to the page of {page.name} opens nothing any more.")
    return redirect("job-papers", job_id)


def link_to_show(request: HttpRequest, page: JobLink, about: str = "") -> dict[str, Any]:
    """Return the address of a page, with the text message that takes it to the client's phone.

    `about` is what the message says it is; else it is the page of the job.
    """
    address, firm = address_of(request, page), Firm.current()
    text = f"{firm.name}: {about or f'your page for {page.job.name}, with every paper'}. {address}"
    return {
        "address": address,
        "text_message": text_message_address(page.job.client.phone, text),
        "only_here": is_only_here(request),
    }


def address_of(request: HttpRequest, page: JobLink) -> str:
    """Return the link to a page as its holder opens it."""
    return request.build_absolute_uri(reverse("client-open", args=[links.secret_of(page)]))


def is_only_here(request: HttpRequest) -> bool:
    """Tell whether the host of this request leads nowhere from another machine."""
    return split_domain_port(request.get_host())[0] in ("localhost", "127.0.0.1", "[::1]")
