"""One link for a person to the page of a job, which the mail of each new paper leads to.

Who holds which link decides what opens. The link of a job goes to one person, by name and address as the firm
typed them, and opens what the firm sent to that person of that job and, to the client, what was signed on
paper or on the firm's device: nothing else that was issued and not sent, nothing that somebody else was sent.
A link of one paper, of the time before jobs had pages, may have been passed on with that paper, to a bank or
a bookkeeper: it opens its paper as before, on its own terms, and never leads on to the page. The page's link
does lead to that paper, as the same person was sent it.

The secret is an HMAC of a random seed under the site's key, so the same link can be mailed, copied and sent
by text message again. At rest there are the seed and the SHA-256 of the secret. Whoever reads the database
alone has no link; whoever has the site's key besides could forge the cookie of any link anyway. Under another
key the secret is another one: the person then gets a new link with the next paper.
"""

import base64
import secrets
from datetime import datetime

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac

from estimating.client.links import hash_of_secret, read_access, set_access, withdraw_link
from estimating.models import ClientLink, Document, Job, JobLink
from estimating.models.client_link import GOOD_FOR


def put_on_page(document: Document, name: str, email: str, once: str, at: datetime) -> ClientLink:
    """Put a document on the page of its job for a person, for whom the page is made with the first one.

    What the person was sent of the job before joins it. The person's earlier link to the document is
    withdrawn. `once` is the key of the form that asks for it: a second use of it raises IntegrityError.
    """
    with transaction.atomic():
        Document.objects.select_for_update(no_key=True).get(pk=document.pk)
        document.links.filter(name=name, email=email, withdrawn_at=None).update(withdrawn_at=at)
        page = page_for(document.job, name, email, at)
        return ClientLink.objects.create(
            document=document,
            name=name,
            email=email,
            job_link=page,
            once=once,
            made_at=at,
            expires_at=at + GOOD_FOR,
        )


def put_on_clients_pages(document: Document, at: datetime) -> None:
    """Put what the client signed without a link on the pages that the client has of the job.

    These are the pages for the client's e-mail; without one, for the client's name. Where there is none, none
    is made.
    """
    client = document.job.client
    of_client = {"email": client.email} if client.email else {"email": "", "name": client.name}
    pages = JobLink.objects.working(at).filter(job=document.job_id, **of_client)
    for page in pages.exclude(papers__in=document.links.filter(withdrawn_at=None)):
        put_on_page(document, page.name, page.email, secrets.token_urlsafe(16), at)


def page_for(job: Job, name: str, email: str, at: datetime) -> JobLink:
    """Return a person's link to the page of a job, made where there is none; its last day moves on."""
    of_person = JobLink.objects.filter(job=job, name=name, email=email, withdrawn_at=None)
    with transaction.atomic():
        page = of_person.first()
        if page is not None and not is_of_this_site(page):
            withdraw_page(page, at)
            page = None
        if page is None:
            seed = secrets.token_hex(32)
            page = JobLink.objects.create(
                job=job,
                name=name,
                email=email,
                seed=seed,
                secret_sha256=hash_of_secret(_secret(seed)),
                made_at=at,
                expires_at=at + GOOD_FOR,
            )
        else:
            of_person.update(expires_at=at + GOOD_FOR)
        sent = ClientLink.objects.filter(document__job=job, name=name, email=email, withdrawn_at=None)
        sent.filter(job_link=None).update(job_link=page)
    return page


def secret_of(page: JobLink) -> str:
    """Return the secret that opens the page of a job."""
    return _secret(page.seed)


def is_of_this_site(page: JobLink) -> bool:
    """Return whether the secret worked out now is that which was sent: the site has its key still."""
    return hash_of_secret(secret_of(page)) == page.secret_sha256


def withdraw_page(page: JobLink, at: datetime) -> None:
    """Let the link open nothing any more, nor any paper on its page; of each the chain says so."""
    with transaction.atomic():
        JobLink.objects.filter(pk=page.pk, withdrawn_at=None).update(withdrawn_at=at)
        for link in page.papers.filter(withdrawn_at=None).select_related("document", "job_link"):
            withdraw_link(link, at)


def find_page(secret: str, at: datetime) -> JobLink | None:
    """Return the page that a secret opens; None for a wrong, expired or withdrawn one."""
    page = JobLink.objects.working(at).filter(secret_sha256=hash_of_secret(secret)).first()
    if page is not None and page.first_used_at is None:
        JobLink.objects.filter(pk=page.pk, first_used_at=None).update(first_used_at=at)
    return page


def grant_page(response: HttpResponse, page: JobLink) -> None:
    """Set the cookie that opens a page, and every paper on it, for a while."""
    set_access(response, f"job-{page.pk}", page.secret_sha256)


def page_with_access(request: HttpRequest, page_id: int, at: datetime) -> JobLink | None:
    """Return the page, to a browser with its cookie and while its link is good."""
    start = read_access(request, f"job-{page_id}")
    pages = JobLink.objects.working(at).select_related("job__client")
    return pages.filter(pk=page_id, secret_sha256__startswith=start).first() if start else None


def paper_by_page(request: HttpRequest, link_id: int, at: datetime) -> ClientLink | None:
    """Return a paper that stands on a page, to a browser with the cookie of that page."""
    papers = ClientLink.objects.select_related("document__job__client", "job_link")
    link = papers.filter(pk=link_id, withdrawn_at=None, job_link__isnull=False).first()
    if link is None or link.job_link is None or not page_with_access(request, link.job_link.pk, at):
        return None
    return link


def _secret(seed: str) -> str:
    made = salted_hmac("link to the page of a job", seed, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(made).rstrip(b"=").decode()
