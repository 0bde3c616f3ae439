"""What a change takes at a price that was signed: conditions that were found, and options."""

from decimal import Decimal

from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from estimating.changes.draft import signed_job
from estimating.contract.unit_prices import FOUND, SignedPrice
from estimating.forms.changes import FoundForm
from estimating.models import ChangeLine, ChangeOrder, WorkItem
from estimating.views.changes.drafts import get_change, show, to_signed


def _price(change: ChangeOrder, key: str, kind: str) -> SignedPrice:
    """A price that this very job signed, whatever the address says."""
    signed = signed_job(change.job)
    prices = signed.prices if signed else ()
    price = next((each for each in prices if each.key == key and each.kind == kind), None)
    if price is None:
        raise Http404
    return price


@require_http_methods(["GET", "POST"])
def change_found(request: HttpRequest, change_id: int, key: str) -> HttpResponse:
    """How much of a condition was found; its price is the signed one."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    price = _price(change, key, FOUND)
    line = change.lines.filter(document=price.document, key=key).first()
    first = {"quantity": line.quantity} if line else {}
    form = FoundForm(request.POST or None, price=price, today=timezone.localdate(), initial=first)
    if form.is_valid():
        with transaction.atomic():
            _take(change, ChangeLine.Kind.FOUND, price, form.cleaned_data["quantity"])
            if bought := form.cleaned_data.get("bought"):
                _add_bought(change, price, bought)
        return redirect(change)
    status = 422 if form.is_bound else 200
    return show(
        request, change.job, "changes/unit_price", status=status, change=change, form=form, price=price
    )


@require_POST
def change_option(request: HttpRequest, change_id: int, key: str) -> HttpResponse:
    """Take an option after the signing, at its signed price and until its last day."""
    change = get_change(change_id)
    if elsewhere := to_signed(request, change):
        return elsewhere
    price = _price(change, key, "option")
    if reason := price.why_not(Decimal(1), timezone.localdate()):
        return show(request, change.job, "changes/locked", status=409, change=change, reason=reason)
    with transaction.atomic():
        _take(change, ChangeLine.Kind.OPTION, price, Decimal(1))
    return redirect(change)


def _take(change: ChangeOrder, kind: str, price: SignedPrice, quantity: Decimal) -> None:
    """Once on a change: taken again, the quantity is the newer one."""
    values = {"kind": kind, "title": price.title, "unit": price.unit, "quantity": quantity}
    change.lines.update_or_create(document_id=price.document, key=price.key, defaults=values)


def _add_bought(change: ChangeOrder, price: SignedPrice, cost: Decimal) -> None:
    """What was bought for it, by its receipt and the terms for changes."""
    estimate = change.estimate
    WorkItem.objects.create(
        estimate=estimate,
        position=estimate.items.count(),
        title=f"Bought for: {price.title}"[:120],
        phase="rough",
        material_cost=cost,
    )
