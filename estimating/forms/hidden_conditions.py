"""What he types of conditions that may be found, and of what he opened before quoting."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from djmoney.money import Money

from catalog.fields.form import NumberField, PriceField
from catalog.forms.named import say_plainly
from catalog.models import Assembly
from catalog.rows.values import CatalogSpecs
from estimating.client.photos import MOST_PHOTOS
from estimating.forms.changes import more_than_nothing
from estimating.forms.photos import PhotosField
from estimating.models import Estimate, HiddenCondition
from estimating.pricing.hidden_conditions import METRIC, NoUnitPrice, unit_of, unit_price
from estimating.pricing.price import Policy
from estimating.takeoff.takeoff import Conventions

LEAST, MOST = Decimal("0.01"), Decimal(100_000)


def least_field() -> NumberField:
    return NumberField(
        label="Counted as at least",
        least=LEAST,
        most=MOST,
        places=2,
        required=False,
        help_text="Each time it shows, since setting up for less costs as much. May be left empty.",
    )


def check_least(typed: dict[str, Any]) -> None:
    """Raises ValidationError where the least is more than the limit."""
    least, most = typed.get("least"), typed.get("most")
    if least and most and least > most:
        raise ValidationError({"least": "The least is above the limit: type less, or raise the limit."})


class ConditionForm(forms.ModelForm):
    """A condition with a price typed for one unit."""

    price = PriceField(label="Price of one, as the client pays it", help_text="Before sales tax.")
    least = least_field()
    most = NumberField(
        label="Up to how much",
        least=LEAST,
        most=MOST,
        places=2,
        help_text="The price holds up to here. Above it you talk first.",
    )

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
        say_plainly(self.fields)
        left_out = set(METRIC if metric else METRIC.values()) - {self.instance.unit}
        self.fields["unit"].choices = [
            (unit, label) for unit, label in HiddenCondition.Unit.choices if unit not in left_out
        ]

    def clean_price(self) -> Money:
        return more_than_nothing(self.cleaned_data["price"])

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        check_least(typed)
        return typed


class WorkedOutForm(forms.ModelForm):
    """A condition whose price is worked out from an assembly, for as much as usually is found."""

    assembly = forms.ModelChoiceField(
        label="Work out from", queryset=Assembly.objects.none(), empty_label="Choose an assembly"
    )
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
    most = NumberField(
        label="Up to how much",
        least=LEAST,
        most=MOST,
        places=2,
        help_text="The price holds up to here. Above it you talk first.",
    )

    class Meta:
        model = HiddenCondition
        fields = ("assembly", "name", "usual", "least", "most", "by_receipt", "caution")
        widgets = {"caution": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        specs: CatalogSpecs,
        policy: Policy,
        conventions: Conventions,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.specs, self.policy, self.conventions = specs, policy, conventions
        offered = Assembly.objects.filter(retired=False) | Assembly.objects.filter(
            pk=self.instance.assembly_id
        )
        self.fields["assembly"].queryset = offered.order_by("name")
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        check_least(typed)
        assembly, usual = typed.get("assembly"), typed.get("usual")
        if assembly is None or usual is None:
            return typed
        spec = self.specs.assembly(assembly.pk)
        self.instance.unit = unit_of(spec, self.specs.firm.metric)
        try:
            unit_price(spec, usual, self.instance.unit, self.policy, self.conventions)
        except NoUnitPrice as error:
            raise ValidationError({"assembly": str(error)}) from error
        typed["name"] = typed.get("name") or assembly.name
        typed["caution"] = typed.get("caution") or " ".join(assembly.caution.split())[:400]
        return typed


class OpenedForm(forms.ModelForm):
    """What was opened and looked at before quoting, with photos."""

    photos = PhotosField(
        label="Photos of it",
        required=False,
        help_text=f"JPEG or PNG, at most 10 MB each, {MOST_PHOTOS} in all. Place and camera are taken out.",
    )

    class Meta:
        model = Estimate
        fields = ("opened",)
        labels = {"opened": "What you opened and looked at, one a line"}
        help_texts = {"opened": "Such as: lifted one plank at the sink, dry; looked behind the range panel."}
        widgets = {"opened": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)

    def clean_photos(self) -> list[bytes]:
        photos = self.cleaned_data["photos"]
        kept = self.instance.opened_photos.count()
        if kept + len(photos) > MOST_PHOTOS:
            raise ValidationError(
                f"An estimate carries at most {MOST_PHOTOS} photos and has {kept}: take one off first."
            )
        return photos
