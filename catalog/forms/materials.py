"""What he types about materials and the packages they come in."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import LengthField, NumberField, PriceField
from catalog.forms.named import DAY, NamedForm, say_plainly
from catalog.measures.units import UNITS
from catalog.models import Material, Package, Supplier

UNIT_CHOICES = [("", "Choose a unit"), *((code, f"{label} ({code})") for code, label in UNITS)]
SHORT = forms.Textarea(attrs={"rows": 2})


class MaterialForm(NamedForm):
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
            "caution",
            "note",
            "source",
        )
        widgets = {"caution": SHORT, "note": SHORT, "source": SHORT}
        help_texts = {
            "sizes_of": "Boards with the same words here are one board in several sizes, among which a job"
            " can choose. Such as 1/2 in drywall.",
            "sold_in_sticks": "Each package is one stick of that length; bought by a cut list.",
            "caution": "Printed with the work that uses it. A line that begins with “At work: ”, such as "
            "what to wear when cutting it, is shown to you alone.",
            "source": "Such as the label, the maker's data sheet, or common practice.",
        }

    def __init__(self, *args: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if metric:
            self.fields["sheet_length_nm"].use_metric()
            self.fields["sheet_width_nm"].use_metric()
            self.fields["thickness_nm"].use_metric("mm")
            self.fields["stick_width_nm"].use_metric("mm")

    def clean_unit(self) -> str:
        unit = self.cleaned_data["unit"]
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
        for name in ("sheet_length_nm", "sheet_width_nm", "thickness_nm", "stick_width_nm"):
            if name in cleaned:
                cleaned[name] = self._as_kept(name)
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

    def _as_kept(self, name: str) -> int | None:
        """The stored length where the text shown was left alone: it shows sixteenths, and keeps more."""
        stored = self.initial.get(name)
        untouched = self.data.get(self.add_prefix(name)) == self.fields[name].prepare_value(stored)
        return stored if untouched else self.cleaned_data[name]


class PackageForm(forms.ModelForm):
    size = NumberField(label="Holds")
    price = PriceField(label="Price")

    class Meta:
        model = Package
        fields = ("name", "size", "price", "supplier", "priced_on")
        widgets = {"priced_on": forms.DateInput(attrs=DAY, format="%Y-%m-%d")}
        help_texts = {"name": "Such as 5 gal pail, bag, or box of 100."}

    def __init__(self, *args: Any, material: Material, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.material, self.today = material, today
        say_plainly(self.fields)
        self.fields["size"].label = "Holds how many" if material.unit == "each" else f"Holds, {material.unit}"
        offer_suppliers(self)
        if not self.instance.pk:
            self.initial.setdefault("priced_on", today)

    def clean_size(self) -> Decimal:
        size = self.cleaned_data["size"]
        if size is not None and size <= 0:
            raise ValidationError("A package that holds nothing can't be bought: type how much it holds.")
        return size

    def clean_priced_on(self) -> date | None:
        return seen_by(self.cleaned_data["priced_on"], self.today)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        name = " ".join(cleaned.get("name", "").split())
        same = self.material.packages.filter(name__iexact=name, supplier=cleaned.get("supplier"))
        if name and same.exclude(pk=self.instance.pk).exists():
            self.add_error("name", "This supplier's package of that name is here already: change its price.")
        return cleaned

    def save(self, commit: bool = True) -> Package:
        self.instance.material = self.material
        return super().save(commit)


class PackagePriceForm(forms.ModelForm):
    """The new price of a package, who asks it, and the day it was seen: today unless he says otherwise."""

    price = PriceField(label="Price")

    class Meta:
        model = Package
        fields = ("price", "supplier", "priced_on")
        widgets = {"priced_on": forms.DateInput(attrs=DAY, format="%Y-%m-%d")}

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, auto_id=f"package-{kwargs['instance'].pk}-%s", **kwargs)
        self.today = today
        self.initial["priced_on"] = today
        if not self.is_bound:
            self.fields["price"].widget.attrs["autofocus"] = True
        say_plainly(self.fields)
        offer_suppliers(self)

    def clean_priced_on(self) -> date | None:
        return seen_by(self.cleaned_data["priced_on"], self.today)

    def clean_supplier(self) -> Supplier | None:
        supplier = self.cleaned_data["supplier"]
        same = Package.objects.filter(
            material=self.instance.material, name__iexact=self.instance.name, supplier=supplier
        )
        if same.exclude(pk=self.instance.pk).exists():
            raise ValidationError("This supplier's package of that name is in the list: change that one.")
        return supplier


def offer_suppliers(form: forms.ModelForm) -> None:
    """Suppliers that are not retired, and the one that the package has."""
    field = form.fields["supplier"]
    field.queryset = Supplier.objects.filter(retired=False) | Supplier.objects.filter(
        pk=form.instance.supplier_id
    )
    field.empty_label = "No supplier named"


def seen_by(day: date | None, today: date) -> date | None:
    """The day, where it has come. Raises ValidationError where it hasn't."""
    if day is not None and day > today:
        raise ValidationError("That day hasn't come yet: type the day on which you saw the price.")
    return day
