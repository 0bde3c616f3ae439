"""The password typed again before what matters, guessed at no faster than where one signs in."""

from django.http import HttpRequest
from django.utils import timezone

from access.addresses import client_address
from access.attempts import attempt, forget
from access.devices import known_device
from account.forms import OwnPasswordForm


def typed_again(request: HttpRequest, form: OwnPasswordForm) -> bool:
    """Return whether all that was typed is right, the password too. Raises TooEarly before looking at it."""
    username, device = request.user.get_username(), known_device(request.COOKIES)
    with attempt(username, client_address(request), device, timezone.now()) as keys:
        is_valid = form.is_valid()
    if "own_password" not in form.errors:
        forget(keys)
    return is_valid
