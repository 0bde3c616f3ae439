"""The forms of the Price page: rates and trips, the job's sales tax, and the words on the estimate."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from catalog.fields.form import AmountField, CountField, MarkupEntryField, NumberField, PriceField
from catalog.forms.model_form import ModelForm, offer_choices, reading_attrs, set_plain_messages
from catalog.measures.units import format_amount
from catalog.models import ContingencyOf, Detail, TaxPolicy
from estimating.models import Estimate, Job, SigningPlace
from estimating.takeoff.purchasing import MaterialLine
from saving.forms import MergesEdits


class PricingForm(ModelForm[Estimate]):
    """Rates, trips, and what the client sees."""

    labor_rate = PriceField(label="Labor cost an hour")
    labor_markup = MarkupEntryField(label="On labor")
    material_markup = MarkupEntryField(label="On material")
    equipment_markup = MarkupEntryField(label="On equipment")
    subcontract_markup = MarkupEntryField(label="On subcontracts")
    contingency_percent = NumberField(label="Contingency, %", most=Decimal(100), places=2)
    minimum_charge = PriceField(label="Minimum charge for the job")
    hours_per_day = NumberField(
        label="Working hours in a day", least=Decimal("0.5"), most=Decimal(24), places=2
    )
    runs = CountField(
        label="Supply runs", required=False, most=500, help_text="Leave empty to have them counted."
    )
    run_hours = NumberField(label="Hours of one supply run", most=Decimal(24), places=2)
    days_per_run = CountField(label="Working days that one run serves", least=1, most=365)
    visit_hours = NumberField(label="Hours lost on a return visit", most=Decimal(24), places=2)
    valid_days = CountField(
        label="Days it is valid", least=1, most=365, help_text="Counted from the day on which it is issued."
    )

    class Meta:
        model = Estimate
        fields = (
            "labor_rate",
            "labor_markup",
            "material_markup",
            "equipment_markup",
            "subcontract_markup",
            "contingency_percent",
            "contingency_of",
            "show_contingency",
            "show_trips",
            "minimum_charge",
            "hours_per_day",
            "runs",
            "run_hours",
            "days_per_run",
            "visit_hours",
            "detail",
            "scope_by",
            "show_walls",
            "valid_days",
        )
        widgets = {
            "detail": forms.RadioSelect,
            "scope_by": forms.RadioSelect,
        }
        labels = {
            "detail": "Prices",
            "scope_by": "The work described",
            "show_walls": "How the walls look, drawn",
            "contingency_of": "Contingency is",
        }
        help_texts = {
            "show_trips": "Else supply runs and return visits are spread over the work.",
            "show_walls": "Of rooms whose cabinets are listed on the plan, with the list and sizes.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        offer_choices(self, "detail", Detail.choices)
        offer_choices(self, "contingency_of", ContingencyOf.choices)
        for name in ("labor_markup", "material_markup", "equipment_markup", "subcontract_markup"):
            # A sync of its own: the reading must not cut off the form's saving.
            self.fields[name].widget.attrs |= {**reading_attrs("markup-reading"), "hx-sync": "this:replace"}


class KeepForm(forms.Form):
    """The share of the price to keep four times out of five."""

    keep = NumberField(label="Margin to keep, %", most=Decimal(95), places=2)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)


class OnHandForm(MergesEdits, forms.Form):
    """How much of each material of a draft is on hand, in the material's own unit; empty for none.

    What was said of materials that the work doesn't take now is kept for when it does.
    """

    def __init__(
        self, data: Any = None, *, estimate: Estimate, lines: Sequence[MaterialLine], metric: bool
    ) -> None:
        self.estimate = estimate
        bought = [line.material for line in lines if line.material.kind == "material"]
        self.codes = {f"on-{material.code}": material.code for material in bought}
        kept = estimate.on_hand
        super().__init__(
            data, initial={name: kept[code]["typed"] for name, code in self.codes.items() if code in kept}
        )
        for line in (line for line in lines if line.material.code in self.codes.values()):
            material = line.material
            required = f"{format_amount(line.required, material.unit, metric)} required"
            self.fields[f"on-{material.code}"] = AmountField(
                unit=material.unit,
                metric=metric,
                label=material.name,
                required=False,
                help_text=f"{required}; whole sticks count" if line.cuts else required,
            )
        set_plain_messages(self.fields)

    def save(self) -> None:
        """Keep what is on hand with the estimate."""
        for name, code in self.codes.items():
            self.estimate.on_hand.pop(code, None)
            if amount := self.cleaned_data[name]:
                self.estimate.on_hand[code] = {"typed": self.data[name], "amount": f"{amount}"}
        self.estimate.save(update_fields=["on_hand"])


class JobPriceForm(ModelForm[Job]):
    """What of the price belongs to the job: its sales tax, and where the client agrees to it."""

    tax_percent = NumberField(label="Sales tax, %", most=Decimal(30), places=4)

    class Meta:
        model = Job
        fields = ("tax_policy", "tax_percent", "signing_place")
        widgets = {"tax_policy": forms.RadioSelect, "signing_place": forms.RadioSelect}
        labels = {"tax_policy": "Who pays it, and on what"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        offer_choices(self, "tax_policy", TaxPolicy.choices)
        offer_choices(self, "signing_place", SigningPlace.choices)


class WordsForm(ModelForm[Estimate]):
    """What the estimate says beside the prices."""

    class Meta:
        model = Estimate
        fields = ("summary", "letter", "assumptions", "exclusions", "left_as_is", "terms")
        help_texts = {
            "summary": "Stands on the first page. Leave it empty and it is written from the work.",
            "letter": "Your own words, such as what you talked about. Leave it empty for none.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        for field in self.fields.values():
            field.widget.attrs["rows"] = 5
        self.fields["summary"].widget.attrs["rows"] = 3
