"""What a phone asks before it sends: who is signed in on it; and what it keeps of the jobs."""

from datetime import timedelta
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.utils import timezone
from django.views.decorators.http import require_GET

from account.models import Device
from phone.kept.read import read_kept
from phone.sign_in import has_ended, known_phone


@login_not_required
@require_GET
def contact(request: HttpRequest) -> HttpResponse:
    """Say who is signed in here, what time it is, and whether the sign-in that the phone names was ended."""
    told: dict[str, Any] = {
        "now": int(timezone.now().timestamp() * 1000),
        "ended": has_ended(request.GET.get("phone", "")[:32]),
    }
    if request.user.is_authenticated:
        told |= {"user": request.user.get_username(), "token": get_token(request)}
    return JsonResponse(told)


@require_GET
def kept_jobs(request: HttpRequest) -> HttpResponse:
    """Return what the phone keeps of the open jobs, until the sign-in ends."""
    now = timezone.now()
    phone = known_phone(request, now)
    session = Device.objects.filter(session_key=request.session.session_key).first()
    until = session.expire_date if session else now + timedelta(seconds=request.session.get_expiry_age())
    return JsonResponse(
        {
            **read_kept(timezone.localdate()),
            "user": request.user.get_username(),
            "phone": phone.ident,
            "until": int(until.timestamp() * 1000),
            "now": int(now.timestamp() * 1000),
        }
    )
