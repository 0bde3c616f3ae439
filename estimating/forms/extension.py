"""The form that lets a document be signed after its last day."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import set_plain_messages


class ExtendForm(forms.Form):
    """The new last day to sign; `first` is the day that it offers."""

    until = forms.DateField(
        label="The price stands to the end of",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, first: date, **kwargs: Any) -> None:
        kwargs["initial"] = {"until": first}
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
