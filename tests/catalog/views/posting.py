"""Forms of the catalog's pages, posted, and what they say when they come back."""

from django.test import Client
from django.urls import reverse

from tests.responses import PageResponse


def send(client: Client, page: str, pk: int | None = None, /, **typed: str) -> PageResponse:
    return client.post(reverse(page, args=[] if pk is None else [pk]), typed)


def refused(answer: PageResponse, field: str) -> str:
    """The sentence at the field of a form that was sent back, which the page shows as well."""
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "error-summary" in page
    sentence: str = answer.context["form"].errors[field][0]
    return sentence
