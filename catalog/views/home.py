"""The catalog's first page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from catalog.lists.catalog_list import CATALOG_LISTS


@require_GET
def catalog(request: HttpRequest) -> HttpResponse:
    """Show the first page: the five lists, each with how many rows it offers."""
    lists = [(kind, kind.model.objects.offered().count()) for kind in CATALOG_LISTS.values()]
    return render(request, "catalog/lists/home.html", {"place": "catalog", "lists": lists})
