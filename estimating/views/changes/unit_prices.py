"""What a change charges at a unit price that was signed: hidden conditions, and options."""

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from estimating.changes.draft import signed_job
from estimating.changes.edit import add_purchase, use_unit_price
from estimating.contract.unit_prices import FOUND, ONE, OPTION, UnitPrice
from estimating.forms.changes import UnitPriceForm
from estimating.models import ChangeLine, ChangeOrder
from estimating.views.changes.drafts import for_open_change, render_on_job
from saving.forms import status_of


def _price(change: ChangeOrder, key: str, kind: str) -> UnitPrice:
    """Return a unit price that was signed for this very job; 404 for any other key in an address."""
    signed = signed_job(change.job)
    for price in signed.prices if signed else ():
        if price.key == key and price.kind == kind:
            return price
    raise Http404


@require_http_methods(["GET", "POST"])
@for_open_change
def change_found(request: HttpRequest, change: ChangeOrder, key: str) -> HttpResponse:
    """Ask how much of a hidden condition was found; its price is the signed one."""
    price = _price(change, key, FOUND)
    line = change.lines.filter(document=price.document, key=key).first()
    initial = {"quantity": line.quantity} if line else {}
    form = UnitPriceForm(request.POST or None, price=price, today=timezone.localdate(), initial=initial)
    if form.is_valid():
        with transaction.atomic():
            use_unit_price(change, ChangeLine.Kind.FOUND, price, form.cleaned_data["quantity"])
            if bought := form.cleaned_data.get("bought"):
                add_purchase(change, price, bought)
        return redirect(change)
    status = status_of(form)
    return render_on_job(
        request, change.job, "changes/unit_price", status=status, change=change, form=form, price=price
    )


@require_POST
@for_open_change
def change_option(request: HttpRequest, change: ChangeOrder, key: str) -> HttpResponse:
    """Add an option after the signing, at its signed price and until its last day."""
    price = _price(change, key, OPTION)
    if reason := price.why_not(ONE, timezone.localdate()):
        return render_on_job(request, change.job, "changes/locked", status=409, change=change, reason=reason)
    with transaction.atomic():
        use_unit_price(change, ChangeLine.Kind.OPTION, price, ONE)
    return redirect(change)
