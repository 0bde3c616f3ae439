"""Signing in and changing the password: Django's own views, answering a refused form with 422."""

from django.contrib.auth import views
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.http import HttpResponse
from django.urls import reverse_lazy


class SignIn(views.LoginView):
    """The one page that needs no sign-in."""

    redirect_authenticated_user = True

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """The form again, with what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)


class ChangePassword(views.PasswordChangeView):
    """A new password for whoever is signed in; his other sessions end."""

    success_url = reverse_lazy("today")

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """The form again, with what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)
