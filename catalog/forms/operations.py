"""Forms of a piece of labor and of a supplier."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from catalog.fields.form import NumberField
from catalog.forms.materials import SHORT, UNIT_CHOICES
from catalog.forms.model_form import reading_attrs
from catalog.forms.named import NamedForm
from catalog.measures.rates import UnreadableRate, parse_rate
from catalog.measures.units import UnfitUnits
from catalog.models import HOURS_COLUMNS, Operation, Supplier, hours_fault
from catalog.starter.source_labels import labor_source

MOST_HOURS = Decimal(1000)


class OperationForm(NamedForm[Operation]):
    """A piece of labor with its hours as typed, from which the exact hours are read."""

    unit = forms.ChoiceField(
        label="Counted in", choices=UNIT_CHOICES, help_text="What you do so much of in an hour."
    )
    low_typed = forms.CharField(
        label="Hours, best",
        max_length=80,
        required=False,
        help_text="May be left empty.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    rate_typed = forms.CharField(
        label="Hours, likely",
        max_length=80,
        help_text="Estimates are made with these. "
        "As you would say it: 9 hours per 1000 sq ft, 3 hours per 100 ft, 0.75 hours each.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    high_typed = forms.CharField(
        label="Hours, worst",
        max_length=80,
        required=False,
        help_text="May be left empty.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    set_up_hours = NumberField(
        label="Set-up hours",
        places=2,
        most=MOST_HOURS,
        initial=Decimal(0),
        help_text="Added once each time it is done, however small the room.",
    )
    wait_hours = NumberField(
        label="Hours it must dry or set before the next step", places=2, most=MOST_HOURS, initial=Decimal(0)
    )

    class Meta:
        model = Operation
        fields = (
            "name",
            "unit",
            "low_typed",
            "rate_typed",
            "high_typed",
            "set_up_hours",
            "wait_hours",
            "surface",
            "over_days",
            "source",
        )
        widgets = {"source": SHORT}
        help_texts = {
            "source": "Such as my own jobs, a published rate, or common practice.",
            "surface": "Nothing is walked on, leaned on or painted there until it is dry. "
            "Left as it is, painting a wall closes the walls, and laying a floor closes the floor.",
            "over_days": "One coat on a wall is finished on the day it is begun; setting tile can go on "
            "the next morning; sweeping up takes a little of each day.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in HOURS_COLUMNS:
            self.fields[name].widget.attrs |= reading_attrs("hours-reading", "unit")

    def clean_unit(self) -> str:
        unit: str = self.cleaned_data["unit"]
        if self.instance.pk and unit != self.instance.unit and self.instance.used_in.exists():
            raise forms.ValidationError(
                f"The work that uses it counts it in {self.instance.unit}, so that stays. "
                "Copy it to have it in another unit."
            )
        return unit

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("unit"):
            for name, column in HOURS_COLUMNS.items():
                if name in cleaned:
                    setattr(self.instance, column, self._hours(name))
            self._refuse_hours_out_of_order()
        return cleaned

    def save(self, commit: bool = True) -> Operation:
        self.instance.source = labor_source(self.instance)
        return super().save(commit)

    def _hours(self, name: str) -> Fraction | None:
        """Return the hours typed, for one unit; None for nothing, or with an error for what can't be read."""
        typed: str = self.cleaned_data[name]
        try:
            return parse_rate(typed, of="hour", per=self.cleaned_data["unit"]).per_unit if typed else None
        except (UnreadableRate, UnfitUnits) as error:
            self.add_error(name, str(error))
            return None

    def _refuse_hours_out_of_order(self) -> None:
        if self.errors.keys() & HOURS_COLUMNS.keys():
            return
        row = self.instance
        ranges: tuple[tuple[str, Fraction | None, Fraction | None], ...] = (
            ("low_typed", row.low_hours_per_unit, None),
            ("high_typed", None, row.high_hours_per_unit),
        )
        for name, low, high in ranges:
            if fault := hours_fault(low, row.hours_per_unit, high):
                self.add_error(name, fault[0].upper() + fault[1:])


class SupplierForm(NamedForm[Supplier]):
    """A store that packages are bought from."""

    class Meta:
        model = Supplier
        fields = ("name", "phone", "note")
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        help_texts = {"note": "Such as your account number, or when they deliver."}
