"""Prices brought up to date: from a supplier's file in three steps, and by an index."""

from collections.abc import Collection
from typing import Any

from django.contrib import messages
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from access.body_limits import takes_much
from catalog.forms.prices import ColumnsForm, PriceIndexForm, SupplierFileForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import Firm, Package, PriceColumns, Supplier
from catalog.price_lists.any_file import Table, guess_columns, offered_prices
from catalog.price_lists.supplier_prices import Beside, beside, packages_by_name, take
from catalog.views.pages import form_page, typed
from saving.once import saves_nothing

MATERIALS = CATALOG_LISTS["materials"]
SALT = "a supplier's file"
AGAIN = "Choose the file again: what was sent with this page can't be read."
MOST_SHOWN = 400


@takes_much
@saves_nothing
def supplier_file(request: HttpRequest) -> HttpResponse:
    """Take a file or pasted lines; show which column is likely which, or the prices where that is known."""
    posted = (request.POST, request.FILES) if request.method == "POST" else ()
    form = SupplierFileForm(*posted)
    if not form.is_valid():
        return form_page(request, "catalog/prices/file.html", form, catalog_list=MATERIALS)
    table, supplier = form.cleaned_data["table"], form.cleaned_data["supplier"]
    known = PriceColumns.objects.filter(headings=table.signature[:1000]).first()
    columns = known.columns if known else guess_columns(table.headings)
    return _ask_columns(request, ColumnsForm(None, table=table, columns=columns), table, supplier)


def _ask_columns(request: HttpRequest, form: ColumnsForm, table: Table, supplier: Supplier) -> HttpResponse:
    return form_page(
        request,
        "catalog/prices/columns.html",
        form,
        catalog_list=MATERIALS,
        supplier=supplier,
        headings=table.headings,
        first_rows=[cells for _, cells in table.rows[:5]],
        sent=_signed(table, supplier),
    )


@takes_much
@require_POST
def supplier_columns(request: HttpRequest) -> HttpResponse:
    """Remember which column is which, and show each price beside the package it is for."""
    table, supplier = _sent(request)
    if table is None or supplier is None:
        messages.error(request, AGAIN)
        return redirect("supplier-file")
    form = ColumnsForm(request.POST, table=table, columns={})
    if not form.is_valid():
        return _ask_columns(request, form, table, supplier)
    columns = form.columns()
    PriceColumns.objects.update_or_create(headings=table.signature[:1000], defaults={"columns": columns})
    rows = beside(offered_prices(table, columns), supplier, {})
    rows.sort(key=lambda row: (row.package is None, not row.questions, row.offered.line))
    return _show_prices(request, rows, supplier, _signed(table, supplier, columns))


def _show_prices(
    request: HttpRequest, rows: list[Beside], supplier: Supplier, sent: str, named: Collection[int] = ()
) -> HttpResponse:
    """Show prices beside their packages; `named` are lines whose package he named just now."""
    context = {
        "place": "catalog",
        "catalog_list": MATERIALS,
        "supplier": supplier,
        "rows": rows[:MOST_SHOWN],
        "unshown": len(rows[MOST_SHOWN:]),
        "named": named,
        "names": sorted(f"{row.material.name}, {row.name}" for row in packages_by_name().values()),
        "sent": sent,
    }
    return render(request, "catalog/prices/beside.html", context)


@takes_much
@require_POST
def supplier_take(request: HttpRequest) -> HttpResponse:
    """Put the prices on their packages; a line with a question only where it is ticked."""
    table, supplier = _sent(request)
    columns = _payload(request).get("columns")
    if table is None or supplier is None or not columns:
        messages.error(request, AGAIN)
        return redirect("supplier-file")
    offered = offered_prices(table, columns)
    by_name = packages_by_name()
    chosen = {
        row.key: by_name.get(" ".join(request.POST.get(f"for-{row.line}", "").split()).casefold())
        for row in offered
    }
    right = {int(line) for line in request.POST.getlist("right") if line.isdecimal() and len(line) < 9}
    rows: list[Beside] = beside(offered, supplier, chosen)
    taken, left = take(rows, right, supplier, timezone.localdate())
    asked = [
        row for row in rows if chosen.get(row.offered.key) and row.questions and row.offered.line not in right
    ]
    messages.success(
        request,
        f"{taken} price{'' if taken == 1 else 's'} of {supplier.name} taken, {left} line"
        f"{'' if left == 1 else 's'} left: without a package here, or with a question that wasn't ticked.",
    )
    if asked:
        named = {row.offered.line for row in asked}
        return _show_prices(request, asked, supplier, _signed(table, supplier, columns), named)
    return redirect("materials")


def _signed(table: Table, supplier: Supplier, columns: dict[str, int] | None = None) -> str:
    kept = {"headings": table.headings, "rows": table.rows, "supplier": supplier.pk, "columns": columns}
    return signing.dumps(kept, salt=SALT, compress=True)


def _payload(request: HttpRequest) -> dict[str, Any]:
    try:
        payload: dict[str, Any] = signing.loads(request.POST.get("sent", ""), salt=SALT)
    except signing.BadSignature:
        return {}
    return payload


def _sent(request: HttpRequest) -> tuple[Table | None, Supplier | None]:
    payload = _payload(request)
    if not payload:
        return None, None
    rows = tuple((number, tuple(cells)) for number, cells in payload["rows"])
    table = Table(tuple(payload["headings"]), rows)
    return table, Supplier.objects.filter(pk=payload["supplier"], retired=False).first()


def price_index(request: HttpRequest) -> HttpResponse:
    """Move old prices by an index that he enters; each is shown as an estimate from then on."""
    firm, today = Firm.current(), timezone.localdate()
    offered = Package.objects.offered().filter(material__retired=False, estimated_by="")
    rows = offered.select_related("material").order_by("material__name", "pk")
    old = [package for package in rows if firm.price_is_stale(package.priced_on, today)]
    form = PriceIndexForm(typed(request), old=old)
    if form.is_valid():
        moved = form.save()
        messages.success(
            request,
            f"{moved} price{'' if moved == 1 else 's'} moved by {form.index().in_words()}. "
            "They are estimates until you type what they cost.",
        )
        return redirect("materials")
    return form_page(
        request,
        "catalog/prices/index.html",
        form,
        catalog_list=MATERIALS,
        old=old,
        days=firm.stale_after_days,
    )
