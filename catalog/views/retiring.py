"""Copying, retiring, bringing back and deleting a row, the same for every list."""

from django.contrib import messages
from django.db.models import ProtectedError, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.models import ListedRow, Supplier
from catalog.rows import retiring
from catalog.rows.copies import copy_of


@require_POST
def copy(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    row = _row(kind, pk)
    if isinstance(row, Supplier):
        raise Http404("A supplier isn't copied.")
    copied = copy_of(row)
    messages.success(request, f"This is {copied.name}. Give it a name of its own and change what differs.")
    return redirect(CATALOG_LISTS[kind].page, copied.pk)


@require_POST
def retire(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    row = _row(kind, pk)
    row.retired = True
    row.save(update_fields=["retired"])
    messages.success(
        request, f"{row.name} is hidden: it isn't offered any more, and work that has it keeps it."
    )
    return redirect(kind)


@require_POST
def bring_back(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    row = _row(kind, pk)
    row.retired = False
    row.save(update_fields=["retired"])
    messages.success(request, f"{row.name} is back in the catalog.")
    return redirect(CATALOG_LISTS[kind].page, pk)


@require_POST
def delete(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    row = _row(kind, pk)
    try:
        retiring.delete(row)
    except ProtectedError:
        messages.error(request, f"{row.name} is in use, so it can't be deleted. Hide it instead.")
        return redirect(CATALOG_LISTS[kind].page, pk)
    messages.success(request, f"{row.name} is deleted.")
    return redirect(kind)


def _row(kind: str, pk: int) -> ListedRow:
    """Return a row of one of the lists, or answer 404."""
    rows: QuerySet[ListedRow] = CATALOG_LISTS[kind].model.objects.all()
    return get_object_or_404(rows, pk=pk)
