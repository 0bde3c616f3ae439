"""The forms of hidden conditions, and of what was opened before quoting."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import NumberField, PriceField
from catalog.forms.model_form import ModelForm, offer_choices, offer_rows, set_plain_messages
from catalog.models import Assembly
from catalog.rows.values import CatalogReader
from estimating.changes.price import hour_price
from estimating.client.photos import MOST_PHOTOS
from estimating.forms.changes import require_positive
from estimating.forms.photos import PhotosField, check_room_for
from estimating.models import Estimate, HiddenCondition
from estimating.pricing.hidden_condition_suggestions import Suggestion
from estimating.pricing.hidden_conditions import (
    METRIC_UNITS,
    NoUnitPrice,
    metric_unit,
    unit_of,
    unit_price,
)
from estimating.pricing.price import Policy
from estimating.takeoff.work import Conventions

LEAST, MOST = Decimal("0.01"), Decimal(100_000)


def least_field() -> NumberField:
    """Make the field of the quantity that is charged at the least."""
    return NumberField(
        label="Minimum",
        least=LEAST,
        most=MOST,
        places=2,
        required=False,
        help_text="Each time it shows, since setting up for less costs as much. May be left empty.",
    )


def most_field() -> NumberField:
    """Make the field of the limit up to which the price holds."""
    return NumberField(
        label="Up to how much",
        least=LEAST,
        most=MOST,
        places=2,
        help_text="The price holds up to here. Above it you talk first.",
    )


def check_least(typed: dict[str, Any]) -> None:
    """Refuse a least quantity above the limit. Raises ValidationError."""
    least, most = typed.get("least"), typed.get("most")
    if least and most and least > most:
        raise ValidationError({"least": "The least is above the limit: type less, or raise the limit."})


class ConditionForm(ModelForm[HiddenCondition]):
    """A hidden condition with a price typed for one unit."""

    price = PriceField(label="Price of one, as the client pays it", help_text="Before sales tax.")
    least = least_field()
    most = most_field()

    class Meta:
        model = HiddenCondition
        fields = ("name", "unit", "price", "least", "most", "by_receipt", "caution")
        widgets = {"unit": forms.RadioSelect, "caution": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "name": "Such as rotten subfloor cut out and replaced.",
            "by_receipt": "By the terms for changes; for repairs whose material is known only then.",
            "caution": "Where structure, wiring, pipes or old materials need somebody licensed, say so here.",
        }

    def __init__(self, *args: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        left_out = set(METRIC_UNITS if metric else METRIC_UNITS.values()) - {self.instance.unit}
        units = [(unit, label) for unit, label in HiddenCondition.Unit.choices if unit not in left_out]
        offer_choices(self, "unit", units)

    def clean_price(self) -> Decimal:
        return require_positive(self.cleaned_data["price"])

    def clean(self) -> dict[str, Any]:
        super().clean()
        check_least(self.cleaned_data)
        return self.cleaned_data


def suggested_values(suggestion: Suggestion, policy: Policy, metric: bool) -> dict[str, Any]:
    """Return the values that a suggestion fills in; by the hour it has the price of an hour of a change."""
    return {
        "name": suggestion.name,
        "unit": metric_unit(suggestion.unit, metric),
        "price": hour_price(policy) if suggestion.unit == "hour" else "",
        "by_receipt": suggestion.by_receipt,
        "caution": suggestion.caution,
    }


class AssemblyConditionForm(ModelForm[HiddenCondition]):
    """A hidden condition whose price is computed from an assembly, for as much as is usually found."""

    assembly = forms.ModelChoiceField(label="Work out from", queryset=Assembly.objects.none())
    name = forms.CharField(
        label="What may be found, and what is done",
        max_length=120,
        required=False,
        help_text="Empty: the name of the assembly.",
    )
    usual = NumberField(
        label="Priced as if there were",
        least=LEAST,
        most=MOST,
        places=2,
        help_text=(
            "As much as usually shows, in the unit of the assembly. Whole packages and setting up are "
            "spread over it."
        ),
    )
    least = least_field()
    most = most_field()

    class Meta:
        model = HiddenCondition
        fields = ("assembly", "name", "usual", "least", "most", "by_receipt", "caution")
        widgets = {"caution": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        reader: CatalogReader,
        policy: Policy,
        conventions: Conventions,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.reader, self.policy, self.conventions = reader, policy, conventions
        offered = Assembly.objects.filter(retired=False)
        if self.instance.assembly_id:
            offered |= Assembly.objects.filter(pk=self.instance.assembly_id)
        offer_rows(self, "assembly", offered.order_by("name"), "Choose an assembly")
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        check_least(typed)
        assembly, usual = typed.get("assembly"), typed.get("usual")
        if assembly is None or usual is None:
            return typed
        spec = self.reader.assembly(assembly.pk)
        self.instance.unit = unit_of(spec, self.reader.firm.metric)
        try:
            unit_price(spec, usual, self.instance.unit, self.policy, self.conventions)
        except NoUnitPrice as error:
            raise ValidationError({"assembly": str(error)}) from error
        typed["name"] = typed.get("name") or assembly.name
        typed["caution"] = typed.get("caution") or " ".join(assembly.caution.split())[:400]
        return typed


class OpenedForm(ModelForm[Estimate]):
    """What was opened and looked at before quoting, with photos."""

    photos = PhotosField(
        label="Photos of it",
        required=False,
        help_text=f"JPEG or PNG, at most 10 MB each, {MOST_PHOTOS} in all. Place and camera are removed.",
    )

    class Meta:
        model = Estimate
        fields = ("opened",)
        labels = {"opened": "What you opened and looked at, one a line"}
        help_texts = {"opened": "Such as: lifted one plank at the sink, dry; looked behind the range panel."}
        widgets = {"opened": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_photos(self) -> list[bytes]:
        photos: list[bytes] = self.cleaned_data["photos"]
        check_room_for(photos, self.instance.photos.count())
        return photos
