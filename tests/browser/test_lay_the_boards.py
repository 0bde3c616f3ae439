"""In a real browser: the demo kitchen's floor is laid another way, and the price follows."""

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Locator, Page, Route, expect
from pytest_django.live_server_helper import LiveServer

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from demo.firm import load_firm
from estimating.estimate_file.reading import read
from estimating.models import Job, WorkItem
from tests.pdf_text import text_of
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

KITCHEN = Path(settings.BASE_DIR) / "demo_fixtures" / "kitchen.json"


@pytest.fixture
def kitchen(db: None) -> Job:
    load_firm()
    load()
    firm = Firm.current()
    return read(KITCHEN.read_text("utf-8"), firm, CatalogReader(firm)).save().job


def price(page: Page) -> Decimal:
    text = page.locator("#money-foot .comes-to-price strong").text_content() or ""
    return Decimal(re.sub(r"[^\d.]", "", text))


def open_floor(page: Page, job: Job) -> None:
    item = WorkItem.objects.get(estimate__job=job, assembly__code="backer-floor")
    page.goto(f"/jobs/{job.pk}/work/{item.pk}/")
    expect(page.locator("#item-result")).to_contain_text("Bought 10 sheets")
    expect(page.get_by_text("A better layout is looked for")).to_have_count(0)
    page.get_by_role("link", name="Kitchen, floor").click()
    expect(page.locator("h1")).to_contain_text("Kitchen, floor")


def test_the_floor_is_laid_from_another_corner_and_a_board_more_is_bought(page: Page, kitchen: Job) -> None:
    open_floor(page, kitchen)
    before = price(page)
    is_sound(page)

    page.get_by_label("Upper right").check()
    expect(page.locator("#board-result desc")).to_contain_text("from the upper right corner")
    page.get_by_label("Across the drawing").check()
    page.get_by_label("Width of the first course").fill("24")
    expect(page.locator("#board-result")).to_contain_text("1 sheet more; $")
    expect(page.locator("#money-foot .comes-to-price strong")).not_to_have_text(f"${before:,}")
    # Not always more: with its hours the plan may take another order of the work.
    as_chosen = price(page)

    page.get_by_role("button", name="I'll buy one more").click()
    expect(page.locator("#board-result")).to_contain_text("Bought 12 sheets; area alone says 10.")
    # $11.25, 6.5 % tax at the store, 20 % on both
    assert abs(price(page) - as_chosen - Decimal("14.38")) <= Decimal("0.02")

    page.get_by_role("link", name="Show the fasteners").click()
    expect(page.locator("#board-result .board-fastener")).to_have_count(1)
    is_sound(page)
    address = page.get_by_role("link", name="Cut sheet (PDF)").get_attribute("href")
    answer = page.request.get(address or "")
    assert answer.headers["content-type"] == "application/pdf"
    assert text_of(answer.body())


def press_while_better_boards_come(page: Page, job: Job, pressed: Locator) -> None:
    """Open the work of a job, and let go of what was pressed when the page is about to be shown anew."""
    work = f"/jobs/{job.pk}/work/"
    searches: list[Route] = []
    page.route("**/boards/*/best/", lambda search: searches.append(search), times=1)
    with page.expect_request("**/boards/*/best/"):
        page.goto(work)
    pressed.hover()
    page.mouse.down()
    with page.expect_response(lambda answer: answer.url.endswith(work)) as shown_anew:
        searches.pop().continue_()
    shown_anew.value.finished()
    page.wait_for_timeout(200)  # more than the swap takes
    page.mouse.up()


def test_a_link_pressed_while_better_boards_come_is_followed(page: Page, kitchen: Job) -> None:
    press_while_better_boards_come(page, kitchen, page.get_by_role("link", name="Seal").first)
    expect(page.locator("h1")).to_contain_text("Seal")


def test_better_boards_come_when_what_was_pressed_is_let_go(page: Page, kitchen: Job) -> None:
    press_while_better_boards_come(page, kitchen, page.get_by_role("heading", name="Work", exact=True))
    expect(page.get_by_text("A better layout is looked for")).to_have_count(0)


def test_everything_works_without_javascript(
    open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client, kitchen: Job
) -> None:
    page = open_page(java_script_enabled=False)
    session = signed_in.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
    )
    item = WorkItem.objects.get(estimate__job=kitchen, assembly__code="backer-floor")
    page.goto(f"/jobs/{kitchen.pk}/work/{item.pk}/")
    while page.get_by_role("button", name="Look for it now").count():
        page.get_by_role("button", name="Look for it now").click()
    page.get_by_role("link", name="Kitchen, floor").click()
    page.get_by_label("Lower right").check()
    page.get_by_role("button", name="Use this layout").click()
    expect(page.locator("#board-result desc")).to_contain_text("from the lower right corner")
    page.get_by_role("button", name="I'll buy one more").click()
    expect(page.locator("#board-result")).to_contain_text("Bought 11 sheets; area alone says 10.")
    page.get_by_role("link", name="What would each corner take?").click()
    expect(page.locator("#starts tbody tr")).to_have_count(8)
