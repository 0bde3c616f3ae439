"""What every answer tells the browser, and that our own pages keep to it."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.test import Client
from django.urls import reverse

from config.content_security import content_security

PAGES = sorted(
    path for path in (settings.BASE_DIR / "templates").rglob("*.html") if "documents" not in path.parts
)


def directives(answer: HttpResponseBase) -> dict[str, str]:
    parts = (part.strip().partition(" ") for part in answer["Content-Security-Policy"].split(";"))
    return {name: value for name, _, value in parts}


@pytest.mark.django_db
def test_pages_may_load_our_own_files_only(client: Client) -> None:
    policy = directives(client.get(reverse("login")))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["object-src"] == policy["base-uri"] == policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in " ".join(policy.values())


@pytest.mark.django_db
def test_pages_are_not_guessed_at_cached_framed_or_told_to_others(client: Client) -> None:
    answer = client.get(reverse("login"))
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] == "same-origin"
    assert "no-store" in answer["Cache-Control"]


def test_a_page_that_is_not_there_carries_the_policy_too(signed_in: Client) -> None:
    answer = signed_in.get("/no/such/page/")
    assert answer.status_code == 404
    assert directives(answer)["default-src"] == "'none'"
    assert "Nothing at this address" in answer.content.decode()


def test_a_view_may_say_how_long_its_answer_keeps() -> None:
    def kept(request: HttpRequest) -> HttpResponse:
        return HttpResponse(headers={"Cache-Control": "max-age=60"})

    assert content_security(kept)(HttpRequest())["Cache-Control"] == "max-age=60"


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_no_page_has_script_style_or_handlers_inside(path: Path) -> None:
    page = path.read_text()
    assert re.findall(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|\shx-on|javascript:", page) == []


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_no_page_asks_an_outside_address_or_for_a_number_field(path: Path) -> None:
    page = path.read_text()
    outside = r"(?:src|href|action)=[\"'](?:https?:)?//(?!\{\{ name \}\})"  # that is one of the site's own
    assert re.findall(outside, page) == []
    assert 'type="number"' not in page
