"""The middleware that notes when a signed-in browser was last here."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from account.sessions import note_seen


def seen(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Return the middleware; it stands right after that of the sessions, which saves what it notes."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        note_seen(request, response)
        return response

    return answer
