"""The catalog's first page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from catalog.views.lists import SHELVES


@require_GET
def catalog(request: HttpRequest) -> HttpResponse:
    """What the catalog holds, place by place."""
    places = [(shelf, shelf.model.objects.offered().count()) for shelf in SHELVES.values()]
    return render(request, "catalog/lists/home.html", {"place": "catalog", "places": places})
