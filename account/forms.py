"""What is typed to sign in a second time, and to change how."""

from typing import Any, cast

from django import forms
from django.contrib.auth.forms import PasswordResetForm
from django.contrib.auth.models import AbstractBaseUser, AnonymousUser
from django.template.loader import render_to_string
from django.utils import timezone

from account.second_step import take_code
from estimating.client import outbox


class OwnPasswordForm(forms.Form):
    """The password of who is signed in, or a code of his second step, typed again before what matters."""

    own_password = forms.CharField(
        label="Your password",
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        help_text="The one that you sign in with, or a code of your second step.",
    )

    def __init__(self, user: AbstractBaseUser | AnonymousUser, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.user = user

    def clean_own_password(self) -> str:
        typed: str = self.cleaned_data["own_password"]
        if not (
            self.user.check_password(typed)
            or take_code(cast(AbstractBaseUser, self.user), typed, timezone.now())
        ):
            raise forms.ValidationError("That isn't the password that you sign in with. Type it again.")
        return typed


class CodeForm(forms.Form):
    """A code of the second step."""

    code = forms.CharField(
        label="Code",
        max_length=20,
        widget=forms.TextInput(
            attrs={"autocomplete": "one-time-code", "spellcheck": "false", "autofocus": True}
        ),
        help_text="The six digits that the app on your phone shows now, or one of your recovery codes.",
    )


class FirstCodeForm(OwnPasswordForm):
    """The first code of a second step that is turned on, and the password."""

    code = forms.CharField(
        label="The six digits that the app shows",
        max_length=20,
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}),
    )


class PasskeyForm(OwnPasswordForm):
    """What a passkey is called that is added."""

    name = forms.CharField(
        label="What is it kept on?",
        max_length=60,
        help_text="Such as: my phone. So you know later which one to remove.",
    )
    field_order = ("name", "own_password")


class EmailForm(OwnPasswordForm):
    """Where mail about signing in goes."""

    email = forms.EmailField(
        label="Your e-mail",
        required=False,
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        help_text="It gets the way back when you forget the password, and hears of sign-ins on new devices.",
    )
    field_order = ("email", "own_password")


class ForgottenForm(PasswordResetForm):
    """The address that the way back is mailed to."""

    def send_mail(
        self,
        subject_template_name: str,
        email_template_name: str,
        context: dict[str, Any],
        from_email: str | None,
        to_email: str,
        html_email_template_name: str | None = None,
    ) -> None:
        """Put the mail down; it goes out beside the page, so that the page takes as long for any address."""
        text = render_to_string(email_template_name, context)
        outbox.put_down(to_email, "A new password for your Benchrule", text, timezone.now())
