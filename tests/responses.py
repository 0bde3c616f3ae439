"""The type of the pages that Django's test client gets: responses that keep their context."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse as PageResponse
else:
    from django.http import HttpResponse as PageResponse

__all__ = ["PageResponse"]
