"""Copying, retiring, bringing back and deleting, the same for every list."""

from django.contrib import messages
from django.db.models import ProtectedError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from catalog.rows import retiring
from catalog.rows.copies import copy_of
from catalog.views.lists import SHELVES


@require_POST
def copy(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    shelf = SHELVES[kind]
    twin = copy_of(get_object_or_404(shelf.model, pk=pk))
    messages.success(request, f"This is {twin.name}. Give it a name of its own and change what differs.")
    return redirect(shelf.page, twin.pk)


@require_POST
def retire(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    row = get_object_or_404(SHELVES[kind].model, pk=pk)
    row.retired = True
    row.save(update_fields=["retired"])
    messages.success(
        request, f"{row.name} is retired: it isn't offered any more, and work that has it keeps it."
    )
    return redirect(kind)


@require_POST
def bring_back(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    shelf = SHELVES[kind]
    row = get_object_or_404(shelf.model, pk=pk)
    row.retired = False
    row.save(update_fields=["retired"])
    messages.success(request, f"{row.name} is back in the catalog.")
    return redirect(shelf.page, pk)


@require_POST
def delete(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    shelf = SHELVES[kind]
    row = get_object_or_404(shelf.model, pk=pk)
    try:
        retiring.delete(row)
    except ProtectedError:
        messages.error(request, f"{row.name} is in use, so it can't be deleted. Retire it instead.")
        return redirect(shelf.page, pk)
    messages.success(request, f"{row.name} is deleted.")
    return redirect(kind)
