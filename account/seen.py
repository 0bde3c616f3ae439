"""The middleware that notes when a signed-in browser was here, and ends or holds up what may not go on."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from account.sessions import end_of_age, must_add_second, note_seen

OPEN_WITHOUT = ("second-step-needed", "second-step-on", "passkey-new", "passkey-new-options", "logout")


def seen(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Return the middleware; it stands right after that of the sessions, which saves what it notes."""

    def answer(request: HttpRequest) -> HttpResponse:
        end_of_age(request)
        if must_add_second(request) and request.path not in {reverse(name) for name in OPEN_WITHOUT}:
            return redirect("second-step-needed")
        response = get_response(request)
        note_seen(request, response)
        return response

    return answer
