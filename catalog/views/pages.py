"""How a form of the catalog is answered: with its page, and the status that says what is wrong."""

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from saving.forms import status_of


def form_page(
    request: HttpRequest,
    template: str,
    form: forms.BaseForm,
    *,
    also: forms.BaseForm | None = None,
    place: str = "catalog",
    **context: object,
) -> HttpResponse:
    """Return the page of a form. A second form on the page is given as `also`, in Python and in templates."""
    if also is not None:
        context["also"] = also
    return render(request, template, {"form": form, "place": place, **context}, status=status_of(form, also))


def typed(request: HttpRequest) -> QueryDict | None:
    """Return what was sent, or None where the page is only opened."""
    return request.POST if request.method == "POST" else None
