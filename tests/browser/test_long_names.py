"""Names without a space, as long as a field takes them, on a phone."""

from collections.abc import Callable

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.conftest import PHONE
from tests.estimating.issuing import painted_floor
from tests.factories import make_client

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WORD = "Kitchenbreakfastnook" * 4  # 80 characters, as many as a room's name may have


def test_a_long_word_breaks_and_nothing_has_to_be_scrolled_for_sideways(
    open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client
) -> None:
    estimate = painted_floor(name=WORD, client=make_client(name=WORD))
    item = estimate.items.get()
    estimate.items.update(title=WORD)
    estimate.job.rooms.update(name=WORD)
    page = open_page(**PHONE)
    session = signed_in.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
    )
    job = estimate.job_id
    of_the_job = ("job-rooms", "job-work", "work-add", "job-price", "job-papers")
    for address in (
        reverse("today"),
        *(reverse(name, args=[job]) for name in of_the_job),
        reverse("work-item", args=[job, item.pk]),
    ):
        page.goto(address)
        expect(page.get_by_role("heading", level=1).first).to_be_visible()
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert (address, wide) == (address, PHONE["viewport"]["width"])
