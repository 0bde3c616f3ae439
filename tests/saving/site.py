"""The site as a browser finds it: every page that can be asked for, and what its forms would send."""

import itertools
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urldefrag, urljoin, urlsplit

from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.core.management.color import no_style
from django.db import connection
from django.forms import BaseForm
from django.test import Client
from django.urls import NoReverseMatch, Resolver404, get_resolver, resolve, reverse
from lxml import html

from estimating.models import KeptLayout
from invoicing.models import PlacedPart
from saving.forms import OPENED
from tests.every_row import every_kind_of_row

PER_VIEW = 2  # pages of one view that are opened
PER_NUMBER = 4  # rows of each kind that are asked for by their number

Sent = dict[str, list[str]]


@dataclass(frozen=True)
class PageForm:
    """A form that posts: its page, where it posts to, what it would send untouched, and its inputs."""

    page: str
    action: str
    sent: Sent
    element: Any = field(compare=False, repr=False)

    @property
    def view(self) -> str:
        return resolve(urlsplit(self.action).path).view_name

    @property
    def opened(self) -> Sent:
        """What the page says that its fields hold; nothing where it edits no row."""
        opened: Sent = json.loads(self.sent[OPENED][0]) if OPENED in self.sent else {}
        return opened


@dataclass(frozen=True)
class SitePage:
    """A page: its address, its forms, and the Django forms that it was drawn from."""

    address: str
    forms: tuple[PageForm, ...]
    drawn_from: tuple[BaseForm, ...]


def filled_site() -> None:
    """Make a row of every kind, numbered from 1, but for those that no page could have made."""
    with connection.cursor() as cursor:
        stay = {ContentType._meta.db_table, Permission._meta.db_table}  # theirs hold rows that stay
        numbers = [
            number for number in connection.introspection.sequence_list() if number["table"] not in stay
        ]
        for restart in connection.ops.sequence_reset_by_name_sql(no_style(), numbers):
            cursor.execute(restart)  # PostgreSQL counts on where earlier rows were undone
    every_kind_of_row()
    PlacedPart.objects.all().delete()
    KeptLayout.objects.all().delete()


def forms_on(address: str, content: bytes) -> tuple[PageForm, ...]:
    """Return the forms of a page that post, as a browser would send them by their plain button."""
    found = []
    for element in html.fromstring(content).forms:
        if element.get("method", "").lower() != "post":
            continue
        sent: Sent = {}
        areas = {area.name for area in element.iter("textarea")}
        for name, value in element.form_values():
            # A browser drops the newline that begins a text area, and Django writes one for that.
            sent.setdefault(name, []).append(value.removeprefix("\n") if name in areas else value)
        buttons = element.xpath(".//button[not(@type='button')]")
        named = [button for button in buttons if button.get("name")]
        if len(named) == len(buttons) and named:
            sent[named[0].get("name")] = [named[0].get("value", "")]
        found.append(PageForm(address, urljoin(address, element.get("action") or ""), sent, element))
    return tuple(found)


def walk(client: Client) -> Iterator[SitePage]:
    """Open the pages that addresses and links lead to, a few of each view."""
    waiting = list(dict.fromkeys(_addresses()))
    seen, opened = {*waiting}, Counter[str]()
    while waiting:
        address = waiting.pop(0)
        view = resolve(urlsplit(address).path).view_name
        if opened[view] == PER_VIEW:
            continue
        response = client.get(address)
        if (
            response.status_code != 200
            or "html" not in response["Content-Type"]
            or not response.content.strip()
        ):
            continue
        opened[view] += 1
        yield SitePage(address, forms_on(address, response.content), tuple(_drawn_from(response.context)))
        for link in html.fromstring(response.content).xpath("//a/@href"):
            target = urldefrag(urljoin(address, link)).url
            if target.startswith("/") and target not in seen and _is_page(target):
                seen.add(target)
                waiting.append(target)


def _addresses() -> Iterator[str]:
    """Yield the addresses of the pages that take nothing but numbers, each for the first rows."""
    for name in get_resolver().reverse_dict:
        if not isinstance(name, str):
            continue
        for count in range(3):
            for numbers in itertools.product(range(1, PER_NUMBER + 1), repeat=count):
                try:
                    address = reverse(name, args=numbers)
                except NoReverseMatch:
                    continue
                if _is_page(address):
                    yield address


def _is_page(address: str) -> bool:
    path = urlsplit(address).path
    try:
        view = resolve(path).view_name
    except Resolver404:
        return False
    return path.endswith("/") and view != "logout"


def _drawn_from(contexts: Any) -> Iterator[BaseForm]:
    known: set[int] = set()
    for context in contexts or ():
        for layer in getattr(context, "dicts", [context]):
            for value in layer.values():
                if isinstance(value, BaseForm) and id(value) not in known:
                    known.add(id(value))
                    yield value
