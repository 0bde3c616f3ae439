"""How a client's link opens: its secret, guesses at it, the clean address after it, and mailed codes.

The secret has 256 bits; at rest there is only its SHA-256, which for a secret that long needs no salt or
slow hash (ASVS 5.0, 6.5.2). A code has six digits, so it is kept as an HMAC, lasts minutes and is tried
a few times only.
"""

import hashlib
import ipaddress
import logging
import secrets
from datetime import datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.db import transaction
from django.db.models import F, Q
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare, salted_hmac

from catalog.models import Firm
from estimating.events import states
from estimating.models import ClientLink, Document, MissedGuess
from estimating.models.client_link import GOOD_FOR

COOKIE_LASTS = timedelta(hours=2)
MISSES, MISSES_WITHIN = 30, timedelta(minutes=10)
CODE_LASTS, CODE_TRIES, CODE_AGAIN = timedelta(minutes=15), 5, timedelta(minutes=1)

log = logging.getLogger(__name__)


def hash_of_secret(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def wants_code(firm: Firm, total: Decimal) -> bool:
    """Whether a mailed code is asked for before this sum is signed."""
    return firm.code_required_above is not None and total > firm.code_required_above.amount


def make_link(document: Document, name: str, email: str, once: str, at: datetime) -> tuple[ClientLink, str]:
    """A link for a person, and its secret, which is shown once and never kept. The person's earlier link to
    the document is withdrawn. `once` is the page's own key: a second use of it raises IntegrityError."""
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


def withdraw(link: ClientLink, at: datetime) -> None:
    """The link opens nothing any more. Withdrawn twice, it is noted once."""
    with transaction.atomic():
        if ClientLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=at):
            link.document.record(states.UNLINKED, at, {"for": link.name, "link": link.secret_sha256})


def find(secret: str, address: str, at: datetime) -> ClientLink | None:
    """The link that a secret opens; None for a wrong, expired or withdrawn one, and for anybody at an
    address that guessed too often."""
    if _guessed_too_often(address, at):
        return None
    link = ClientLink.objects.working(at).filter(secret_sha256=hash_of_secret(secret)).first()
    if link is None:
        _note_miss(address, at)
    elif link.first_used_at is None:
        ClientLink.objects.filter(pk=link.pk, first_used_at=None).update(first_used_at=at)
    return link


def _guessed_too_often(address: str, at: datetime) -> bool:
    recent = MissedGuess.objects.filter(address=address, at__gt=at - MISSES_WITHIN)
    return recent.count() >= MISSES


def _note_miss(address: str, at: datetime) -> None:
    MissedGuess.objects.filter(at__lte=at - MISSES_WITHIN).delete()
    MissedGuess.objects.create(address=address, at=at)
    if MissedGuess.objects.filter(address=address).count() == MISSES:
        log.warning("%s asked for %d links that aren't there; it is shut out for a while.", address, MISSES)


def cookie_name(link_id: int) -> str:
    return f"{'__Host-' if settings.SESSION_COOKIE_SECURE else ''}paper-{link_id}"


def let_in(response: HttpResponse, link: ClientLink) -> None:
    """Give the browser the cookie that opens the clean address for a while."""
    response.set_signed_cookie(
        cookie_name(link.pk),
        link.secret_sha256[:16],
        salt="client link",
        max_age=COOKIE_LASTS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def link_let_in(request: HttpRequest, link_id: int, at: datetime) -> ClientLink | None:
    """The link at a clean address, for a browser that came by it and while it is good."""
    part = request.get_signed_cookie(
        cookie_name(link_id), default="", salt="client link", max_age=COOKIE_LASTS
    )
    links = ClientLink.objects.working(at).select_related("document__job__client")
    return links.filter(pk=link_id, secret_sha256__startswith=part).first() if part else None


def client_address(request: HttpRequest) -> str:
    """The network address that a request came from. What a client claims about himself isn't believed:
    of X-Forwarded-For only the entry that the outermost of our own proxies wrote counts."""
    proxies = settings.PROXIES
    said = [each.strip() for each in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    address = said[-proxies] if 0 < proxies <= len(said) else request.META.get("REMOTE_ADDR", "")
    try:
        return str(ipaddress.ip_address(address))
    except ValueError:
        return "0.0.0.0"


def new_code(link: ClientLink, at: datetime) -> str | None:
    """A six-digit code to mail; None where the last one was mailed a moment ago and still counts."""
    code = f"{secrets.randbelow(10**6):06}"
    may_send = Q(code_sent_at=None) | Q(code_sent_at__lte=at - CODE_AGAIN)
    sent = ClientLink.objects.filter(may_send, pk=link.pk).update(
        code_hash=_hash_of_code(link, code), code_sent_at=at, code_tries=0
    )
    return code if sent else None


def code_is_right(link: ClientLink, code: str, at: datetime) -> bool:
    """Whether the code is the one mailed last, in time and within the tries. Every call is a try."""
    tried = ClientLink.objects.filter(
        pk=link.pk, code_sent_at__gt=at - CODE_LASTS, code_tries__lt=CODE_TRIES
    ).update(code_tries=F("code_tries") + 1)
    link.refresh_from_db(fields=["code_hash", "code_sent_at"])
    return bool(tried and constant_time_compare(link.code_hash, _hash_of_code(link, code)))


def _hash_of_code(link: ClientLink, code: str) -> str:
    return salted_hmac(f"code of link {link.pk}", code, algorithm="sha256").hexdigest()
