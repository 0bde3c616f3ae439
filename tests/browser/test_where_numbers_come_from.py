"""From a figure of the estimate to its source, its formula and back, in a real browser."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from catalog.models import Assembly
from catalog.starter.load import load
from tests.catalog.starter.small_catalog import SMALL, write
from tests.conftest import PHONE
from tests.factories import make_estimate, make_firm, make_job, make_room, put_on

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FILM = {
    "material": "paint",
    "formula": "paint_film",
    "inputs": {"volume_solids": "40", "dry_film": "2"},
    "source": "the data sheet",
}


def test_an_input_is_changed_from_the_work_item_and_the_shipped_one_put_back(
    page: Page, tmp_path: Path
) -> None:
    walls = SMALL["assemblies"][0] | {"components": [{"operation": "roll"}, FILM]}
    load(write(tmp_path, paint={**SMALL, "assemblies": [walls]}))
    make_firm()
    job = make_job()
    item = put_on(make_estimate(job), Assembly.objects.get(), make_room(job))
    page.goto(f"/jobs/{job.pk}/work/{item.pk}/")
    # 352 sq ft of wall at 320.83 sq ft a gallon
    page.get_by_text("1.1 gal", exact=True).first.click()
    page.get_by_role("link", name="Where this number comes from").last.click()
    expect(page.get_by_role("heading", name="Where this number comes from")).to_be_visible()
    page.get_by_role("link", name="Change these inputs").click()
    page.get_by_label("Solids by volume, %").fill("50")
    expect(page.locator("#comes-to")).to_contain_text("100 sq ft takes 0.25 gal.")
    page.get_by_label("Solids by volume, %").fill("")
    expect(page.locator("#comes-to")).to_contain_text("is missing")
    page.get_by_label("Solids by volume, %").fill("50")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Changed by you: what it is made of: Paint.")).to_be_visible()
    page.get_by_role("link", name="Where its numbers come from").click()
    page.get_by_role("button", name="Reset").click()
    expect(page.get_by_text("all of this is as supplied")).to_be_visible()


def test_two_assemblies_are_compared_without_javascript(
    open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client, tmp_path: Path
) -> None:
    page = open_page(**PHONE, java_script_enabled=False)
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies([{"name": name, "value": signed_in.cookies[name].value, "url": live_server.url}])
    load(write(tmp_path, paint=SMALL))
    make_firm()
    make_room(make_job())
    Assembly.objects.create(code="bare", name="Bare walls", phase="finish", measure="wall_net")
    page.goto("/compare/")
    page.get_by_label("The first").select_option("Bare walls")
    page.get_by_label("The second").select_option("Paint walls")
    page.get_by_label("In this room").select_option("Kitchen")
    page.get_by_role("button", name="Compare them").click()
    # 352 sq ft at 350 a gallon is two gallons of $40.00; at 150 sq ft an hour 2.35 h
    expect(page.get_by_text("2.35 h more").first).to_be_visible()
    expect(page.get_by_text("$80.00 more")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
