"""The days from and to which something is listed."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.named import DAY, say_plainly
from invoicing.receivables.journal import Period


class SpanForm(forms.Form):
    """A first and a last day, both counted."""

    since = forms.DateField(label="From", widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"))
    until = forms.DateField(label="To", widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        since, until = typed.get("since"), typed.get("until")
        if since and until and until < since:
            self.add_error("until", "The last day is before the first: turn them round.")
        if since and until and until.year - since.year > 20:
            self.add_error("since", "That is more than twenty years: choose a later first day.")
        return typed


class BooksForm(SpanForm):
    """The same, with the periods that sales tax is summed up by."""

    by = forms.ChoiceField(
        label="Sales tax by", choices=[(each.value, each.value.capitalize()) for each in Period]
    )


def this_year(today: date) -> dict[str, Any]:
    """From the first of January to today."""
    return {"since": today.replace(month=1, day=1), "until": today, "by": Period.QUARTER.value}
