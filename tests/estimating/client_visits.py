"""A floor with options, sent to the client, and the client's browser at its link."""

import re
import secrets
from typing import Any

from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.client.links import hash_of_secret
from estimating.models import ClientLink, Document, Estimate
from estimating.models.client_link import GOOD_FOR
from tests.estimating.issuing import issue_now, painted_floor
from tests.factories import put_on
from tests.responses import PageResponse

EMAIL = "okonjo@example.com"
NAME = "Marisol Okonjo"
SURE = {"name": NAME, "sure": "on"}  # what he types and ticks to cancel


def floor_with_options(**job: Any) -> Estimate:
    """A painted floor for $196.80, valid for a month from today. Two options: a further coat, which adds
    $196.80, and a second floor, on which the client decides by yesterday."""
    estimate = painted_floor(**job)
    estimate.dated = timezone.localdate()
    estimate.save()
    item = estimate.items.get()
    room = estimate.job.rooms.get()
    assert item.assembly
    for title, more in (("A further coat", {}), ("Late choice", {"decide_by": "2020-01-02"})):
        put_on(estimate, item.assembly, room, title=title, is_option=True, **more)
    return estimate


def sent(owner: Client, document: Document | None = None, email: str = EMAIL, **fields: str) -> str:
    """The address of the client's link, from the page that shows it once."""
    document = document or issue_now(floor_with_options())
    page = owner.post(
        reverse("document-send", args=[document.pk]),
        {"name": NAME, "email": email, "once": f"once {document.pk} {email} {len(mail.outbox)}", **fields},
    )
    found = re.search(r'value="(http://testserver/open/[^"]+)"', page.content.decode())
    assert found, page.content.decode()
    return found[1].removeprefix("http://testserver")


def visit(address: str) -> tuple[Client, str]:
    """A browser that came by the link, and the clean address of the newest paper there."""
    browser = Client(enforce_csrf_checks=False)
    answer = browser.get(address)
    assert answer.status_code == 302
    page = answer["Location"]
    if "/job/" in page:
        found = re.search(
            r'href="(/for-you/\d+/)', browser.get(page).content.decode().partition("Your papers")[2]
        )
        assert found
        page = found[1]
    return browser, page


def link_of_one_paper(document: Document) -> str:
    """The address of a link as clients hold them since before jobs had a page."""
    secret = secrets.token_urlsafe(32)
    now = timezone.now()
    ClientLink.objects.create(
        document=document,
        name=NAME,
        email=EMAIL,
        secret_sha256=hash_of_secret(secret),
        once=secret[:20],
        made_at=now,
        expires_at=now + GOOD_FOR,
    )
    return f"/open/{secret}/"


def sign(browser: Client, page: str, total: str, **fields: Any) -> PageResponse:
    typed = {"name": NAME, "consent": "on", "seen_total": total, **fields}
    return browser.post(f"{page}sign/", typed)
