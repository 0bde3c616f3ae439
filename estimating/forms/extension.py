"""What he types to let a paper be signed after its last day."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.named import say_plainly


class ExtendForm(forms.Form):
    until = forms.DateField(
        label="The price stands to the end of",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, *args: Any, first: date, **kwargs: Any) -> None:
        super().__init__(*args, initial={"until": first}, **kwargs)
        say_plainly(self.fields)
