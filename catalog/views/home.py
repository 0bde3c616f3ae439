"""The catalog's first page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def catalog(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    return render(request, "catalog/home.html", {"place": "catalog"})
