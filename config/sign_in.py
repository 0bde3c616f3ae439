"""Signing in and changing the password: Django's own views, answering a refused form with 422."""

from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.http import HttpResponse
from django.urls import reverse_lazy

from access.devices import remember_device


class SignIn(views.LoginView):
    """The page for signing in, open to everybody; who is signed in already goes on to Today."""

    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in, and know this browser again afterwards."""
        response = super().form_valid(form)
        remember_device(response, form.get_user().get_username())
        return response

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)


class ChangePassword(views.PasswordChangeView):
    """A new password for whoever is signed in; the other sessions of that user end."""

    success_url = reverse_lazy("today")

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)
