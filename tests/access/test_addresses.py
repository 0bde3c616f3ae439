"""Where a request came from."""

import pytest
from django.test import RequestFactory
from pytest_django import Settings

from access.addresses import client_address, network_of, undeclared_proxy


@pytest.mark.parametrize(
    ("proxies", "said", "address"),
    [
        (0, "198.51.100.7", "127.0.0.1"),
        (1, "198.51.100.7", "198.51.100.7"),
        (1, "10.9.9.9, 198.51.100.7", "198.51.100.7"),
        (2, "10.9.9.9, 198.51.100.7, 192.0.2.1", "198.51.100.7"),
        (2, "198.51.100.7", "127.0.0.1"),
        (1, "<script>", "0.0.0.0"),
        (1, "2001:db8::1", "2001:db8::1"),
    ],
)
def test_only_our_own_proxies_are_believed(settings: Settings, proxies: int, said: str, address: str) -> None:
    settings.PROXIES = proxies
    assert client_address(RequestFactory().get("/", headers={"x-forwarded-for": said})) == address


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("203.0.113.9", "203.0.113.9"),
        ("::ffff:203.0.113.9", "203.0.113.9"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2::", "2001:db8:1:2::/64"),
    ],
)
def test_all_addresses_of_a_home_are_one_network(address: str, network: str) -> None:
    assert network_of(address) == network


@pytest.mark.parametrize(
    ("proxies", "headers", "named"),
    [
        (0, {}, ""),
        (0, {"x-forwarded-for": "198.51.100.7"}, "X-Forwarded-For"),
        (0, {"forwarded": "for=198.51.100.7"}, "Forwarded"),
        (0, {"x-real-ip": "198.51.100.7"}, "X-Real-IP"),
        (1, {"x-forwarded-for": "198.51.100.7"}, ""),
    ],
)
def test_a_proxy_that_is_not_declared_gives_itself_away(
    settings: Settings, proxies: int, headers: dict[str, str], named: str
) -> None:
    settings.PROXIES = proxies
    assert undeclared_proxy(RequestFactory().get("/", headers=headers)) == named
