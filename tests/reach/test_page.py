"""The page on how clients reach the firm, and the command that looks at the whole site."""

import io
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from pytest_django import Settings

from reach import site
from reach.findings import Answer, Seen
from reach.management.commands import check_site
from reach.site import proof_of

pytestmark = pytest.mark.django_db


def test_without_a_name_it_says_that_links_dont_open_and_what_to_do(
    signed_in: Client, settings: Settings
) -> None:
    settings.ALLOWED_HOSTS = ["testserver", "shop.local"]
    page = signed_in.get("/firm/reach/").content.decode()
    assert "Clients can&#x27;t open your links" in page
    assert "A rented server" in page


def test_opened_at_home_it_names_the_address_to_send_links_from(
    signed_in: Client, settings: Settings
) -> None:
    settings.ALLOWED_HOSTS, settings.HTTPS = ["testserver", "quotes.example.com"], True
    page = signed_in.get("/firm/reach/").content.decode()
    assert "You opened this site at http://testserver/." in page
    assert 'href="https://quotes.example.com/"' in page
    page = signed_in.get("/firm/reach/", secure=True, headers={"host": "quotes.example.com"}).content.decode()
    assert "You opened this site" not in page


def test_a_check_says_what_came_of_asking(
    signed_in: Client, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.ALLOWED_HOSTS, settings.HTTPS = ["testserver", "quotes.example.com"], True
    monkeypatch.setattr(site, "ask_site", lambda *asked: Answer.CLOSED)
    page = signed_in.get("/firm/reach/?look=now").content.decode()
    assert "Nothing answers at quotes.example.com: port 443 is closed." in page


def test_anybody_may_ask_for_the_proof_and_only_this_site_has_it(client: Client) -> None:
    answer = client.get("/firm/reach/proof/abc-123/")
    assert answer.content.decode() == proof_of("abc-123") != proof_of("abc-124")


def test_the_command_ends_with_1_where_something_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = Seen([("quotes.example.com", Answer.OTHER)], True, "", 10**11, 10**12, timedelta(), "", "")
    monkeypatch.setattr(check_site, "look", lambda now: seen)
    out = io.StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("check_site", stdout=out)
    assert ended.value.code == 1
    assert out.getvalue().startswith("- quotes.example.com leads to another site")
