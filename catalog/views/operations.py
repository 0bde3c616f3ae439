"""Labor, and the readings of what is typed about it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_GET

from catalog.assemblies.rate_messages import rate_in_words
from catalog.forms.operations import RATES, OperationForm
from catalog.models import Operation
from catalog.rows.retiring import is_in_use
from catalog.starter.provenance import own_of
from catalog.views.lists import SHELVES
from catalog.views.pages import form_page, typed

SHELF = SHELVES["operations"]


def operation_new(request: HttpRequest) -> HttpResponse:
    form = OperationForm(typed(request))
    if form.is_valid():
        operation = form.save()
        messages.success(request, f"{operation.name} is in the catalog.")
        return redirect("operations")
    return form_page(request, "catalog/lists/form.html", form, shelf=SHELF, title="Add labor")


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
        shelf=SHELF,
        title=name,
        row=operation,
        where="operation-where",
        own=own_of(operation),
        used_in=operation.used_in.order_by("assembly__name")
        .values("assembly_id", "assembly__name")
        .distinct(),
        deletable=not is_in_use(operation),
    )


@require_GET
def hours_reading(request: HttpRequest) -> HttpResponse:
    """What the hours typed in one of the three fields come to."""
    typed = next((request.GET[name] for name in RATES if name in request.GET), "")
    words = rate_in_words(typed, "hour", request.GET.get("unit", ""))
    return HttpResponse(words, content_type="text/plain; charset=utf-8")
