"""Suppliers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from catalog.forms.operations import SupplierForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import Supplier
from catalog.rows.retiring import is_in_use
from catalog.views.pages import form_page, typed

SUPPLIERS = CATALOG_LISTS["suppliers"]


def supplier_new(request: HttpRequest) -> HttpResponse:
    form = SupplierForm(typed(request))
    if form.is_valid():
        supplier = form.save()
        messages.success(request, f"{supplier.name} is in the catalog.")
        return redirect("suppliers")
    return form_page(request, "catalog/lists/form.html", form, catalog_list=SUPPLIERS, title="Add a supplier")


def supplier(request: HttpRequest, pk: int) -> HttpResponse:
    supplier = get_object_or_404(Supplier, pk=pk)
    name = supplier.name
    form = SupplierForm(typed(request), instance=supplier)
    if form.is_valid():
        form.save()
        messages.success(request, f"{supplier.name} is saved.")
        return redirect("suppliers")
    deletable = not is_in_use(supplier)
    return form_page(
        request,
        "catalog/lists/form.html",
        form,
        catalog_list=SUPPLIERS,
        title=name,
        row=supplier,
        deletable=deletable,
    )
