"""What is typed of receipts, their lines, and miles."""

from base64 import b64decode, b64encode
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.signing import BadSignature, Signer

from catalog.fields.form import NumberField
from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.models import Package
from catalog.money.amounts import format_price
from estimating.forms.photos import PhotoInput, PhotosField
from estimating.plain_text import day_in_words
from jobsite.forms.fields import PaidField, PastDayField
from jobsite.hours.targets import SignedChange
from jobsite.models import Mileage, ReceiptKept, ReceiptLine
from saving.forms import MergesEdits

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

PIXELS = 2000  # of the longest side: small print of a long receipt can still be read
CARRIED = 1_500_000  # bytes; with more, the form would be larger than Django reads
_SIGNER = Signer(salt="photo of a receipt")


class ReceiptPhotoField(PhotosField):
    """One photo of a receipt, cleaned to JPEG bytes; none is fine."""

    widget = PhotoInput(attrs={"accept": "image/jpeg,image/png", "multiple": False})

    def clean(self, data: Any, initial: Any = None) -> list[bytes]:
        files: Sequence[UploadedFile[bytes]] = [file for file in (data or []) if file]
        if len(files) > 1:
            raise ValidationError(f"That is {len(files)} photos: a receipt has one. Lay long ones in folds.")
        return super().clean(files, initial)


class ReceiptForm(MergesEdits, forms.Form):
    """A receipt as the paper shows it: day, store, total with tax, the tax in it, a photo."""

    photos = ReceiptPhotoField(
        label="Photo of the receipt", required=False, help_text="A JPEG or PNG of at most 10 MB."
    )
    on = PastDayField(label="Day")
    supplier = forms.CharField(label="Store", max_length=120, required=False)
    total = PaidField(label="Total paid, tax included")
    tax = PaidField(label="Sales tax in it", required=False, help_text="Empty: none.")
    says = forms.CharField(label="What was bought", max_length=120)
    is_return = forms.BooleanField(label="It went back to the store: money came back", required=False)
    change = forms.ChoiceField(label="Billed to the client with", required=False)

    def __init__(
        self, *args: Any, changes: Iterable[SignedChange], stores: Iterable[str], today: date, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        self.fields["supplier"].widget.attrs |= {"list": "stores", "autocomplete": "off"}
        self.stores = list(stores)
        by_the_hour = [(str(change.document), change.name) for change in changes if change.by_the_hour]
        if by_the_hour:
            offer_choices(self, "change", [("", "Nothing: it is in the price"), *by_the_hour])
        else:
            del self.fields["change"]
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        self._take_carried_photo()
        total, tax = self.cleaned_data.get("total"), self.cleaned_data.get("tax")
        if total == 0:
            self.add_error("total", "Type what was paid, such as 26.80.")
        elif total and tax and tax >= total:
            self.add_error("tax", f"The tax is part of the {format_price(total)}: type less than that.")
        return self.cleaned_data

    def _take_carried_photo(self) -> None:
        carried = self.data.get("carried_photo", "")
        if not carried or self.cleaned_data.get("photos") != []:  # another was chosen, or can't be read
            return
        try:
            self.cleaned_data["photos"] = [b64decode(_SIGNER.unsign(carried))]
        except BadSignature:
            self.add_error("photos", "The photo didn't come through. Choose it again.")

    def carried_photo(self) -> str:
        """Return the photo for the form to hold while something else is wrong: phones keep no file for it."""
        photos = self.cleaned_data.get("photos", []) if self.is_bound else []
        return "".join(_SIGNER.sign(b64encode(jpeg).decode()) for jpeg in photos if len(jpeg) < CARRIED)

    def fill(self, row: ReceiptKept) -> ReceiptKept:
        """Put what was typed into a row; what went back is below zero."""
        typed, sign = self.cleaned_data, -1 if self.cleaned_data["is_return"] else 1
        tax = typed["tax"] or Decimal("0.00")
        row.on, row.supplier, row.says = typed["on"], typed["supplier"], typed["says"]
        row.cost, row.tax = sign * (typed["total"] - tax), sign * tax
        if "change" in self.fields:
            row.document_id = int(typed["change"]) if typed["change"] else None
        return row


def receipt_as_typed(row: ReceiptKept) -> dict[str, Any]:
    """Return a receipt as its form holds it."""
    return {
        "on": row.on,
        "supplier": row.supplier,
        "total": abs(row.total),
        "tax": abs(row.tax.amount) or None,
        "says": row.says,
        "is_return": row.total < 0,
        "change": row.document_id or "",
    }


class ReceiptLineForm(forms.Form):
    """A line of a receipt: what, how many, what they cost together before tax."""

    package = forms.ChoiceField(label="From the catalog", required=False)
    says = forms.CharField(
        label="Or in words", max_length=120, required=False, help_text="Where it isn't in the catalog."
    )
    quantity = NumberField(label="How many", least=Decimal("0.01"), most=Decimal(100_000), places=2)
    amount = PaidField(label="What they cost together, before tax")

    def __init__(self, *args: Any, packages: Iterable[Package], needed: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.packages = {str(package.pk): package for package in packages}
        codes = set(needed)
        here = [package for package in self.packages.values() if package.material.code in codes]
        others = [package for package in self.packages.values() if package.material.code not in codes]
        groups = [
            ("On this job's list", [(str(package.pk), _named(package)) for package in here]),
            ("The rest of the catalog", [(str(package.pk), _named(package)) for package in others]),
        ]
        offer_choices(self, "package", [("", "Not in the catalog"), *(group for group in groups if group[1])])
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.cleaned_data.get("package") and not self.cleaned_data.get("says"):
            self.add_error("says", "Choose it from the catalog, or say in words what it is.")
        return self.cleaned_data

    def fill(self, line: ReceiptLine) -> ReceiptLine:
        """Put what was typed into a line; of what went back the amount is below zero."""
        typed = self.cleaned_data
        package = self.packages.get(typed["package"])
        line.package, line.material = package, package.material if package else None
        line.says, line.quantity = typed["says"], typed["quantity"]
        line.amount = -typed["amount"] if line.receipt.total < 0 else typed["amount"]
        return line


def _named(package: Package) -> str:
    seen = f" on {day_in_words(package.priced_on)}" if package.priced_on else ""
    return f"{package}: {format_price(package.price.amount)}{seen}"


class MileageForm(MergesEdits, forms.Form):
    """Miles of one day; the rate is the owner's own."""

    on = PastDayField(label="Day")
    miles = NumberField(label="Miles", least=Decimal("0.1"), most=Decimal(5000), places=1)
    rate = NumberField(
        label="Dollars a mile",
        least=Decimal("0.0001"),
        most=Decimal(10),
        places=4,
        help_text="Your own rate, such as the one your tax adviser names. It is kept for the next time.",
    )
    says = forms.CharField(label="Where to", max_length=120, required=False)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        set_plain_messages(self.fields)

    def fill(self, row: Mileage) -> Mileage:
        """Put what was typed into a row."""
        for name in ("on", "miles", "rate", "says"):
            setattr(row, name, self.cleaned_data[name])
        return row
