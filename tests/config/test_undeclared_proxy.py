"""A proxy in front that nobody declared is named: once in the log, and to the firm."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

BEHIND_A_PROXY = {"x-forwarded-for": "198.51.100.7"}


def test_it_is_logged_once_with_what_to_set(caplog: pytest.LogCaptureFixture) -> None:
    client = Client()
    for headers in ({}, BEHIND_A_PROXY, BEHIND_A_PROXY):
        client.get(reverse("login"), headers=headers)
    [line] = [record.getMessage() for record in caplog.records if record.name == "config.undeclared_proxy"]
    assert "X-Forwarded-For" in line
    assert "BENCHRULE_PROXIES" in line


def test_the_firm_is_told_on_its_page(signed_in: Client, settings: Settings) -> None:
    def page() -> str:
        return signed_in.get(reverse("firm"), headers=BEHIND_A_PROXY).content.decode()

    assert "BENCHRULE_PROXIES=1" in page()
    settings.PROXIES = 1
    assert "BENCHRULE_PROXIES" not in page()


def test_without_a_proxy_there_is_nothing_to_tell(signed_in: Client) -> None:
    assert "BENCHRULE_PROXIES" not in signed_in.get(reverse("firm")).content.decode()
