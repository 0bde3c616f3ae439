"""The devices that are signed in and those that keep records, and ending one that is lost."""

from django.contrib import messages
from django.contrib.auth.models import AbstractBaseUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.crypto import salted_hmac
from django.views.decorators.http import require_GET, require_POST

from account.browsers import browser_in_words
from account.events import Kind, note
from account.models import Device
from phone.models import Phone
from phone.sign_in import end_session, end_signed_out

SHOWN = 50  # of those that are signed out


@require_GET
def devices(request: HttpRequest) -> HttpResponse:
    """List who is signed in where, which of them keep jobs, and the phones that are signed out."""
    signed_in = Device.objects.filter(user=request.user.pk, expire_date__gt=timezone.now())
    keeping = {
        phone.session_key: phone
        for phone in Phone.objects.filter(
            session_key__in=signed_in.values("session_key"), user=request.user.pk, ended_at=None
        )
    }
    signed_out = Phone.objects.filter(user=request.user.pk).exclude(
        pk__in=[phone.pk for phone in keeping.values()]
    )
    context = {
        "place": "firm",
        "devices": [
            (
                _name(device),
                browser_in_words(device.browser),
                device,
                keeping.get(device.session_key),
                _is_this(request, device),
            )
            for device in signed_in.order_by("-seen_at")
        ],
        "signed_out": [(phone, browser_in_words(phone.agent)) for phone in signed_out[:SHOWN]],
    }
    return render(request, "phone/devices.html", context)


@require_POST
def device_end(request: HttpRequest, name: str) -> HttpResponse:
    """Sign another device out, and refuse what it would still send."""
    named = {_name(device): device for device in Device.objects.filter(user=request.user.pk)}
    if device := named.get(name):
        end_session(device, timezone.now())
        _note_end(request)
        ended = browser_in_words(device.browser)
        messages.success(request, f"Ended: {ended}. It is signed out, and nothing more is taken from it.")
    return redirect("devices")


@require_POST
def devices_end(request: HttpRequest) -> HttpResponse:
    """End every device but this one."""
    others = [
        device for device in Device.objects.filter(user=request.user.pk) if not _is_this(request, device)
    ]
    for device in others:
        end_session(device, timezone.now())
    if others:
        _note_end(request)
    messages.success(request, "Every other device is signed out, and nothing more is taken from it.")
    return redirect("devices")


@require_POST
def phone_end(request: HttpRequest, phone_id: int) -> HttpResponse:
    """Refuse what a phone would still send that is signed out."""
    phone = get_object_or_404(Phone, pk=phone_id, user=request.user.pk)
    end_signed_out(phone, timezone.now())
    messages.success(request, f"Ended: {browser_in_words(phone.agent)}. Nothing more is taken from it.")
    return redirect("devices")


def _note_end(request: HttpRequest) -> None:
    assert isinstance(request.user, AbstractBaseUser)
    note(request.user, Kind.ENDED, request)


def _name(device: Device) -> str:
    """Return a name of a session for addresses and pages, from which it can't be found."""
    return salted_hmac("account.device", device.session_key, algorithm="sha256").hexdigest()[:32]


def _is_this(request: HttpRequest, device: Device) -> bool:
    return device.session_key == request.session.session_key
