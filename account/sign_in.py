"""Signing in and the ways back: Django's own views with a second step, a wait and a note of what happened.

After wrong passwords or codes one waits longer and longer (`access.attempts`): what comes too early is
answered with 429 before it is looked at, which costs the site nothing. It runs outside the turns of
`saving`, so that nobody who saves waits for it and the count of a refused attempt stays.
"""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any, cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, views
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.models import AbstractBaseUser, User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse_lazy
from django.utils import timezone

from access.addresses import client_address
from access.attempts import TooEarly, attempt, forget
from access.devices import known_device, remember_device
from access.waits import wait_in_words
from account.events import Kind, note
from account.forms import CodeForm, ForgottenForm
from account.models import Device, Passkey, SignInRules
from account.second_step import has_second, take_code
from account.sessions import MUST_ADD_SECOND
from saving.once import keeps_own_transactions, saves_nothing

WAITING = "waits_for_code"  # whose password was right, since when, and where he wants to go
CODE_WITHIN = timedelta(minutes=10)
BACKEND = "django.contrib.auth.backends.ModelBackend"

View = Callable[..., HttpResponse]


def too_early(
    request: HttpRequest, template: str, context: Mapping[str, object], wait: timedelta
) -> HttpResponse:
    """Answer what came before its time with the page and how long to wait."""
    response = render(request, template, {**context, "wait": wait_in_words(wait)}, status=429)
    response["Retry-After"] = str(-(-wait // timedelta(seconds=1)))
    return response


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
            response = _ask_for_second(request, response)
            welcome(request, response)
        return response

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Sign in; where a second step is on, ask for its code first."""
        user = form.get_user()
        if not has_second(user):
            return super().form_valid(form)
        self.request.session.cycle_key()
        self.request.session[WAITING] = {
            "user": user.pk,
            "hash": user.get_session_auth_hash(),
            "since": timezone.now().isoformat(),
            "next": self.get_success_url(),
        }
        return redirect("sign-in-code")

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        typed = form.cleaned_data.get("username", "") if hasattr(form, "cleaned_data") else ""
        if whose := User.objects.filter(username=typed).first():
            note(whose, Kind.REFUSED, self.request)
        return self.render_to_response(self.get_context_data(form=form), status=422)

    def _too_early(self, username: str, wait: timedelta) -> HttpResponse:
        form = AuthenticationForm(self.request, initial={"username": username})
        return too_early(self.request, "registration/login.html", self.get_context_data(form=form), wait)


sign_in = saves_nothing(cast(View, SignIn.as_view()))


@saves_nothing
@login_not_required
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """Ask for the code of the second step, after the right password."""
    waiting = request.session.get(WAITING)
    user = _who_waits(waiting)
    if user is None:
        return redirect("login")
    if request.method != "POST":
        return _code_page(request, user, CodeForm())
    form, device = CodeForm(request.POST), known_device(request.COOKIES)
    try:
        with attempt(user.get_username(), client_address(request), device, timezone.now()) as keys:
            used = take_code(user, form.cleaned_data["code"], timezone.now()) if form.is_valid() else ""
    except TooEarly as early:
        context = {"form": CodeForm(), "with_passkey": _has_passkey(user)}
        return too_early(request, "account/code.html", context, early.wait)
    if not used:
        if form.is_valid():
            form.add_error("code", "That isn't a code of now, or it was used. Type the one that shows next.")
        note(user, Kind.REFUSED, request)
        return _code_page(request, user, form, 422)
    forget(keys)
    login(request, user, BACKEND)
    request.session.pop(WAITING, None)
    response = redirect(waiting["next"])
    if used == "recovery":
        note(user, Kind.RECOVERED, request)
    welcome(request, response)
    return response


def _code_page(request: HttpRequest, user: User, form: CodeForm, status: int = 200) -> HttpResponse:
    context = {"form": form, "with_passkey": _has_passkey(user)}
    return render(request, "account/code.html", context, status=status)


def _has_passkey(user: User) -> bool:
    return Passkey.objects.filter(user=user).exists()


def _ask_for_second(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """Hold up who signed in without the second step that the firm requires; offer one that isn't, once.

    It is offered where others can reach the site.
    """
    rules = SignInRules.current()
    if rules.second_step_required:
        request.session[MUST_ADD_SECOND] = True
        return redirect("second-step-needed")
    if settings.HTTPS and rules.offered_at is None:
        SignInRules.objects.filter(pk=rules.pk).update(offered_at=timezone.now())
        return redirect("second-step-needed")
    return response


def _who_waits(waiting: dict[str, Any] | None) -> User | None:
    """Return whose password was right a moment ago, and is still his password."""
    if not waiting or datetime.fromisoformat(waiting["since"]) < timezone.now() - CODE_WITHIN:
        return None
    user = User.objects.filter(pk=waiting["user"], is_active=True).first()
    return user if user and user.get_session_auth_hash() == waiting["hash"] else None


def welcome(request: HttpRequest, response: HttpResponse) -> None:
    """Know the device again, and note that somebody signed in on it."""
    user = cast(AbstractBaseUser, request.user)
    device = known_device(request.COOKIES)
    is_known = device is not None and device[0] == user.get_username()
    note(user, Kind.SIGNED_IN if is_known else Kind.NEW_DEVICE, request)
    remember_device(response, user.get_username())


class ChangePassword(views.PasswordChangeView):
    """A new password for whoever is signed in; the other sessions of that user end."""

    success_url = reverse_lazy("account")

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Look at the old password, unless it is too early for another."""
        device = known_device(request.COOKIES)
        try:
            with attempt(
                request.user.get_username(), client_address(request), device, timezone.now()
            ) as keys:
                response = super().post(request, *args, **kwargs)
        except TooEarly as early:
            context = self.get_context_data(form=self.form_class(cast(User, request.user)))
            return too_early(request, "registration/password_change_form.html", context, early.wait)
        if response.status_code < 400:
            forget(keys)
        return response

    def form_valid(self, form: PasswordChangeForm) -> HttpResponse:
        """Keep the new password, and end every other session."""
        response = super().form_valid(form)
        end_others(self.request)
        note(cast(User, self.request.user), Kind.PASSWORD, self.request)
        messages.success(self.request, "The password is changed, and every other device is signed out.")
        return response

    def form_invalid(self, form: PasswordChangeForm) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)


change_password = keeps_own_transactions(cast(View, ChangePassword.as_view()))


def end_others(request: HttpRequest) -> int:
    """End every session of somebody but the one that asks; return how many."""
    others = Device.objects.filter(user_id=request.user.pk).exclude(session_key=request.session.session_key)
    count, _ = others.delete()
    return count


@saves_nothing
@login_not_required
def forgotten(request: HttpRequest) -> HttpResponse:
    """Mail the way to a new password. The answer is the same whether the address is anybody's."""
    context = {"form": ForgottenForm(), "mails": bool(settings.EMAIL_HOST)}
    if request.method == "POST":
        form = context["form"] = ForgottenForm(request.POST)
        if not form.is_valid():
            return render(request, "account/forgotten.html", context, status=422)
        email = form.cleaned_data["email"]
        try:
            with attempt(f"forgotten {email}", client_address(request), None, timezone.now()):
                form.save(
                    request=request,
                    use_https=request.is_secure(),
                    email_template_name="account/mail_forgotten.txt",
                )
                for user in form.get_users(email):
                    note(user, Kind.WAY_BACK, request)
        except TooEarly as early:
            return too_early(request, "account/forgotten.html", context, early.wait)
        context["sent"] = True
    return render(request, "account/forgotten.html", context)


class NewPassword(views.PasswordResetConfirmView):
    """A new password by the way that was mailed, or made on the machine; every session ends."""

    template_name = "account/new_password.html"

    def get_success_url(self) -> str:
        return resolve_url("login")

    def form_valid(self, form: Any) -> HttpResponse:
        """Keep the new password, and end every session."""
        response = super().form_valid(form)
        Device.objects.filter(user_id=form.user.pk).delete()
        note(form.user, Kind.PASSWORD, self.request)
        messages.success(self.request, "The password is changed. Sign in with it.")
        return response

    def form_invalid(self, form: Any) -> HttpResponse:
        """Answer with the form again and what is wrong."""
        return self.render_to_response(self.get_context_data(form=form), status=422)


new_password = keeps_own_transactions(cast(View, NewPassword.as_view()))
