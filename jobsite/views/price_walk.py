"""The walk over the prices of what the firm buys most, one field a line."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from catalog.forms.prices import PriceWalkForm
from catalog.models import Firm
from jobsite.receipts.most_bought import most_bought
from saving.forms import status_of


def price_walk(request: HttpRequest) -> HttpResponse:
    """Show a field for the price of each; what is typed counts as seen today, what is empty stays."""
    today = timezone.localdate()
    form = PriceWalkForm(request.POST if request.method == "POST" else None, packages=most_bought())
    if form.is_valid():
        count = form.save(today)
        messages.success(request, f"{count} price{'' if count == 1 else 's'} saved as seen today.")
        return redirect("price-walk")
    context = {
        "place": "catalog",
        "form": form,
        "lines": form.lines(),
        "firm": Firm.current(),
        "today": today,
    }
    return render(request, "jobsite/price_walk.html", context, status=status_of(form))
