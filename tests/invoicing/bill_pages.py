"""Pages that ask once more before a bill or a credit note is issued, and what is answered to them."""

import re

from django.test import Client
from django.urls import reverse

from estimating.models import Document
from tests.responses import PageResponse


def key_of(page: PageResponse) -> str:
    """Return the key of what the page would issue."""
    key = re.search(r'name="key" value="(\w+)"', page.content.decode())
    assert key, page.content.decode()
    return key[1]


def credit(client: Client, invoice: Document, **typed: str) -> tuple[PageResponse, PageResponse]:
    """The question and the answer to it."""
    address = reverse("credit-new", args=[invoice.pk])
    typed = {"kind": "given", "note": "The corner by the door.", **typed}
    question = client.post(address, typed)
    return question, client.post(address, {**typed, "key": key_of(question)}, follow=True)
