"""How a form of the catalog is answered: the page, with 422 where something in it must be put right."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def form_page(
    request: HttpRequest, template: str, form: forms.BaseForm, place: str = "catalog", **more: object
) -> HttpResponse:
    """The page of a form; a second form on it goes by the name of `also`."""
    both = (form, more["also"]) if "also" in more else (form,)
    status = 422 if any(each.is_bound and each.errors for each in both) else 200
    return render(request, template, {"form": form, "place": place, **more}, status=status)


def typed(request: HttpRequest) -> dict | None:
    """What was sent, or None where the page is only opened."""
    return request.POST if request.method == "POST" else None
