"""The catalog's live parts in a real browser, on a phone and at a desk."""

import pytest
from playwright.sync_api import Page, expect

from tests.factories import make_firm, make_material, make_operation, make_painting

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_price_is_changed_in_the_list(page: Page) -> None:
    package = make_material("Paint", price="40.00").packages.get()
    page.goto("/catalog/materials/")
    row = page.locator(f"#package-{package.pk}")
    row.get_by_role("link").click()
    expect(row.get_by_label("Price", exact=True)).to_be_focused()
    row.get_by_label("Price", exact=True).fill("41.205")
    row.get_by_role("button", name="Save this price").click()
    summary = page.locator(".error-summary")
    expect(summary).to_contain_text("more than two decimals")
    expect(summary).to_be_focused()
    expect(row.get_by_label("Price", exact=True)).to_have_value("41.205")
    row.get_by_label("Price", exact=True).fill("41.20")
    row.get_by_role("button", name="Save this price").click()
    expect(row).to_contain_text("$41.20")
    expect(row).to_contain_text("saved")
    expect(row.get_by_role("link")).to_be_focused()
    assert page.url.endswith("/catalog/materials/")


def test_a_price_left_as_it_was_shows_the_row_again(page: Page) -> None:
    package = make_material("Paint", price="40.00").packages.get()
    page.goto("/catalog/materials/")
    row = page.locator(f"#package-{package.pk}")
    row.get_by_role("link").click()
    row.get_by_role("link", name="Leave it as it was").click()
    expect(row).to_contain_text("$40.00")
    expect(row.get_by_role("button")).to_have_count(0)


def test_a_list_narrows_while_a_name_is_typed(page: Page) -> None:
    make_operation("Roll walls")
    make_operation("Set tile")
    page.goto("/catalog/labor/")
    page.get_by_role("searchbox", name="Search labor by name").press_sequentially("tile")
    expect(page.get_by_text("Roll walls")).to_have_count(0)
    expect(page.get_by_text("Set tile")).to_be_visible()


def test_hours_and_markups_are_read_back_while_they_are_typed(page: Page) -> None:
    make_firm()
    page.goto("/catalog/labor/new/")
    page.get_by_label("Counted in").select_option("sq ft")
    page.get_by_label("Hours, likely").press_sequentially("9 hours per 1000 sq ft")
    expect(page.get_by_text("100 sq ft takes 0.9 hours.")).to_be_visible()
    page.goto("/catalog/firm/")
    page.get_by_label("Markup on materials").fill("25")
    expect(page.get_by_text("25% markup = 20% margin")).to_be_visible()


def test_the_hour_is_worked_out_while_the_year_is_typed_and_then_used(page: Page) -> None:
    page.goto("/catalog/firm/hourly-rate/")
    for label, typed in (
        ("Your own pay", "52000"),
        ("Burden", "9000"),
        ("Overhead", "17000"),
        ("Profit", "10"),
    ):
        page.get_by_label(label).fill(typed)
    expect(page.locator("#figures")).to_contain_text("$66.67")
    page.get_by_role("button", name="Use this rate").click()
    expect(page.get_by_text("An hour now costs $60.00")).to_be_visible()


def test_an_assembly_is_tried_while_a_quantity_is_typed(page: Page) -> None:
    make_firm()
    page.goto(f"/catalog/assemblies/{make_painting().pk}/")
    page.get_by_label("Floor, sq ft").press_sequentially("120")
    expect(page.locator("#trial")).to_contain_text("1.2 hours of labor")


def test_no_page_of_the_catalog_is_wider_than_the_screen(page: Page) -> None:
    make_firm()
    assembly = make_painting()
    for path in ("", "assemblies/", "materials/", f"assemblies/{assembly.pk}/", "firm/", "firm/hourly-rate/"):
        page.goto(f"/catalog/{path}")
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide == 0, path
