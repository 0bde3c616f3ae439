"""What he types about a piece of labour and about a supplier."""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.entry_fields import NumberField
from catalog.forms.materials import SHORT, UNIT_CHOICES
from catalog.forms.named import NamedForm, reads
from catalog.models import Operation, Supplier
from catalog.units import UnreadableRate, parse_rate

MOST_HOURS = Decimal(1000)


class OperationForm(NamedForm):
    unit = forms.ChoiceField(
        label="Counted in", choices=UNIT_CHOICES, help_text="What you do so much of in an hour."
    )
    rate_typed = forms.CharField(
        label="Hours it takes",
        max_length=80,
        help_text="As you would say it: 9 hours per 1000 sq ft, 3 hours per 100 ft, 0.75 hours each.",
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
        fields = ("name", "unit", "rate_typed", "set_up_hours", "wait_hours", "source")
        widgets = {"source": SHORT}
        help_texts = {"source": "Such as my own jobs, a published rate, or common practice."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rate_typed"].widget.attrs |= reads("hours-reading", "unit")

    def clean_unit(self) -> str:
        unit = self.cleaned_data["unit"]
        if self.instance.pk and unit != self.instance.unit and self.instance.used_in.exists():
            raise forms.ValidationError(
                f"The work that uses it counts it in {self.instance.unit}, so that stays. "
                "Copy it to have it in another unit."
            )
        return unit

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("rate_typed") and cleaned.get("unit"):
            try:
                rate = parse_rate(cleaned["rate_typed"], of="hour", per=cleaned["unit"])
            except UnreadableRate as error:
                self.add_error("rate_typed", str(error))
            else:
                self.instance.hours_per_unit = rate.per_unit
        return cleaned


class SupplierForm(NamedForm):
    class Meta:
        model = Supplier
        fields = ("name", "phone", "note")
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        help_texts = {"note": "Such as your account number, or when they deliver."}
