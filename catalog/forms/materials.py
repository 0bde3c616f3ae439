"""Forms of materials and of the packages they come in."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from catalog.fields.form import CountField, LengthField, NumberField, PriceField
from catalog.forms.model_form import DATE_ATTRS, ModelForm, offer_rows, set_plain_messages
from catalog.forms.named import NamedForm
from catalog.measures.units import UNITS
from catalog.models import Material, Package, Supplier

UNIT_CHOICES = [
    ("", "Choose a unit"),
    *((code, label if label == code else f"{label} ({code})") for code, label in UNITS),
]
SHORT = forms.Textarea(attrs={"rows": 2})
LENGTHS = {  # the lengths of a material, and the unit in which a metric firm types each
    "sheet_length_nm": "m",
    "sheet_width_nm": "m",
    "thickness_nm": "mm",
    "stick_width_nm": "mm",
}


class MaterialForm(NamedForm[Material]):
    """A material, with the size of its sheets or the width of its sticks where it has one."""

    unit = forms.ChoiceField(
        label="Unit it is used in",
        choices=UNIT_CHOICES,
        help_text="What the work uses up, not how the store packs it: paint in gallons, screws by count.",
    )
    sheet_length_nm = LengthField(
        label="Sheet length", required=False, help_text="Only for what comes in sheets or boards."
    )
    sheet_width_nm = LengthField(label="Sheet width", required=False)
    thickness_nm = LengthField(label="Thickness", required=False, bare="in")
    stick_width_nm = LengthField(
        label="Width of a stick",
        required=False,
        bare="in",
        help_text="What a miter across it adds to the longer side: the width of casing or crown.",
    )

    keeps_days = CountField(
        label="Working days that it can lie on site",
        required=False,
        least=1,
        most=365,
        help_text="Only for what can't be stored: bought no earlier, whatever else a supply run buys ahead.",
    )

    class Meta:
        model = Material
        fields = (
            "name",
            "unit",
            "kind",
            "taxable",
            "sheet_length_nm",
            "sheet_width_nm",
            "thickness_nm",
            "sizes_of",
            "sold_in_sticks",
            "stick_width_nm",
            "keeps_days",
            "caution",
            "note",
            "care",
            "source",
        )
        widgets = {"caution": SHORT, "note": SHORT, "care": SHORT, "source": SHORT}
        help_texts = {
            "sizes_of": "Boards with the same words here are one board in several sizes, among which a job"
            " can choose. Such as 1/2 in drywall.",
            "sold_in_sticks": "Each package is one stick of that length; bought by a cut list.",
            "caution": "Printed with the work that uses it. A line that begins with “At work: ”, such as "
            "what to wear when cutting it, is shown to you alone.",
            "care": "Your own words, on the care sheet that the client gets at the end. Such as: damp cloth "
            "only, no vinegar.",
            "source": "Such as the label, the maker's data sheet, or common practice.",
        }

    def __init__(self, *args: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if metric:
            for name, unit in LENGTHS.items():
                self._length_field(name).use_metric(unit)

    def clean_unit(self) -> str:
        unit: str = self.cleaned_data["unit"]
        material = self.instance
        if material.pk and unit != material.unit and self._is_counted():
            raise ValidationError(
                f"Its packages and the work that uses it count it in {material.unit}, so that stays. "
                "Copy it to have it in another unit."
            )
        return unit

    def _is_counted(self) -> bool:
        return self.instance.packages.exists() or self.instance.used_in.exists()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        for name in LENGTHS:
            if name in cleaned:
                cleaned[name] = self._length_to_store(name)
        if cleaned.get("sold_in_sticks") and cleaned.get("unit", "ft") != "ft":
            self.add_error("sold_in_sticks", "Sticks are cut by the foot: choose feet (ft) as its unit.")
        length, width = cleaned.get("sheet_length_nm"), cleaned.get("sheet_width_nm")
        if (
            "sheet_length_nm" in cleaned
            and "sheet_width_nm" in cleaned
            and (length is None) != (width is None)
        ):
            missing = "sheet_length_nm" if length is None else "sheet_width_nm"
            self.add_error(missing, "A sheet needs both its length and its width.")
        return cleaned

    def _length_field(self, name: str) -> LengthField:
        field = self.fields[name]
        assert isinstance(field, LengthField)
        return field

    def _length_to_store(self, name: str) -> int | None:
        """Return the length typed, or the stored one where the text shown wasn't changed.

        The text shows sixteenths of an inch; what is stored may be finer.
        """
        stored: int | None = self.initial.get(name)
        typed: int | None = self.cleaned_data[name]
        untouched = self.data.get(self.add_prefix(name)) == self._length_field(name).prepare_value(stored)
        return stored if untouched else typed


class PackageForm(ModelForm[Package]):
    """A package of a material, its price, and the day the price was seen: today at first."""

    size = NumberField(label="Holds")
    price = PriceField(label="Price")

    class Meta:
        model = Package
        fields = ("name", "size", "price", "supplier", "priced_on")
        widgets = {"priced_on": forms.DateInput(attrs=DATE_ATTRS, format="%Y-%m-%d")}
        help_texts = {"name": "Such as 5 gal pail, bag, or box of 100."}

    def __init__(self, *args: Any, material: Material, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.material, self.today = material, today
        set_plain_messages(self.fields)
        self.fields["size"].label = "Holds how many" if material.unit == "each" else f"Holds, {material.unit}"
        offer_suppliers(self)
        if not self.instance.pk:
            self.initial.setdefault("priced_on", today)

    def clean_size(self) -> Decimal:
        size: Decimal = self.cleaned_data["size"]
        if size <= 0:
            raise ValidationError("A package that holds nothing can't be bought: type how much it holds.")
        return size

    def clean_priced_on(self) -> date | None:
        return date_seen(self.cleaned_data["priced_on"], self.today)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        name = " ".join(cleaned.get("name", "").split())
        same = self.material.packages.filter(name__iexact=name, supplier=cleaned.get("supplier"))
        if name and same.exclude(pk=self.instance.pk).exists():
            self.add_error("name", "This supplier's package of that name is here already: change its price.")
        return cleaned

    def save(self, commit: bool = True) -> Package:
        self.instance.material = self.material
        self.instance.estimated_by = ""
        return super().save(commit)


class PackagePriceForm(ModelForm[Package]):
    """The new price of a package, its supplier, and the day the price was seen: today unless changed."""

    price = PriceField(label="Price")

    class Meta:
        model = Package
        fields = ("price", "supplier", "priced_on")
        widgets = {"priced_on": forms.DateInput(attrs=DATE_ATTRS, format="%Y-%m-%d")}

    def __init__(self, data: Mapping[str, str] | None, *, instance: Package, today: date) -> None:
        super().__init__(data, auto_id=f"package-{instance.pk}-%s", instance=instance)
        self.today = today
        self.initial["priced_on"] = today
        if not self.is_bound:
            self.fields["price"].widget.attrs["autofocus"] = True
        set_plain_messages(self.fields)
        offer_suppliers(self)

    def clean_priced_on(self) -> date | None:
        return date_seen(self.cleaned_data["priced_on"], self.today)

    def save(self, commit: bool = True) -> Package:
        self.instance.estimated_by = ""
        return super().save(commit)

    def clean_supplier(self) -> Supplier | None:
        supplier: Supplier | None = self.cleaned_data["supplier"]
        same = Package.objects.filter(
            material=self.instance.material, name__iexact=self.instance.name, supplier=supplier
        )
        if same.exclude(pk=self.instance.pk).exists():
            raise ValidationError("This supplier's package of that name is in the list: change that one.")
        return supplier


def offer_suppliers(form: ModelForm[Package]) -> None:
    """Have a package's form offer the suppliers that are not retired, and the one that the package has."""
    offered = Q(retired=False) | Q(pk=form.instance.supplier_id)
    offer_rows(form, "supplier", Supplier.objects.filter(offered), "No supplier named")


def date_seen(day: date | None, today: date) -> date | None:
    """Return the day a price was seen. Raises ValidationError where it hasn't come yet."""
    if day is not None and day > today:
        raise ValidationError("That day hasn't come yet: type the day on which you saw the price.")
    return day
