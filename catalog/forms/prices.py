"""What is typed to bring prices up to date: a supplier's file, the walk, an index."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import NumberField, PriceField
from catalog.forms.model_form import set_plain_messages
from catalog.models import Package, Supplier
from catalog.money.amounts import format_price
from catalog.money.price_change import question_about
from catalog.money.price_index import SERIES, PriceIndex
from catalog.price_lists.any_file import NEEDED, ROLES, Table, read_table
from catalog.price_lists.csv_file import MOST_BYTES, UnreadablePriceList

RIGHT = "This is right"


class SupplierFileForm(forms.Form):
    """A file or pasted lines, and whose prices they are."""

    supplier = forms.ModelChoiceField(
        Supplier.objects.filter(retired=False), label="Whose prices", empty_label="Choose"
    )
    file = forms.FileField(
        label="A file, CSV or XLSX",
        required=False,
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.xlsx"}),
    )
    pasted = forms.CharField(
        label="Or lines pasted from an e-mail or a web page",
        required=False,
        max_length=200_000,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="The first line names the columns. Cells are parted by tabs, commas or semicolons.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        upload, pasted = cleaned.get("file"), cleaned.get("pasted") or ""
        if bool(upload) == bool(pasted.strip()):
            raise ValidationError("Choose a file or paste lines: one of the two.")
        data = upload.read(MOST_BYTES + 1) if upload else pasted.encode()
        try:
            cleaned["table"] = read_table(data)
        except UnreadablePriceList as error:
            self.add_error("file" if upload else "pasted", str(error))
        return cleaned


class ColumnsForm(forms.Form):
    """Which column of the file is which."""

    def __init__(self, data: Any, *, table: Table, columns: dict[str, int]) -> None:
        super().__init__(data)
        choices = [("", "not in this file"), *((str(i), name) for i, name in enumerate(table.headings))]
        for role, (label, _) in ROLES.items():
            self.fields[role] = forms.ChoiceField(
                label=label, choices=choices, required=role in NEEDED, initial=str(columns.get(role, ""))
            )
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        chosen = [place for place in cleaned.values() if place]
        if len(chosen) != len(set(chosen)):
            raise ValidationError("A column can be one thing only: choose another for one of them.")
        return cleaned

    def columns(self) -> dict[str, int]:
        return {role: int(place) for role, place in self.cleaned_data.items() if place}


class PriceWalkForm(forms.Form):
    """A field a package: the price as it is today; what is left empty stays."""

    def __init__(self, data: Any, *, packages: Sequence[Package]) -> None:
        super().__init__(data)
        self.packages = packages
        for package in packages:
            self.fields[f"price-{package.pk}"] = PriceField(
                label=f"{package.material.name}, {package.name}", required=False
            )
            self.fields[f"right-{package.pk}"] = forms.BooleanField(label=RIGHT, required=False)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for package in self.packages:
            price = cleaned.get(f"price-{package.pk}")
            if price is None or cleaned.get(f"right-{package.pk}"):
                continue
            if question := question_about(package.price.amount, price):
                self.add_error(f"price-{package.pk}", f"{question} Tick that it is right, or type another.")
        return cleaned

    def lines(self) -> list[dict[str, Any]]:
        """Return the fields of each package; the tick is there once it is asked about."""
        lines = []
        for package in self.packages:
            price, right = self[f"price-{package.pk}"], self[f"right-{package.pk}"]
            lines.append({"package": package, "price": price, "right": right if price.errors else None})
        return lines

    def save(self, today: date) -> int:
        """Put the typed prices on their packages; return how many."""
        typed = 0
        for package in self.packages:
            price = self.cleaned_data.get(f"price-{package.pk}")
            if price is None:
                continue
            package.price, package.priced_on, package.estimated_by = price, today, ""
            package.save(update_fields=["price", "price_currency", "priced_on", "estimated_by"])
            typed += 1
        return typed


class PriceIndexForm(forms.Form):
    """An index with its value in two months, and the packages whose price it moves."""

    name = forms.CharField(
        label="Index",
        max_length=80,
        widget=forms.TextInput(attrs={"list": "index-names", "autocomplete": "off"}),
        help_text="Such as a producer price series of the U.S. Bureau of Labor Statistics.",
    )
    then_month = forms.CharField(label="Month of the prices", max_length=20, help_text="Such as Nov 2025.")
    then = NumberField(label="Its value in that month", least=Decimal("0.001"), most=Decimal(100_000))
    now_month = forms.CharField(label="Newest month", max_length=20, help_text="Such as Oct 2026.")
    now = NumberField(label="Its value in that month", least=Decimal("0.001"), most=Decimal(100_000))
    packages = forms.ModelMultipleChoiceField(
        Package.objects.none(), label="Prices to move", widget=forms.CheckboxSelectMultiple
    )
    names = SERIES

    def __init__(self, data: Any, *, old: Sequence[Package]) -> None:
        super().__init__(data)
        field = self.fields["packages"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = Package.objects.filter(pk__in=[package.pk for package in old])
        field.choices = [(package.pk, _with_price(package)) for package in old]
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        then, now = cleaned.get("then"), cleaned.get("now")
        if then and now and not Decimal("0.5") <= now / then <= 2:
            self.add_error("now", "That moves prices to less than half or more than twice: look it up again.")
        return cleaned

    def index(self) -> PriceIndex:
        cleaned = self.cleaned_data
        return PriceIndex(
            cleaned["name"], cleaned["then"], cleaned["then_month"], cleaned["now"], cleaned["now_month"]
        )

    def save(self) -> int:
        """Move the prices; each keeps the day on which it was seen, and says by what it was moved."""
        index = self.index()
        for package in self.cleaned_data["packages"]:
            package.price = index.moved(package.price.amount)
            package.estimated_by = index.in_words()[:200]
            package.save(update_fields=["price", "price_currency", "estimated_by"])
        return len(self.cleaned_data["packages"])


def _with_price(package: Package) -> str:
    seen = f"{package.priced_on:%b %Y}" if package.priced_on else "no date"
    return f"{package.material.name}, {package.name}: {format_price(package.price.amount)}, {seen}"
