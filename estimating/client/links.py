"""A client's link: its secret, and the clean address that it leads to.

The secret has 256 bits; at rest there is only its SHA-256, which for a secret that long needs no salt or
slow hash (ASVS 5.0, 6.5.2). The first GET swaps it for a signed cookie of two hours and leads to a clean
address, which stays in histories and logs without harm. A secret in an address goes against ASVS 5.0, 14.2.1,
for the length of that one request: a mail can carry nothing else. `config/log_secrets.py` cuts it out of our
logs; have a proxy in front not log paths under `/open/`.

Wrong, expired and withdrawn links get one and the same answer, which costs one query. Nobody is shut out for
guessing: 256 bits aren't guessed, and behind one address there may be many clients.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse

from estimating.events import states
from estimating.models import ClientLink, Document
from estimating.models.client_link import GOOD_FOR

COOKIE_LASTS = timedelta(hours=2)


def hash_of_secret(secret: str) -> str:
    """Return the SHA-256 of a secret, by which its link is found."""
    return hashlib.sha256(secret.encode()).hexdigest()


def make_link(document: Document, name: str, email: str, once: str, at: datetime) -> tuple[ClientLink, str]:
    """Make a link for a person; return it with its secret, which is shown once and never kept.

    The person's earlier link to the document is withdrawn. `once` is the key of the form that asks for the
    link: a second use of it raises IntegrityError.
    """
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        Document.objects.select_for_update(no_key=True).get(pk=document.pk)
        document.links.filter(name=name, email=email, withdrawn_at=None).update(withdrawn_at=at)
        link = ClientLink.objects.create(
            document=document,
            name=name,
            email=email,
            secret_sha256=hash_of_secret(secret),
            once=once,
            made_at=at,
            expires_at=at + GOOD_FOR,
        )
    return link, secret


def withdraw_link(link: ClientLink, at: datetime) -> None:
    """Let a link open nothing any more; withdrawn twice, it is recorded once."""
    with transaction.atomic():
        if ClientLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=at):
            link.document.record(states.UNLINKED, at, {"for": link.name, "link": link.secret_sha256})


def find_link(secret: str, at: datetime) -> ClientLink | None:
    """Return the link that a secret opens; None for a wrong, expired or withdrawn one."""
    link = ClientLink.objects.working(at).filter(secret_sha256=hash_of_secret(secret)).first()
    if link is not None and link.first_used_at is None:
        ClientLink.objects.filter(pk=link.pk, first_used_at=None).update(first_used_at=at)
    return link


def cookie_name(link_id: int) -> str:
    """Return the name of the cookie that opens a link's clean address, bound to the host under HTTPS."""
    return f"{'__Host-' if settings.SESSION_COOKIE_SECURE else ''}paper-{link_id}"


def grant_access(response: HttpResponse, link: ClientLink) -> None:
    """Set the cookie that opens the clean address of a link for a while."""
    response.set_signed_cookie(
        cookie_name(link.pk),
        link.secret_sha256[:16],
        salt="client link",
        max_age=COOKIE_LASTS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def link_with_access(request: HttpRequest, link_id: int, at: datetime) -> ClientLink | None:
    """Return the link of a clean address, to a browser with its cookie and while the link is good."""
    secret_start = request.get_signed_cookie(
        cookie_name(link_id), default="", salt="client link", max_age=COOKIE_LASTS
    )
    links = ClientLink.objects.working(at).select_related("document__job__client")
    return links.filter(pk=link_id, secret_sha256__startswith=secret_start).first() if secret_start else None


def mailed_link_to_newest(link: ClientLink) -> ClientLink | None:
    """Return this person's mailed link to the newest document in place of a superseded one.

    None where no such link was mailed. Costs a query for the chain of documents, however long, and one for
    the link.
    """
    if not link.email:
        return None
    document = link.document
    pairs = Document.objects.filter(job=document.job_id, supersedes__isnull=False)
    later: dict[int | None, int] = dict(pairs.values_list("supersedes", "pk"))
    newest = document.pk
    while newest in later:
        newest = later[newest]
    mailed = ClientLink.objects.filter(
        document=newest, email=link.email, withdrawn_at=None, mailed_at__isnull=False
    )
    return mailed.order_by("-pk").first()
