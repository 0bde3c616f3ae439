"""The firm's settings, and the price of its hour."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from catalog.assemblies.rate_messages import markup_in_words
from catalog.forms.firm import MARKUPS, FirmForm, YearForm, kept_rate
from catalog.models import Firm
from catalog.money.amounts import format_price
from catalog.views.pages import form_page, typed


def firm(request: HttpRequest) -> HttpResponse:
    form = FirmForm(typed(request), instance=Firm.current())
    if form.is_valid():
        form.save()
        messages.success(request, "Your settings are saved. Estimates made from now on follow them.")
        return redirect("firm")
    return form_page(request, "catalog/firm/firm.html", form, place="firm")


@require_GET
def markup_reading(request: HttpRequest) -> HttpResponse:
    typed_as = next((request.GET[name] for name in MARKUPS if name in request.GET), "")
    return HttpResponse(markup_in_words(typed_as), content_type="text/plain; charset=utf-8")


def hourly_rate(request: HttpRequest) -> HttpResponse:
    """The year and the hour it comes to; saving the year, or using the rate too."""
    current = Firm.current()
    kept = kept_rate(current)
    form = YearForm(typed(request), instance=current)
    if form.is_valid():
        year = form.save(commit=False)
        if "use" in request.POST:
            year.labor_rate, year.labor_markup = form.rate.break_even, form.year.profit
            words = f"An hour now costs {format_price(form.rate.break_even)}, sold with your profit on top."
        else:
            words = "Your year is saved. The rate that you price with is the same as before."
        year.save()
        messages.success(request, words)
        return redirect("hourly-rate")
    rate = form.rate if form.is_bound else kept
    return form_page(request, "catalog/firm/hourly_rate.html", form, place="firm", firm=current, rate=rate)


@require_POST
def hourly_rate_figures(request: HttpRequest) -> HttpResponse:
    """What the hour comes to while he types; nothing is saved."""
    form = YearForm(request.POST, instance=Firm())
    form.is_valid()
    return render(request, "catalog/firm/_hourly_rate.html", {"form": form, "rate": form.rate})
