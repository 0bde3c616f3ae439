"""Where a request came from."""

import ipaddress

from django.conf import settings
from django.http import HttpRequest

FORWARDING_HEADERS = ("X-Forwarded-For", "Forwarded", "X-Real-IP")


def client_address(request: HttpRequest) -> str:
    """Return the network address that a request came from.

    What a client claims about itself isn't believed: of X-Forwarded-For, only the entry that the outermost of
    our own proxies wrote counts.
    """
    proxies = settings.PROXIES
    forwarded = [entry.strip() for entry in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")]
    address = forwarded[-proxies] if 0 < proxies <= len(forwarded) else request.META.get("REMOTE_ADDR", "")
    try:
        return str(ipaddress.ip_address(address))
    except ValueError:
        return "0.0.0.0"


def undeclared_proxy(request: HttpRequest) -> str:
    """Return the header by which a proxy shows itself although none is declared, "" where none does."""
    if settings.PROXIES:
        return ""
    return next((name for name in FORWARDING_HEADERS if name in request.headers), "")


def network_of(address: str) -> str:
    """Return what one visitor has to himself: an IPv4 address, or the 64 bits of IPv6 that a home gets."""
    parsed = ipaddress.ip_address(address)
    if isinstance(parsed, ipaddress.IPv4Address):
        return address
    return str(parsed.ipv4_mapped or ipaddress.ip_network((int(parsed), 64), strict=False))
