"""The price list exported as CSV, and imported with a report."""

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from access.body_limits import takes_much
from catalog.forms.price_list import PriceListForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.price_lists.csv_file import COLUMNS, MOST_BYTES, write_price_list, write_refusals
from catalog.price_lists.import_export import import_prices, price_rows
from catalog.views.pages import form_page

MATERIALS = CATALOG_LISTS["materials"]
SALT = "refused rows"
MOST_SHOWN = 100


@require_GET
def price_list_export(request: HttpRequest) -> HttpResponse:
    return _csv(write_price_list(price_rows()), f"prices-{timezone.localdate()}.csv")


@takes_much
def price_list_import(request: HttpRequest) -> HttpResponse:
    """Import a file and report what was imported and what wasn't. Importing it again changes nothing more."""
    today = timezone.localdate()
    posted = (request.POST, request.FILES) if request.method == "POST" else ()
    form = PriceListForm(*posted, today=today)
    if not form.is_valid():
        return form_page(
            request, "catalog/materials/price_list.html", form, catalog_list=MATERIALS, columns=COLUMNS
        )
    price_list = form.cleaned_data["file"]
    report = import_prices(price_list, today)
    context = {
        "place": "catalog",
        "catalog_list": MATERIALS,
        "report": report,
        "shown_refusals": report.refusals[:MOST_SHOWN],
        "skipped": price_list.skipped,
        "refused": _signed(write_refusals(price_list.headings, report.refusals)),
    }
    return render(request, "catalog/materials/price_list_report.html", context)


def _signed(text: str) -> str:
    """Return the refused rows, signed, for the report's form to send back; empty where they are too many."""
    signed = signing.dumps(text, salt=SALT, compress=True)
    return signed if len(signed) < MOST_BYTES else ""


@takes_much
@require_POST
def price_list_refused(request: HttpRequest) -> HttpResponse:
    """Return the refused rows of a report as a file, to be corrected and imported again."""
    try:
        text = signing.loads(request.POST.get("refused", ""), salt=SALT)
    except signing.BadSignature:
        return HttpResponse("Import the price list again to have its refused rows.", status=400)
    return _csv(text, "refused-rows.csv")


def _csv(text: str, name: str) -> HttpResponse:
    """Return a file to save; the mark in front of it tells spreadsheets that it is UTF-8."""
    return HttpResponse(
        text.encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
