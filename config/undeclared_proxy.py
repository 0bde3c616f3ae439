"""Naming a proxy in front that nobody declared, behind which all visitors look like one."""

import logging
from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from access.addresses import undeclared_proxy

GetResponse = Callable[[HttpRequest], HttpResponse]

log = logging.getLogger(__name__)


def name_undeclared_proxy(get_response: GetResponse) -> GetResponse:
    """Return middleware that logs, once, the first request that such a proxy passed on."""
    is_named = False

    def middleware(request: HttpRequest) -> HttpResponse:
        nonlocal is_named
        header = "" if is_named else undeclared_proxy(request)
        if header:
            is_named = True
            log.warning(
                "A request came with %s: a proxy stands in front, or a visitor made it up. Behind a proxy, "
                "set BENCHRULE_PROXIES to the number of your own (1), and have it set X-Forwarded-For. Until "
                "then all visitors look like one: signatures name the proxy, wrong passwords make all wait.",
                header,
            )
        return get_response(request)

    return middleware
