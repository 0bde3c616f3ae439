"""The frame around every page: at three widths, in light and dark, empty and with errors, and zoomed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from tests.conftest import DESK, PHONE
from tests.factories import make_estimate, make_firm, make_job, make_painting, make_room, put_on
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TABLET = {"viewport": {"width": 768, "height": 1024}}
ZOOMED = {"viewport": {"width": 320, "height": 200}}  # 1280 by 800 at 400 %
HALF = {"viewport": {"width": 640, "height": 400}}  # the same at 200 %


@pytest.fixture
def visit(open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client) -> Callable[..., Page]:
    """A page of the given size, signed in."""

    def opened(**options: Any) -> Page:
        page = open_page(**options)
        value = signed_in.cookies["sessionid"].value
        page.context.add_cookies([{"name": "sessionid", "value": value, "url": live_server.url}])
        return page

    return opened


@pytest.mark.parametrize("size", [PHONE, TABLET, DESK], ids=["phone", "tablet", "desk"])
def test_a_job_is_sound_in_both_schemes_with_work_with_errors_and_empty(
    visit: Callable[..., Page], size: dict[str, Any]
) -> None:
    make_firm()
    empty, job = make_job(name="Hall"), make_job()
    item = put_on(make_estimate(job), make_painting(), make_room(job))
    page = visit(**size)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for address in (
            "/",
            "/jobs/",
            "/search/?q=kitchen+hall",
            f"/jobs/{empty.pk}/work/",
            f"/jobs/{job.pk}/price/",
        ):
            page.goto(address)
            is_sound(page)
        page.goto(f"/jobs/{job.pk}/work/{item.pk}/row/")
        page.get_by_label("Quantity", exact=True).fill("many")
        page.get_by_role("button", name="Save", exact=False).first.click()
        expect(page.locator(".error-summary")).to_be_focused()
        is_sound(page)
    page.emulate_media(color_scheme="light")


@pytest.mark.parametrize("size", [HALF, ZOOMED], ids=["200 %", "400 %"])
def test_zoomed_nothing_has_to_be_scrolled_sideways(visit: Callable[..., Page], size: dict[str, Any]) -> None:
    make_firm()
    job = make_job()
    put_on(make_estimate(job), make_painting(), make_room(job))
    page = visit(**size)
    places = ("rooms", "work", "price", "days", "paperwork", "photos", "money", "hours", "rooms/new")
    for address in ("/", "/money/", "/catalog/firm/", *(f"/jobs/{job.pk}/{place}/" for place in places)):
        page.goto(address)
        assert page.evaluate(
            "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
        ), address


def test_printed_a_page_is_what_it_says_without_the_ways_to_other_pages(visit: Callable[..., Page]) -> None:
    make_firm()
    job = make_job()
    put_on(make_estimate(job), make_painting(), make_room(job))
    page = visit(**DESK)
    page.emulate_media(media="print")
    for place in ("work", "days"):
        page.goto(f"/jobs/{job.pk}/{place}/")
        expect(page.locator("h1").first).to_be_visible()
        for way in page.get_by_role("navigation").all():
            expect(way).to_be_hidden()
        expect(page.get_by_role("link", name="Start a job")).to_have_count(0)
    page.emulate_media(media="screen")


def test_a_key_leads_to_the_search_and_a_line_is_changed_and_undone(
    visit: Callable[..., Page], owner: User
) -> None:
    make_firm()
    job = make_job()
    put_on(make_estimate(job), make_painting(), make_room(job))
    page = visit(**DESK)
    page.goto("/")
    page.keyboard.press("/")
    expect(page.get_by_label("Search jobs, clients, papers, materials and assemblies")).to_be_focused()
    page.keyboard.type("kitchen")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Work", exact=False).first.click()
    page.get_by_role("link", name="change floor paint here", exact=False).click()
    page.get_by_label("Quantity", exact=True).fill("60")
    page.get_by_role("button", name="Save floor paint").click()
    # 1 gal and 0.6 h, $98.40, and a supply run of 2 h at $70.00 with 20 %
    expect(page.locator("#money-foot .comes-to-price strong")).to_have_text("$266.40")
    page.get_by_label("Mark floor paint").check()
    page.get_by_role("button", name="Remove").click()
    expect(page.locator("main")).to_contain_text("No work yet.")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("main")).to_contain_text("60 sq ft")
