"""The page on how the owner signs in: second step, e-mail, and what happened."""

from typing import cast

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from access.attempts import TooEarly
from account.again import typed_again
from account.browsers import browser_in_words
from account.events import Kind, note
from account.forms import EmailForm, FirstCodeForm, OwnPasswordForm
from account.models import Device, Passkey, RecoveryCode, SecondStep, SignInEvent, SignInRules
from account.second_step import has_second, is_on, new_recovery_codes, new_secret, qr_of, turn_off, turn_on
from account.sessions import MUST_ADD_SECOND
from account.sign_in import too_early
from saving.once import keeps_own_transactions

NEW_SECRET = "new_secret"
EVENTS_SHOWN = 20


@require_GET
def account(request: HttpRequest) -> HttpResponse:
    """Show how he signs in, on how many devices he is signed in, and what happened."""
    user = _user(request)
    events = SignInEvent.objects.filter(user=user).order_by("-at", "-pk")[:EVENTS_SHOWN]
    context = {
        "place": "firm",
        "second": SecondStep.objects.filter(user=user).first(),
        "passkeys": Passkey.objects.filter(user=user),
        "rules": SignInRules.current(),
        "codes_left": RecoveryCode.objects.filter(user=user, used_at=None).count(),
        "devices": Device.objects.filter(user=user, expire_date__gt=timezone.now()).count(),
        "events": [(event, browser_in_words(event.browser)) for event in events],
    }
    return render(request, "account/account.html", context)


@keeps_own_transactions
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def second_step_on(request: HttpRequest) -> HttpResponse:
    """Turn the second step on by its first code; show the recovery codes this once."""
    user = _user(request)
    if is_on(user):
        return redirect("account")
    secret = request.session.setdefault(NEW_SECRET, new_secret())
    form = FirstCodeForm(user, request.POST or None)
    context = {"place": "firm", "form": form, "secret": _in_fours(secret)}
    context["qr"] = mark_safe(qr_of(secret, user.get_username()))  # drawn here, escaped there
    if request.method == "POST":
        if refused := _refused(request, form, "account/second_step.html", context):
            return refused
        codes = turn_on(user, secret, form.cleaned_data["code"], timezone.now())
        if codes is None:
            form.add_error(
                "code", "That isn't the code of now. Scan the square, then type what the app shows."
            )
            return render(request, "account/second_step.html", context, status=422)
        del request.session[NEW_SECRET]
        request.session.pop(MUST_ADD_SECOND, None)
        note(user, Kind.SECOND_ON, request)
        return render(request, "account/recovery_codes.html", {"place": "firm", "codes": codes})
    return render(request, "account/second_step.html", context)


@keeps_own_transactions
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def recovery_codes(request: HttpRequest) -> HttpResponse:
    """Make new recovery codes and show them this once; the old ones end."""
    user = _user(request)
    if not has_second(user):
        return redirect("account")
    form = OwnPasswordForm(user, request.POST or None)
    context = _question(form, "New recovery codes", "Make new codes", "The ones you have now end.")
    if request.method == "POST":
        if refused := _refused(request, form, "account/again.html", context):
            return refused
        codes = new_recovery_codes(user)
        note(user, Kind.NEW_CODES, request)
        return render(request, "account/recovery_codes.html", {"place": "firm", "codes": codes})
    return render(request, "account/again.html", context)


@keeps_own_transactions
@require_http_methods(["GET", "HEAD", "POST"])
def second_step_off(request: HttpRequest) -> HttpResponse:
    """Turn the second step off."""
    user = _user(request)
    if not is_on(user):
        return redirect("account")
    form, why = OwnPasswordForm(user, request.POST or None), "From then on whoever knows your password is in."
    context = _question(form, "Turn the second step off", "Turn it off", why)
    if request.method == "POST":
        if refused := _refused(request, form, "account/again.html", context):
            return refused
        turn_off(user)
        note(user, Kind.SECOND_OFF, request)
        messages.success(request, "The second step is off.")
        return redirect("account")
    return render(request, "account/again.html", context)


@keeps_own_transactions
@require_http_methods(["GET", "HEAD", "POST"])
def change_email(request: HttpRequest) -> HttpResponse:
    """Change where mail about signing in goes; the old address is told, too."""
    user = _user(request)
    old = user.email
    form = EmailForm(user, request.POST or None, initial={"email": old})
    context = _question(form, "Your e-mail", "Change the e-mail")
    if request.method == "POST":
        if refused := _refused(request, form, "account/again.html", context):
            return refused
        User.objects.filter(pk=user.pk).update(email=form.cleaned_data["email"])
        note(user, Kind.EMAIL, request, to=old)
        messages.success(request, "The e-mail is changed.")
        return redirect("account")
    return render(request, "account/again.html", context)


def _question(form: OwnPasswordForm, title: str, button: str, why: str = "") -> dict[str, object]:
    """Return the context of the page that asks again before something changes."""
    return {"place": "firm", "form": form, "title": title, "button": button, "why": why}


def _refused(
    request: HttpRequest, form: OwnPasswordForm, template: str, context: dict[str, object]
) -> HttpResponse | None:
    """Return the page that says what is wrong with what was typed; None where nothing is."""
    try:
        if typed_again(request, form):
            return None
    except TooEarly as early:
        return too_early(request, template, {**context, "form": type(form)(form.user)}, early.wait)
    return render(request, template, context, status=422)


def _user(request: HttpRequest) -> User:
    return cast(User, request.user)


def _in_fours(secret: str) -> str:
    return " ".join(secret[start : start + 4] for start in range(0, len(secret), 4))
