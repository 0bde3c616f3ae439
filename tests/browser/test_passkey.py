"""Adding a passkey and signing in by it, with an authenticator that the browser plays."""

from collections.abc import Callable
from urllib.parse import parse_qs

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from account.models import Passkey, SignInEvent
from tests.conftest import PHONE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_passkey_is_added_and_alone_signs_in_and_a_copy_of_its_answer_does_not(
    open_as_owner: Callable[..., Page], live_server: LiveServer, owner: User
) -> None:
    page = open_as_owner(**PHONE)
    browser = page.context.new_cdp_session(page)
    browser.send("WebAuthn.enable")
    device = {"protocol": "ctap2", "transport": "internal", "hasResidentKey": True}
    device |= {"hasUserVerification": True, "isUserVerified": True}
    browser.send("WebAuthn.addVirtualAuthenticator", {"options": device})
    home = live_server.url.replace("127.0.0.1", "localhost")  # a passkey is of a name, never of a number
    page.context.add_cookies(
        [{"name": each["name"], "value": each["value"], "url": home} for each in page.context.cookies()]
    )

    page.goto(f"{home}/firm/sign-in/")
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_label("What is it kept on?").fill("My phone")
    page.get_by_label("Your password").fill("a tape and a pencil")
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Make the passkey").click()
    expect(page.get_by_role("heading", name="Recovery codes")).to_be_visible()
    assert Passkey.objects.get().name == "My phone"

    page.context.clear_cookies()
    page.goto(f"{home}/sign-in/?next=/firm/")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.post_data or ""))
    page.get_by_role("button", name="Sign in with a passkey").click()
    page.wait_for_url(f"{home}/firm/")
    assert SignInEvent.objects.latest("pk").kind in ("signed in", "new device")
    assert Passkey.objects.get().used_at is not None

    answer = next(body for body in sent if "credential=" in body)
    page.context.clear_cookies()
    page.goto(f"{home}/sign-in/")
    token = page.locator("input[name=csrfmiddlewaretoken]").first.input_value()
    form: dict[str, str | float | bool] = {
        "csrfmiddlewaretoken": token,
        "credential": parse_qs(answer)["credential"][0],
    }
    page.context.request.get(f"{home}/sign-in/passkey/options/")  # another challenge
    again = page.context.request.post(f"{home}/sign-in/passkey/", form=form)
    assert "That passkey wasn" in again.text()
