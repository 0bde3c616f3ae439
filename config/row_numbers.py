"""Numbers in addresses that are no row's."""

from collections.abc import Callable, Mapping
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse

HIGHEST = 2**63 - 1  # in a column of 64 bits


class RowNumbers:
    """Middleware that answers "not found" to a number that no column holds, before a view asks for it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponse],
        args: tuple[Any, ...],
        kwargs: Mapping[str, Any],
    ) -> None:
        """Look at the numbers of the address."""
        if any(isinstance(value, int) and value > HIGHEST for value in kwargs.values()):
            raise Http404("No row has such a number.")
