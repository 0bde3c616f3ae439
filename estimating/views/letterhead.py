"""The firm's logo and color, which its papers carry."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from catalog.models import Firm
from estimating.estimates.snapshots import firm_party
from estimating.forms.photos import LetterheadForm, takes_logo
from saving.forms import status_of


@takes_logo
@require_http_methods(["GET", "POST"])
def letterhead(request: HttpRequest) -> HttpResponse:
    """Show the logo and the color, and take others."""
    firm = Firm.current()
    form = LetterheadForm(request.POST or None, request.FILES or None, instance=firm)
    if form.is_valid():
        form.save()
        messages.success(request, "Papers made from now on carry it. What was issued stays as it was.")
        return redirect("letterhead")
    context = {"form": form, "snapshot": {"firm": firm_party(firm).for_snapshot()}, "place": "firm"}
    return render(request, "estimating/documents/letterhead.html", context, status=status_of(form))
