"""Rows that several pages look up, and lists in pages."""

from typing import TypeVar

from django.core.paginator import Page, Paginator
from django.db import models
from django.http import HttpRequest

Row = TypeVar("Row", bound=models.Model)
ON_A_PAGE = 50


def page_of(request: HttpRequest, rows: models.QuerySet[Row]) -> Page[Row]:
    """Return the part of a list that a page shows: the nearest there is to the one asked for."""
    return Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
