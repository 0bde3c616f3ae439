"""A floor with options, sent to the client, and the client's browser at its link."""

import re
from typing import Any

from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Document, Estimate
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
    """A browser that came by the link, and the clean address that it was led to."""
    browser = Client(enforce_csrf_checks=False)
    answer = browser.get(address)
    assert answer.status_code == 302
    return browser, answer["Location"]


def sign(browser: Client, page: str, total: str, **fields: Any) -> PageResponse:
    typed = {"name": NAME, "consent": "on", "seen_total": total, **fields}
    return browser.post(f"{page}sign/", typed)
