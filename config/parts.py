"""Every part in every state, for whoever changes the style sheet; only with BENCHRULE_DEBUG."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from catalog.fields.form import LengthField, PriceField

CHOICES = [("one", "The first of two"), ("two", "The second")]


class PartsForm(forms.Form):
    """A field of each kind."""

    name = forms.CharField(label="Text", help_text="With a hint.", max_length=20)
    price = PriceField(label="Price")
    length = LengthField(label="Length")
    day = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}))
    choice = forms.ChoiceField(label="Choice of a few", choices=CHOICES, widget=forms.RadioSelect)
    list = forms.ChoiceField(label="Choice of many", choices=CHOICES)
    tick = forms.BooleanField(label="A tick", required=True)
    words = forms.CharField(label="Words", widget=forms.Textarea)


@require_GET
def parts(request: HttpRequest) -> HttpResponse:
    """Show every part in every state."""
    typed = {"name": "far more than twenty letters", "price": "many", "length": "7/10"}
    forms_by_state = [
        ("Empty", PartsForm(prefix="empty")),
        (
            "Filled",
            PartsForm(prefix="filled", initial={"name": "Kitchen", "words": "Two coats", "tick": True}),
        ),
        ("Wrong", PartsForm({f"wrong-{name}": text for name, text in typed.items()}, prefix="wrong")),
    ]
    return render(
        request, "dev/parts.html", {"forms_by_state": forms_by_state, "form": forms_by_state[-1][1]}
    )
