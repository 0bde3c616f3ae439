"""How much may be sent to an address of the site, known before any of it is stored.

Only a view that takes files says so (`takes_much`); everything else is small. Somebody who hasn't signed in
on his device sends a name and a password, or signs a document: that is smaller still.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from django.http.cookie import parse_cookie
from django.urls import Resolver404, resolve

from access.devices import known_device

KILOBYTE = 1024
MEGABYTE = 1024 * KILOBYTE
MOST_OF_A_STRANGER = 128 * KILOBYTE
MOST_OF_A_FORM = MEGABYTE
MOST_WITH_FILES = 64 * MEGABYTE  # six photos of 10 MB

View = TypeVar("View", bound=Callable[..., Any])


def takes_much(view: View) -> View:
    """Let requests to a view carry files, from a device on which somebody signed in."""
    view.__dict__["takes_much"] = True
    return view


def most_bytes(path: str, cookie_header: str) -> int:
    """Return how many bytes may be sent to a path by a browser with these cookies."""
    if known_device(parse_cookie(cookie_header)) is None:
        return MOST_OF_A_STRANGER
    try:
        view = resolve(path).func
    except Resolver404:
        return MOST_OF_A_FORM
    return MOST_WITH_FILES if getattr(view, "takes_much", False) else MOST_OF_A_FORM
