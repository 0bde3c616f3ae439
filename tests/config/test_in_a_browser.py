"""What the script and the style sheet do, in a real browser."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.auth.models import User
from playwright.sync_api import Page, Route, expect

from tests.conftest import DESK, PHONE

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]

SAMPLE = """<!doctype html><html lang="en"><head><title>Room</title>
<meta name="viewport" content="width=device-width">
<link rel="stylesheet" href="/static/benchrule.css">
<script src="/static/vendor/htmx/htmx.min.js" defer></script>
<script src="/static/benchrule.js" defer></script></head>
<body data-sign-in="/sign-in/"><main class="page">
<div class="error-summary"><ul><li><a href="#length">Length: too long</a></li></ul></div>
<form id="room" method="post" action="/rooms/">
<div class="field"><label for="length">Length</label>
<input id="length" inputmode="decimal" data-length><p class="reading" id="length_reading"></p></div>
<button class="button">Keep</button></form>
<button id="live" hx-post="/live/" hx-target="#result">Price it</button><p id="result">as it was</p>
<p class="saving" hidden>Saving</p><p class="not-saved" hidden></p></main></body></html>"""


@pytest.fixture
def sample(open_page: OpenPage) -> Page:
    """A page on a phone with one of everything that the script cares for."""
    page = open_page(**PHONE)
    page.route("**/sample/", lambda route: route.fulfill(body=SAMPLE, content_type="text/html"))
    page.goto("/sample/")
    return page


def answer(status: int, body: str) -> Callable[[Route], None]:
    return lambda route: route.fulfill(status=status, body=body, content_type="text/html")


def test_the_summary_of_errors_takes_the_focus(sample: Page) -> None:
    expect(sample.locator(".error-summary")).to_be_focused()
    assert sample.title() == "Error: Room"


def test_a_link_in_the_summary_shows_the_label_and_focuses_the_field(sample: Page) -> None:
    sample.get_by_role("link", name="Length: too long").click()
    expect(sample.get_by_label("Length", exact=True)).to_be_focused()
    expect(sample.locator("label")).to_be_in_viewport(ratio=1)


def test_a_fraction_key_adds_to_what_is_typed_and_keeps_the_focus(sample: Page) -> None:
    length = sample.get_by_label("Length", exact=True)
    length.tap()
    length.press_sequentially("11")
    sample.get_by_role("button", name="1/2").tap()
    expect(length).to_have_value("11 1/2")
    expect(length).to_be_focused()
    assert length.evaluate("field => field.selectionStart") == len("11 1/2")
    sample.get_by_role("button", name="inches").tap()
    expect(length).to_have_value('11 1/2"')


def test_sixteenths_are_one_tap_further(sample: Page) -> None:
    length = sample.get_by_label("Length", exact=True)
    length.tap()
    length.press_sequentially("4'")
    sample.get_by_role("button", name="16ths").tap()
    sample.get_by_role("button", name="11/16").tap()
    expect(length).to_have_value("4' 11/16")
    sample.get_by_role("button", name="8ths").tap()
    expect(sample.get_by_role("button", name="3/8")).to_be_visible()


def test_keys_are_large_enough_to_tap(sample: Page) -> None:
    sample.get_by_label("Length", exact=True).tap()
    for key in sample.locator(".chips button").all():
        box = key.bounding_box()
        assert box
        assert min(box["width"], box["height"]) >= 44


def test_a_fault_is_said_and_the_page_stays(sample: Page) -> None:
    sample.route("**/live/", answer(500, "a fault"))
    sample.get_by_role("button", name="Price it").tap()
    expect(sample.locator(".not-saved")).to_contain_text("Not saved.")
    expect(sample.locator("#result")).to_have_text("as it was")
    sample.unroute("**/live/")
    sample.route("**/live/", answer(200, "$12.00"))
    sample.get_by_role("button", name="Price it").tap()
    expect(sample.locator("#result")).to_have_text("$12.00")
    expect(sample.locator(".not-saved")).to_be_hidden()


def test_a_lost_connection_is_said(sample: Page) -> None:
    sample.route("**/live/", lambda route: route.abort())
    sample.get_by_role("button", name="Price it").tap()
    expect(sample.locator(".not-saved")).to_contain_text("Not saved.")


def test_a_form_is_sent_once_however_often_it_is_tapped(sample: Page) -> None:
    sent: list[str] = []

    def keep_waiting(route: Route) -> None:
        sent.append(route.request.method)
        route.fulfill(status=204)

    sample.route("**/rooms/", keep_waiting)
    keep = sample.get_by_role("button", name="Keep")
    keep.click()
    expect(sample.locator(".saving")).to_be_visible()
    keep.click(force=True)
    sample.wait_for_timeout(200)
    assert sent == ["POST"]


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_signing_in_wrong_then_right(open_page: OpenPage, owner: User, size: dict[str, object]) -> None:
    page = open_page(**size)
    page.goto("/sign-in/")
    assert Axe().run(page).violations_count == 0
    page.get_by_label("Username").fill("pat")
    page.get_by_label("Password").fill("a pencil")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.locator(".error-summary")).to_be_focused()
    assert page.title().startswith("Error: Sign in")
    assert Axe().run(page).violations_count == 0
    page.get_by_label("Password").fill("a tape and a pencil")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_signing_in_works_without_the_script(open_page: OpenPage, owner: User) -> None:
    page = open_page(**PHONE, java_script_enabled=False)
    page.goto("/sign-in/")
    page.get_by_label("Username").fill("pat")
    page.get_by_label("Password").fill("a tape and a pencil")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_a_page_that_is_not_there_reads_well_at_both_sizes(page: Page) -> None:
    page.goto("/no/such/page/")
    expect(page.get_by_role("heading", name="Nothing at this address")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert Axe().run(page).violations_count == 0


def test_responses_that_htmx_swaps_are_stated_on_the_page(open_page: OpenPage) -> None:
    page = open_page(**DESK)
    page.goto("/sign-in/")
    config = page.evaluate("htmx.config")
    assert config["allowEval"] is False
    assert config["includeIndicatorStyles"] is False
    assert config["historyRestoreAsHxRequest"] is False
    swaps = {rule["code"]: rule["swap"] for rule in config["responseHandling"]}
    assert swaps == {"204": False, "[23]..": True, "409": True, "422": True, "[45]..": False}
