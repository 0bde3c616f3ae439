"""Signing in with a passkey, and the pages on which passkeys are added and removed."""

from typing import cast

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from access.attempts import TooEarly
from account.again import typed_again
from account.events import Kind, note
from account.forms import OwnPasswordForm, PasskeyForm
from account.models import Passkey, RecoveryCode, SignInRules
from account.passkeys import PasskeyRefused, Site
from account.second_step import has_second, new_recovery_codes, turn_off
from account.sessions import MUST_ADD_SECOND
from account.sign_in import BACKEND, WAITING, too_early, welcome
from saving.once import keeps_own_transactions, saves_nothing

CHALLENGE, CHALLENGE_SECONDS = "passkey", 300
NEW, NEW_SECONDS = "new_passkey", 600  # what is added, after the password was typed, and how long that counts
MOST_OF_AN_ANSWER = 20_000


@login_not_required
@never_cache
@require_GET
def use_options(request: HttpRequest) -> HttpResponse:
    """Return what a device is asked to sign so that somebody comes in."""
    options, state = site_of(request).begin_use()
    response = JsonResponse(options)
    response.set_signed_cookie(
        CHALLENGE,
        state["challenge"],
        salt=CHALLENGE,
        max_age=CHALLENGE_SECONDS,
        path=resolve_url("sign-in-passkey"),
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )
    return response


@saves_nothing
@login_not_required
@require_POST
def sign_in_passkey(request: HttpRequest) -> HttpResponse:
    """Sign somebody in by what his device signed: that is both steps, as it has asked who holds it."""
    challenge = request.get_signed_cookie(CHALLENGE, "", salt=CHALLENGE, max_age=CHALLENGE_SECONDS)
    state = {"challenge": challenge, "user_verification": "required"}
    answer = request.POST.get("credential", "")[:MOST_OF_AN_ANSWER]
    try:
        passkey = site_of(request).use(state, answer, timezone.now())
    except PasskeyRefused as error:
        messages.error(request, str(error))
        response = redirect("login")
    else:
        login(request, cast(User, passkey.user), BACKEND)
        request.session.pop(WAITING, None)
        wanted = request.POST.get("next", "")
        is_ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure())
        response = redirect(wanted if is_ours else resolve_url(settings.LOGIN_REDIRECT_URL))
        welcome(request, response)
    response.delete_cookie(CHALLENGE, path=resolve_url("sign-in-passkey"))
    return response


@keeps_own_transactions
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def passkey_new(request: HttpRequest) -> HttpResponse:
    """Ask for the password and a name; then have the device make a passkey, and keep it."""
    user = _user(request)
    if "credential" in request.POST:
        return _keep_new(request, user)
    form = PasskeyForm(user, request.POST or None)
    context = {"place": "firm", "form": form}
    if request.method != "POST":
        return render(request, "account/passkey_new.html", context)
    try:
        if not typed_again(request, form):
            return render(request, "account/passkey_new.html", context, status=422)
    except TooEarly as early:
        return too_early(
            request, "account/passkey_new.html", {**context, "form": PasskeyForm(user)}, early.wait
        )
    request.session[NEW] = {"name": form.cleaned_data["name"], "at": timezone.now().timestamp()}
    return render(request, "account/passkey_make.html", {"place": "firm"})


@never_cache
@require_GET
def new_options(request: HttpRequest) -> HttpResponse:
    """Return what a device is asked to make a passkey with, after the password was typed."""
    if _being_added(request) is None:
        return JsonResponse({}, status=409)
    options, state = site_of(request).begin_new(_user(request))
    request.session[NEW] = {**request.session[NEW], "state": state}
    return JsonResponse(options)


def _keep_new(request: HttpRequest, user: User) -> HttpResponse:
    adding = _being_added(request)
    if adding is None or "state" not in adding:
        messages.error(request, "That took too long. Type your password once more.")
        return redirect("passkey-new")
    del request.session[NEW]
    answer, now = request.POST["credential"][:MOST_OF_AN_ANSWER], timezone.now()
    try:
        site_of(request).keep_new(user, adding["state"], answer, adding["name"], now)
    except PasskeyRefused:
        messages.error(request, "This device's passkey wasn't taken. Try again, or another device.")
        return redirect("passkey-new")
    request.session.pop(MUST_ADD_SECOND, None)
    note(user, Kind.PASSKEY, request)
    messages.success(request, "The passkey is added: sign in with it from now on.")
    if RecoveryCode.objects.filter(user=user, used_at=None).exists():
        return redirect("account")
    return render(
        request, "account/recovery_codes.html", {"place": "firm", "codes": new_recovery_codes(user)}
    )


def _being_added(request: HttpRequest) -> dict[str, object] | None:
    adding: dict[str, object] | None = request.session.get(NEW)
    if adding is None or timezone.now().timestamp() - cast(float, adding["at"]) > NEW_SECONDS:
        return None
    return adding


@keeps_own_transactions
@require_http_methods(["GET", "HEAD", "POST"])
def passkey_remove(request: HttpRequest, passkey_id: int) -> HttpResponse:
    """Let a passkey open nothing any more."""
    user = _user(request)
    passkey = get_object_or_404(Passkey, pk=passkey_id, user=user)
    form = OwnPasswordForm(user, request.POST or None)
    context = {"place": "firm", "form": form, "title": f"Remove the passkey {passkey.name}?"}
    context |= {"button": "Remove it", "why": "It opens nothing here any more, whoever has the device."}
    if request.method == "POST":
        try:
            is_right = typed_again(request, form)
        except TooEarly as early:
            return too_early(
                request, "account/again.html", {**context, "form": OwnPasswordForm(user)}, early.wait
            )
        if is_right:
            passkey.delete()
            if not has_second(user):
                turn_off(user)  # its recovery codes
            note(user, Kind.PASSKEY_GONE, request)
            messages.success(request, f"Removed: {passkey.name}.")
            return redirect("account")
        return render(request, "account/again.html", context, status=422)
    return render(request, "account/again.html", context)


@require_GET
def second_step_needed(request: HttpRequest) -> HttpResponse:
    """Show which second steps there are, to who must add one or is offered one."""
    if has_second(_user(request)):
        request.session.pop(MUST_ADD_SECOND, None)
    context = {"place": "firm", "must": bool(request.session.get(MUST_ADD_SECOND))}
    return render(request, "account/second_step_needed.html", context)


class RequiredForm(OwnPasswordForm):
    """Whether everybody who signs in needs a second step."""

    required = forms.BooleanField(
        label="Everybody who signs in here needs a second step or a passkey",
        required=False,
        help_text="Who has none is asked to add one the next time he signs in, before anything else opens.",
    )
    field_order = ("required", "own_password")


@keeps_own_transactions
@require_http_methods(["GET", "HEAD", "POST"])
def second_step_required(request: HttpRequest) -> HttpResponse:
    """Require a second step of everybody, or no longer."""
    user, rules = _user(request), SignInRules.current()
    form = RequiredForm(user, request.POST or None, initial={"required": rules.second_step_required})
    context = {"place": "firm", "form": form, "title": "Who needs a second step", "button": "Keep it so"}
    if request.method == "POST":
        try:
            is_right = typed_again(request, form)
        except TooEarly as early:
            return too_early(
                request, "account/again.html", {**context, "form": RequiredForm(user)}, early.wait
            )
        if is_right:
            required = form.cleaned_data["required"]
            SignInRules.objects.filter(pk=rules.pk).update(second_step_required=required)
            note(user, Kind.REQUIRED if required else Kind.NOT_REQUIRED, request)
            messages.success(request, "Kept.")
            return redirect("account")
        return render(request, "account/again.html", context, status=422)
    return render(request, "account/again.html", context)


def site_of(request: HttpRequest) -> Site:
    """Return the site as this browser reaches it."""
    return Site(request.scheme or "http", request.get_host())


def _user(request: HttpRequest) -> User:
    return cast(User, request.user)
