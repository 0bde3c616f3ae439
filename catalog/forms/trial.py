"""A trial of an assembly: a quantity of its measure in, what it takes out."""

from fractions import Fraction
from typing import Any

from django import forms

from catalog.assemblies.expansion import Requirement, expand, hours
from catalog.assemblies.trial_room import trial_room
from catalog.fields.form import AmountField
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Firm
from catalog.rows.values import CatalogSpecs


class TrialForm(forms.Form):
    def __init__(self, *args: Any, assembly: Assembly, firm: Firm, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.assembly, self.firm = assembly, firm
        self.requirements: tuple[Requirement, ...] = ()
        self.floor_sqft = Fraction(0)
        measure = MEASURES[assembly.measure]
        self.fields["amount"] = AmountField(
            unit=measure.unit, metric=firm.metric, label=f"{measure.label}, {measure.unit}"
        )
        self.fields["amount"].error_messages["required"] = "Type a quantity to try it on."

    def clean_amount(self) -> Fraction:
        amount = self.cleaned_data["amount"]
        if not amount:
            raise forms.ValidationError("Type more than 0, such as 100.")
        measures, self.floor_sqft = trial_room(self.assembly.measure, amount)
        specs = CatalogSpecs(self.firm)
        self.requirements = expand(
            specs.assembly(self.assembly.pk), measures, firm_deduct=self.firm.deduct_rule
        )
        return amount

    @property
    def hours(self) -> Fraction:
        return hours(self.requirements)
