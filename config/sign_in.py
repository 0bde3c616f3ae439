"""Signing in and changing the password: Django's own views, answering a refused form with 422.

After wrong passwords one waits longer and longer (`access.attempts`): what comes too early is answered with
429 before the password is looked at, which costs the site nothing. It runs outside the turns of
`saving`, so that nobody who saves waits for it and the count of a refused attempt stays.
"""

from collections.abc import Callable
from datetime import timedelta
from typing import Any, cast

from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.http import HttpRequest, HttpResponse
from django.urls import reverse_lazy
from django.utils import timezone

from access.addresses import client_address
from access.attempts import TooEarly, attempt, forget
from access.devices import known_device, remember_device
from access.waits import wait_in_words
from saving.once import saves_nothing


class SignIn(views.LoginView):
    """The page for signing in, open to everybody; who is signed in already goes on to Today."""

    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Look at the password, unless it is too early for another."""
        username, device = request.POST.get("username", ""), known_device(request.COOKIES)
        try:
            with attempt(username, client_address(request), device, timezone.now()) as keys:
                response = super().post(request, *args, **kwargs)
        except TooEarly as early:
            return self._too_early(username, early.wait)
        if request.user.is_authenticated:
            forget(keys)
            remember_device(response, request.user.get_username())
        return response

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)

    def _too_early(self, username: str, wait: timedelta) -> HttpResponse:
        form = AuthenticationForm(self.request, initial={"username": username})
        context = self.get_context_data(form=form, wait=wait_in_words(wait))
        seconds = -(-wait // timedelta(seconds=1))
        return self.render_to_response(context, status=429, headers={"Retry-After": str(seconds)})


sign_in = saves_nothing(cast(Callable[..., HttpResponse], SignIn.as_view()))


class ChangePassword(views.PasswordChangeView):
    """A new password for whoever is signed in; the other sessions of that user end."""

    success_url = reverse_lazy("today")

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)
