"""The form of a trial of an assembly: a quantity of its measure."""

from collections.abc import Mapping
from fractions import Fraction

from django import forms

from catalog.fields.form import AmountField
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Firm


class TrialForm(forms.Form):
    """The quantity to try an assembly on, in the unit of its measure."""

    def __init__(self, data: Mapping[str, str] | None, *, assembly: Assembly, firm: Firm) -> None:
        super().__init__(data)
        measure = MEASURES[assembly.measure]
        label = measure.label if measure.unit == "each" else f"{measure.label}, {measure.unit}"
        self.fields["amount"] = AmountField(unit=measure.unit, metric=firm.metric, label=label)
        self.fields["amount"].error_messages["required"] = "Type a quantity to try it on."

    def clean_amount(self) -> Fraction:
        amount: Fraction = self.cleaned_data["amount"]
        if not amount:
            raise forms.ValidationError("Type more than 0, such as 100.")
        return amount
