"""Labor, and what its hours come to while they are typed."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_GET

from catalog.assemblies.rate_messages import rate_in_words
from catalog.forms.operations import OperationForm
from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import HOURS_COLUMNS, Operation
from catalog.rows.retiring import is_in_use, uses_of
from catalog.starter.provenance import row_changes
from catalog.views.pages import form_page, typed

OPERATIONS = CATALOG_LISTS["operations"]


def operation_new(request: HttpRequest) -> HttpResponse:
    form = OperationForm(typed(request))
    if form.is_valid():
        operation = form.save()
        messages.success(request, f"{operation.name} is in the catalog.")
        return redirect("operations")
    return form_page(request, "catalog/lists/form.html", form, catalog_list=OPERATIONS, title="Add labor")


def operation(request: HttpRequest, pk: int) -> HttpResponse:
    operation = get_object_or_404(Operation, pk=pk)
    name = operation.name
    form = OperationForm(typed(request), instance=operation)
    if form.is_valid():
        form.save()
        messages.success(request, f"{operation.name} is saved.")
        return redirect("operations")
    return form_page(
        request,
        "catalog/lists/form.html",
        form,
        catalog_list=OPERATIONS,
        title=name,
        row=operation,
        where="operation-where",
        changes=row_changes(operation),
        used_in=uses_of(operation),
        deletable=not is_in_use(operation),
    )


@require_GET
def hours_reading(request: HttpRequest) -> HttpResponse:
    """Show what the hours typed in one of the three fields come to."""
    typed = next((request.GET[name] for name in HOURS_COLUMNS if name in request.GET), "")
    words = rate_in_words(typed, "hour", request.GET.get("unit", ""))
    return HttpResponse(words, content_type="text/plain; charset=utf-8")
