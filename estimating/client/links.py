"""The link of one paper: its secret, and the clean address that it leads to.

New papers go by the link of their job, `job_page.links`; clients still hold links of one paper.

The secret has 256 bits; at rest there is only its SHA-256, which for a secret that long needs no salt or
slow hash (ASVS 5.0, 6.5.2). The first GET swaps it for a signed cookie of two hours and leads to a clean
address, which stays in histories and logs without harm. A secret in an address goes against ASVS 5.0, 14.2.1,
for the length of that one request: a mail can carry nothing else. `config/log_secrets.py` cuts it out of our
logs; have a proxy in front not log paths under `/open/`.

Wrong, expired and withdrawn links get one and the same answer, which costs two queries. Nobody is shut out
for guessing: 256 bits aren't guessed, and behind one address there may be many clients.
"""

import hashlib
from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse

from estimating.events import states
from estimating.models import ClientLink, Document

COOKIE_LASTS = timedelta(hours=2)


def hash_of_secret(secret: str) -> str:
    """Return the SHA-256 of a secret, by which its link is found."""
    return hashlib.sha256(secret.encode()).hexdigest()


def withdraw_link(link: ClientLink, at: datetime) -> None:
    """Let a link open nothing any more; withdrawn twice, it is recorded once."""
    with transaction.atomic():
        if ClientLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=at):
            link.document.record(states.UNLINKED, at, {"for": link.name, "link": link.named_sha256()})


def find_link(secret: str, at: datetime) -> ClientLink | None:
    """Return the link that a secret opens; None for a wrong, expired or withdrawn one."""
    link = ClientLink.objects.working(at).filter(secret_sha256=hash_of_secret(secret)).first()
    if link is not None and link.first_used_at is None:
        ClientLink.objects.filter(pk=link.pk, first_used_at=None).update(first_used_at=at)
    return link


def grant_access(response: HttpResponse, link: ClientLink) -> None:
    """Set the cookie that opens the clean address of a link for a while."""
    set_access(response, f"paper-{link.pk}", link.secret_sha256 or "")


def link_with_access(request: HttpRequest, link_id: int, at: datetime) -> ClientLink | None:
    """Return the link of a clean address, to a browser with its cookie and while the link is good."""
    start = read_access(request, f"paper-{link_id}")
    links = ClientLink.objects.working(at).select_related("document__job__client", "job_link")
    return links.filter(pk=link_id, secret_sha256__startswith=start).first() if start else None


def set_access(response: HttpResponse, name: str, sha256: str) -> None:
    """Set a signed cookie that holds the start of a secret's hash."""
    response.set_signed_cookie(
        _cookie(name),
        sha256[:16],
        salt="client link",
        max_age=COOKIE_LASTS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def read_access(request: HttpRequest, name: str) -> str:
    """Return the start of the hash that a browser was given; empty where it has no good cookie."""
    found = request.get_signed_cookie(_cookie(name), default="", salt="client link", max_age=COOKIE_LASTS)
    return found or ""


def _cookie(name: str) -> str:
    """Return the name of a cookie, bound to the host under HTTPS."""
    return f"{'__Host-' if settings.SESSION_COOKIE_SECURE else ''}{name}"


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
