"""The main job in a real browser: from an empty firm to the paper that the client gets."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Locator, Page, expect
from pytest_django.live_server_helper import LiveServer

from catalog.starter.load import load
from tests.conftest import DESK, PHONE
from tests.drawn_once import drawn
from tests.factories import make_firm
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def site(
    request: pytest.FixtureRequest,
    open_page: Callable[..., Page],
    owner: User,
    live_server: LiveServer,
) -> Page:
    """A firm with the starting catalog and nothing else; nobody is signed in yet."""
    make_firm(tax_policy="consumer", tax_percent="6.5", detail="line")
    load()
    page = open_page(**request.param)
    return page


def opening(page: Page, row: int, kind: str, wall: str, width: str, height: str, sill: str = "") -> None:
    fields = page.get_by_role("group", name=f"Opening {row}", exact=True)
    if row > 1:
        page.get_by_role("button", name="Add an opening").click()
    else:
        page.get_by_text("A door, a window, an opening or a niche").click()
    fields.get_by_label("Kind").select_option(label=kind)
    fields.get_by_label("Wall").select_option(wall)
    fields.get_by_label("Width").fill(width)
    fields.get_by_label("Height").fill(height)
    if sill:
        fields.get_by_label("Sill").fill(sill)


def price_so_far(page: Page) -> Locator:
    return page.locator("#money-foot .comes-to-price strong")


def test_a_kitchen_is_quoted_from_an_empty_firm(site: Page, tmp_path: Path) -> None:
    page = site
    page.goto("/")
    page.get_by_label("Username").fill("pat")
    page.get_by_label("Password").fill("a tape and a pencil")
    page.get_by_role("button", name="Sign in", exact=True).click()

    page.get_by_role("link", name="Firm").click()
    page.get_by_role("link", name="hour").first.click()
    page.get_by_label("Your own pay").fill("65,000")
    page.get_by_label("Burden").fill("11000")
    page.get_by_label("Overhead").fill("15000")
    page.get_by_label("Profit").fill("12.5")
    page.get_by_label("Hours you can bill").fill("1300")
    expect(page.locator("main")).to_contain_text("$80.00")
    page.get_by_role("button", name="Use this rate").click()
    expect(page.get_by_text("An hour now costs")).to_be_visible()

    page.goto("/")
    page.get_by_role("link", name="Start a job").first.click()
    page.get_by_label("Name", exact=True).fill("Marisol and Dean Okonjo")
    page.get_by_label("Job", exact=True).fill("Kitchen")
    page.get_by_label("Address of the work").fill("418 Larkspur Lane")
    page.get_by_label("Year the house was built").fill("1986")
    page.get_by_role("button", name="Start the job and measure").click()

    page.get_by_label("Room", exact=True).fill("Kitchen")
    page.get_by_label("Length", exact=True).first.fill("13' 4\"")
    page.get_by_label("Width", exact=True).first.fill("10-8")
    page.get_by_label("Ceiling height").fill("8")
    opening(page, 1, "Window", "A", "60", "40", "42")
    opening(page, 2, "Cased opening", "C", "36", "80")
    opening(page, 3, "Door", "D", "36", "80")
    expect(page.locator("#room-sketch")).to_contain_text("327.33 sq ft")
    is_sound(page)
    page.get_by_role("button", name="Save room").click()
    expect(page.locator("main")).to_contain_text("142.22 sq ft")

    page.get_by_role("link", name="Measure a room").click()
    page.get_by_label("Room", exact=True).fill("Pantry")
    page.get_by_label("Length", exact=True).first.fill("4")
    page.get_by_label("Width", exact=True).first.fill("3")
    page.get_by_label("Ceiling height").fill("8")
    page.get_by_role("button", name="Save room").click()
    expect(page.locator("main")).to_contain_text("Pantry is saved.")
    is_sound(page)

    page.get_by_role("link", name="Work", exact=True).click()
    page.get_by_role("link", name="Add work").click()
    page.get_by_label("Kitchen", exact=True).check()
    page.get_by_label("Find").fill("backer board on a floor")
    expect(page.get_by_label("Paint walls, two coats", exact=True)).to_be_hidden()
    page.get_by_label("Cement backer board on a floor", exact=True).check()
    page.get_by_label("Find").fill("drywall walls")
    page.get_by_label("Hang 1/2 in drywall on walls", exact=True).check()
    page.get_by_label("Find").fill("")
    expect(page.get_by_label("Hang 1/2 in drywall on walls", exact=True)).to_be_hidden()
    page.get_by_text("Tape, tile and paint").click()
    page.get_by_label("Paint walls, two coats", exact=True).check()
    expect(page.locator("summary", has_text="Tape, tile and paint")).to_contain_text("1 chosen")
    page.keyboard.press("End")  # where the buttons that stick to the foot lie over no row
    expect(page.get_by_text("Clean-up and punch", exact=False)).to_be_in_viewport()
    is_sound(page)
    page.get_by_role("button", name="Put on these rooms").first.click()
    expect(page.get_by_role("heading", name="Work", exact=True)).to_be_visible()
    before = price_so_far(page).text_content() or ""

    page.get_by_role("link", name="Hang 1/2 in drywall on walls").first.click()
    page.get_by_role("group", name="Only these walls of Kitchen").get_by_label("A", exact=True).check()
    page.get_by_role("group", name="Only these walls of Kitchen").get_by_label("B", exact=True).check()
    sheets = page.locator("#item-result dl div", has_text="Sheets").first.locator("summary")
    expect(sheets).to_have_text("6")
    expect(price_so_far(page)).not_to_have_text(before)
    page.get_by_label("Pantry", exact=True).check()
    expect(sheets).to_have_text("10")
    page.get_by_label("Pantry", exact=True).uncheck()
    expect(sheets).to_have_text("6")
    is_sound(page)
    page.get_by_role("button", name="Save and go back to work").click()
    expect(page.locator("#money-foot")).to_contain_text("What this work usually needs")
    is_sound(page)

    page.get_by_role("link", name="Price", exact=True).click()
    page.wait_for_url("**/price/")  # and all that answers while he types
    page.get_by_text("Each line: hours, cost, price").click()
    page.get_by_label("Supply runs").fill("3")
    expect(page.locator("#price-result")).to_contain_text("3 supply runs")
    expect(page.locator(".price-lines")).to_be_visible()  # still open, though the price came anew
    page.get_by_label("On material").fill("-100")
    expect(page.locator("#id_material_markup_problem")).to_contain_text("100")
    page.get_by_label("On material").fill("20")
    expect(page.locator("#id_material_markup_problem")).to_be_empty()
    is_sound(page)
    total = price_so_far(page).text_content() or ""

    page.get_by_role("link", name="Paperwork", exact=True).click()
    expect(page.locator("main")).to_contain_text(total)
    is_sound(page)
    address = page.get_by_role("link", name="Open the estimate").get_attribute("href")
    assert address
    answer = page.context.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    pdf = tmp_path / "estimate.pdf"
    pdf.write_bytes(drawn(answer.body()))
    text = subprocess.run(
        ["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True
    ).stdout
    assert total in text
    assert "Marisol and Dean Okonjo" in text
    assert "Page 1 of" in text
    for secret in ("markup", "margin", "$70.00"):
        assert secret not in text.lower()
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
