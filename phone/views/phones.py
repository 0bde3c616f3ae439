"""The phones that are signed in, and ending one that is lost."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from account.browsers import browser_in_words
from phone.models import Phone
from phone.sign_in import IDENT, end

SHOWN = 50


@require_GET
def phones(request: HttpRequest) -> HttpResponse:
    """List the sign-ins that keep jobs, this one among them."""
    rows = Phone.objects.filter(user=request.user.pk)[:SHOWN]
    listed = [(row, browser_in_words(row.agent), row.ident == request.session.get(IDENT)) for row in rows]
    return render(request, "phone/phones.html", {"place": "firm", "phones": listed})


@require_POST
def phone_end(request: HttpRequest, phone_id: int) -> HttpResponse:
    """End a sign-in: it is signed out, and what it would still send is refused."""
    row = get_object_or_404(Phone, pk=phone_id, user=request.user.pk)
    end(row, timezone.now())
    messages.success(request, f"Ended: {browser_in_words(row.agent)}. Nothing more is taken from it.")
    return redirect("phones")
