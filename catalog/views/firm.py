"""The firm's settings, and the price of its hour."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from access.addresses import undeclared_proxy
from catalog.forms.firm import MARKUPS, FirmForm, YearForm
from catalog.models import Firm, Wage
from catalog.money.amounts import format_price
from catalog.money.markup import markup_in_words
from catalog.views.pages import form_page, typed
from saving.once import saves_nothing


def firm(request: HttpRequest) -> HttpResponse:
    form = FirmForm(typed(request), instance=Firm.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Your settings are saved. Estimates made from now on follow them.")
        return redirect("firm")
    return form_page(
        request, "catalog/firm/firm.html", form, place="firm", undeclared_proxy=undeclared_proxy(request)
    )


@require_GET
def markup_reading(request: HttpRequest) -> HttpResponse:
    """Show what a markup comes to as a margin, while it is typed in one of the fields for markups."""
    markup = next((request.GET[name] for name in MARKUPS if name in request.GET), "")
    return HttpResponse(markup_in_words(markup), content_type="text/plain; charset=utf-8")


def hourly_rate(request: HttpRequest) -> HttpResponse:
    """Show the year and what an hour of it comes to; the year can be saved alone or with the rate in use."""
    current = Firm.current()
    rate = current.hourly_rate()
    form = YearForm(typed(request), instance=current)
    if form.is_valid():
        if "use" in request.POST:
            cost = form.save_and_use_rate()
            words = f"An hour now costs {format_price(cost)}, sold with your profit on top."
        else:
            form.save()
            words = "Your year is saved. The rate that you price with is the same as before."
        messages.success(request, words)
        return redirect("hourly-rate")
    if form.is_bound:
        rate = form.rate
    return form_page(
        request,
        "catalog/firm/hourly_rate.html",
        form,
        place="firm",
        firm=current,
        rate=rate,
        wages=Wage.objects.all(),
    )


@saves_nothing
@require_POST
def hourly_rate_figures(request: HttpRequest) -> HttpResponse:
    """Show what an hour comes to while the year is typed; nothing is saved."""
    form = YearForm(request.POST, instance=Firm())
    form.is_valid()
    return render(request, "catalog/firm/_hourly_rate.html", {"form": form, "rate": form.rate})
