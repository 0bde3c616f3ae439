"""Published wages beside the firm's own: entered, taken in from a table, removed."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST

from access.body_limits import takes_much
from catalog.forms.wages import WageForm, WageRowsForm
from catalog.models import Wage
from catalog.views.pages import form_page, typed


@takes_much
@require_http_methods(["GET", "POST"])
def wages(request: HttpRequest) -> HttpResponse:
    """Show the wages that are kept, and take in rows of a table, or one occupation."""
    posted = (request.POST, request.FILES) if request.method == "POST" and "one" not in request.POST else ()
    rows = WageRowsForm(*posted, prefix="rows")
    one = WageForm(typed(request) if "one" in request.POST else None)
    if rows.is_valid():
        kept = rows.save()
        messages.success(request, f"{kept} occupation{'' if kept == 1 else 's'} kept.")
        return redirect("hourly-rate")
    if one.is_valid():
        one.save()
        messages.success(request, "Kept.")
        return redirect("hourly-rate")
    return form_page(request, "catalog/firm/wages.html", rows, also=one, place="firm")


@require_POST
def wage_remove(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Wage, pk=pk)
    row.delete()
    messages.success(request, f"{row}: removed.")
    return redirect("hourly-rate")
