"""Issuing an estimate in a real browser, on a phone and at a desk, with and without scripts."""

from collections.abc import Callable

import pytest
from django.conf import settings
from django.test import Client as Browser
from django.utils import timezone
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from estimating.models import Document, Estimate
from tests.conftest import PHONE
from tests.estimating.issuing import floor_dated
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def estimate(transactional_db: None) -> Estimate:
    return floor_dated(timezone.localdate())


def test_an_estimate_is_issued_and_revised(page: Page, estimate: Estimate) -> None:
    page.goto(f"/jobs/{estimate.job_id}/paperwork/")
    page.get_by_role("link", name="Issue this estimate").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Issue this estimate?")
    is_sound(page)
    page.get_by_role("button", name="Issue the estimate").click()
    expect(page.get_by_role("heading", level=1).first).to_have_text("Estimate 1001")
    is_sound(page)

    estimate.items.update(extra_hours=1)
    page.goto(f"/jobs/{estimate.job_id}/paperwork/")
    page.get_by_role("link", name="Issue this estimate").click()
    expect(page.get_by_role("row", name="Paint the floor")).to_contain_text("$280.80")
    is_sound(page)
    page.get_by_role("button", name="Issue the estimate").dblclick()
    expect(page.get_by_role("heading", level=1).first).to_have_text("Estimate 1002")
    page.get_by_text("What changed since Estimate 1001, line by line").click()
    is_sound(page)
    page.get_by_role("link", name="All papers").click()
    page.get_by_text("What happened to them").click()
    expect(page.get_by_text("Estimate 1001 replaced by number 1002")).to_be_visible()
    is_sound(page)
    assert Document.objects.count() == 2

    page.get_by_role("link", name="Estimate 1001").first.click()
    expect(page.get_by_text("It was replaced by number 1002.")).to_be_visible()


def test_it_works_without_scripts(
    open_page: Callable[..., Page], live_server: LiveServer, signed_in: Browser, estimate: Estimate
) -> None:
    page = open_page(**PHONE, java_script_enabled=False)
    name = settings.SESSION_COOKIE_NAME
    page.context.add_cookies([{"name": name, "value": signed_in.cookies[name].value, "url": live_server.url}])
    page.goto(f"/jobs/{estimate.job_id}/paperwork/issue/")
    page.get_by_role("button", name="Issue the estimate").click()
    expect(page.get_by_text("Estimate 1001 is issued. From now on it stays as it is.")).to_be_visible()
    address = page.get_by_role("link", name="Open the PDF").get_attribute("href")
    assert address
    answer = page.context.request.get(address)
    assert answer.body() == bytes(Document.objects.get().pdf)
