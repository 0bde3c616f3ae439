"""The five lists of the catalog as pages."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from catalog.lists.catalog_list import CATALOG_LISTS
from catalog.lists.search import ListQuery, search
from catalog.models import Firm


@require_GET
def catalog_list(request: HttpRequest, kind: str) -> HttpResponse:
    return render(request, "catalog/lists/list.html", _context(request, kind))


@require_GET
def catalog_list_rows(request: HttpRequest, kind: str) -> HttpResponse:
    """Return the rows of a list without the page, for the search that runs while something is typed."""
    return render(request, "catalog/lists/_rows.html", _context(request, kind))


def _context(request: HttpRequest, kind: str) -> dict[str, object]:
    query = ListQuery(
        request.GET.get("words", "")[:100].replace("\0", ""),
        retired=bool(request.GET.get("retired")),
        changed=bool(request.GET.get("changed")),
    )
    return {
        "place": "catalog",
        "catalog_list": CATALOG_LISTS[kind],
        "result": search(CATALOG_LISTS[kind], query),
        "firm": Firm.current(),
        "today": timezone.localdate(),
    }
