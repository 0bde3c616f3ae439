"""The days of a paper: the one on which it is issued, and the last one to sign, moved."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import set_plain_messages

YEARS = range(1900, 2200)


class IssueForm(forms.Form):
    """The date of an estimate that is issued; the days that it is valid count from it."""

    dated = forms.DateField(
        label="Dated",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="The days that it is valid count from this day.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_dated(self) -> date:
        dated: date = self.cleaned_data["dated"]
        if dated.year not in YEARS:
            raise forms.ValidationError(f"Pick a day from {YEARS[0]} to {YEARS[-1]}.")
        return dated


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
