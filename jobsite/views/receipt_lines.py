"""Lines of a receipt, and the new prices of the catalog that they show."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from catalog.models import Package
from estimating.plain_text import day_in_words
from jobsite.corrections import keep_corrected, said
from jobsite.forms.receipts import ReceiptLineForm
from jobsite.hours.read import SignedWork, read_job
from jobsite.models import ReceiptKept, ReceiptLine
from jobsite.receipts.read import offers
from saving.forms import status_of


def lines_of(receipt: ReceiptKept, signed: SignedWork) -> dict[str, Any]:
    """Return the lines of a receipt for its page, each with the price that it offers. Costs a query."""
    rows = list(receipt.lines.select_related("receipt", "package__material", "material"))
    offered = offers(rows)
    on_lines = sum(row.amount.amount for row in rows)
    return {
        "lines": [(row, offered.get(row.pk)) for row in rows],
        "not_on_lines": receipt.cost.amount - on_lines if rows else None,
    }


@require_http_methods(["GET", "POST"])
def receipt_line_new(request: HttpRequest, row_id: int) -> HttpResponse:
    """Take a line of a receipt."""
    receipt = get_object_or_404(ReceiptKept.objects.select_related("job__client"), pk=row_id)
    packages = Package.objects.filter(retired=False, material__retired=False)
    signed = read_job(receipt.job)
    form = ReceiptLineForm(
        request.POST or None,
        packages=packages.select_related("material", "supplier").order_by("material__name", "size"),
        needed=[material["code"] for basis in signed.bases for material in basis.basis.get("materials", ())],
        initial={"quantity": 1},
    )
    if form.is_valid():
        line = form.fill(ReceiptLine(receipt=receipt))
        line.save()
        messages.success(request, f"{line} is on the receipt.")
        return redirect("receipt", receipt.pk)
    context = {"job": receipt.job, "place": "days", "form": form, "receipt": receipt}
    return render(request, "jobsite/receipt_line.html", context, status=status_of(form))


def _get_line(line_id: int) -> ReceiptLine:
    rows = ReceiptLine.objects.select_related("receipt__job", "package__material")
    return get_object_or_404(rows, pk=line_id)


@require_POST
def receipt_line_remove(request: HttpRequest, line_id: int) -> HttpResponse:
    """Take a line off a receipt; the receipt keeps that it was there."""
    line = _get_line(line_id)
    was = f"{said(line.receipt)}, with {line}: {line.amount}"
    line.delete()
    keep_corrected(line.receipt, was, timezone.now())
    return redirect("receipt", line.receipt_id)


@require_POST
def receipt_price(request: HttpRequest, line_id: int) -> HttpResponse:
    """Take the new price that a line shows into the catalog, or leave the catalog's as it is."""
    line = _get_line(line_id)
    offer = offers([line]).get(line.pk)
    if offer and line.package:
        if "take" in request.POST:
            line.package.price, line.package.priced_on = offer.now, offer.now_on
            line.package.save(update_fields=["price", "price_currency", "priced_on"])
            messages.success(
                request, f"{line.package} is now {line.package.price}, seen {day_in_words(offer.now_on)}."
            )
        ReceiptLine.objects.filter(pk=line.pk).update(price_answered=True)
    return redirect("receipt", line.receipt_id)
