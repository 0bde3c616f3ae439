"""Fields of a form that hold a day."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.forms.model_form import DATE_ATTRS

YEARS = range(2000, 2200)


def day_input() -> forms.DateInput:
    """Return the input of a day, as browsers want its value."""
    return forms.DateInput(attrs=DATE_ATTRS, format="%Y-%m-%d")


def day_field(label: str, *, required: bool = True) -> forms.DateField:
    """Return the field of a day."""
    return forms.DateField(label=label, required=required, widget=day_input())


class PlannedDayField(forms.DateField):
    """A day that somebody could plan for."""

    def __init__(self, **options: Any) -> None:
        super().__init__(widget=day_input(), **options)

    def clean(self, value: Any) -> date | None:
        day: date | None = super().clean(value)
        if day and day.year not in YEARS:
            raise ValidationError(f"Pick a day from {YEARS[0]} to {YEARS[-1]}.")
        return day
