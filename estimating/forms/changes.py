"""The forms of a change order: why there is one, with photos, and what it adds, deletes or settles."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import BaseValidator

from catalog.fields.form import MarkupEntryField, NumberField, PriceField
from catalog.forms.model_form import ModelForm, offer_choices, reading_attrs, set_plain_messages
from catalog.money.amounts import format_price, parse_price
from estimating.client.photos import MOST_PHOTOS
from estimating.contract.lines import ContractLine
from estimating.contract.unit_prices import UnitPrice
from estimating.forms.photos import PhotosField
from estimating.forms.work import WorkItemForm
from estimating.models import ChangeLine, ChangeOrder, Estimate
from estimating.models.change_order import MOST_DAYS
from estimating.pricing.hidden_conditions import in_units

# How much of a hidden condition is asked for, by its unit; other units are named as they are.
QUANTITY_WORDS = {"each": "many", "hour": "many hours", "day": "many days", "m2": "much, in m²"}


class PriceOrCreditField(PriceField):
    """A price in dollars and cents, or a credit with a minus sign, which a decimal keypad lacks."""

    inputmode = ""

    def read(self, text: str) -> Decimal:
        return parse_price(text, allow_negative=True)


class ChangeForm(ModelForm[ChangeOrder]):
    """Why there is a change; photos come before the words."""

    photos = PhotosField(
        label="Photos of what was found",
        required=False,
        help_text=f"JPEG or PNG, at most 10 MB each, {MOST_PHOTOS} in all. Place and camera are removed.",
    )
    days = forms.IntegerField(
        label="Working days that it adds",
        required=False,
        min_value=-MOST_DAYS,
        max_value=MOST_DAYS,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Whole days; with a minus sign those that it saves. Empty: the completion date stays.",
    )
    field_order = ("photos", "title", "reason", "found", "asked_by", "days", "payment")

    class Meta:
        model = ChangeOrder
        fields = ("title", "reason", "found", "asked_by", "days", "payment")
        widgets = {"reason": forms.RadioSelect, "found": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "title": "A few words, such as rotten subfloor under the sink.",
            "asked_by": "Who asked for it, or who found it.",
            "payment": "Such as: with the next payment after it's signed.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        # What is given up begins at the invoice that asked for it.
        is_given = self.instance.reason == ChangeOrder.Reason.GIVEN
        reasons = [reason for reason in ChangeOrder.Reason if is_given or reason != ChangeOrder.Reason.GIVEN]
        offer_choices(self, "reason", [(reason.value, reason.label) for reason in reasons])
        whole_days = f"Type whole days, from -{MOST_DAYS} to {MOST_DAYS}."
        for name in ("invalid", "min_value", "max_value"):
            self.fields["days"].error_messages[name] = whole_days
        for validator in self.fields["days"].validators:
            if isinstance(validator, BaseValidator):
                validator.message = whole_days

    def clean_days(self) -> int:
        days: int | None = self.cleaned_data["days"]
        return days or 0

    def clean_photos(self) -> list[bytes]:
        photos: list[bytes] = self.cleaned_data["photos"]
        already = self.instance.photos.count() if self.instance.pk else 0
        if already + len(photos) > MOST_PHOTOS:
            raise ValidationError(
                f"A change carries at most {MOST_PHOTOS} photos and has {already}: remove one first."
            )
        return photos


class QuickLineForm(WorkItemForm):
    """Hours and costs that a change adds, at a fixed price or as time and material up to it."""

    at_most = forms.BooleanField(
        label="Time and material, not to exceed this",
        required=False,
        help_text="The hours and costs typed here are the limit; billed is what it takes.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.drop_options()


class LumpSumForm(ModelForm[ChangeLine]):
    """Work at a price for a unit that both sides know; the price is what the client pays."""

    title = forms.CharField(label="What", max_length=120)
    quantity = NumberField(label="How much", least=Decimal("0.01"), most=Decimal(100_000), places=2)
    unit = forms.CharField(label="Unit", max_length=20, required=False, help_text="Such as sq ft or days.")
    amount = PriceOrCreditField(
        label="Price of one, as the client pays it", help_text="With a minus sign it is a credit."
    )

    class Meta:
        model = ChangeLine
        fields = ("title", "quantity", "unit", "amount")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)


class DifferenceForm(ModelForm[ChangeLine]):
    """A difference in price that both agreed on: what the client pays more, or less."""

    title = forms.CharField(
        label="For what", max_length=120, help_text="Such as: better faucet than in the estimate."
    )
    amount = PriceOrCreditField(
        label="Difference, as the client pays it", help_text="With a minus sign the client pays less."
    )

    class Meta:
        model = ChangeLine
        fields = ("title", "amount")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_amount(self) -> Decimal:
        amount: Decimal = self.cleaned_data["amount"]
        if not amount:
            raise ValidationError("That is no difference: type what the client pays more or less.")
        return amount


class UnitPriceForm(forms.Form):
    """How much of a hidden condition was found; its price isn't asked for, as it was signed."""

    quantity = NumberField(label="How much", least=Decimal("0.01"), most=Decimal(100_000), places=2)
    bought = PriceField(
        label="What you bought for it, before sales tax",
        required=False,
        help_text="By its receipt; what the terms for changes put on top comes by itself.",
    )

    def __init__(self, *args: Any, price: UnitPrice, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.price, self.today = price, today
        self.limit, self.used = in_units(price.most, price.unit), in_units(price.used, price.unit)
        self.least = in_units(price.least, price.unit) if price.least else ""
        self.fields["quantity"].label = f"How {QUANTITY_WORDS.get(price.unit, f'much, in {price.unit}')}"
        if not price.by_receipt:
            del self.fields["bought"]
        set_plain_messages(self.fields)

    def clean_quantity(self) -> Decimal:
        quantity: Decimal = self.cleaned_data["quantity"]
        if reason := self.price.why_not(quantity, self.today):
            raise ValidationError(reason)
        return self.price.counted(quantity)


class DeletedWorkForm(forms.Form):
    """Work of the contract that won't be done; it is named by its position among the lines offered."""

    lines = forms.TypedMultipleChoiceField(
        label="Remove", coerce=int, widget=forms.CheckboxSelectMultiple, choices=()
    )
    part = PriceField(
        label="Only a part: how much of its price",
        required=False,
        help_text="For one piece of work, such as 2 of 6 lights. Empty: all of what is ticked.",
    )

    def __init__(self, *args: Any, lines: Sequence[ContractLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = lines
        choices = [(f"{n}", f"{line.title}, {format_price(line.left)}") for n, line in enumerate(lines)]
        offer_choices(self, "lines", choices)
        set_plain_messages(self.fields)
        self.fields["lines"].error_messages["required"] = "Tick at least one piece of work."

    def clean(self) -> dict[str, Any]:
        super().clean()
        part, chosen = self.cleaned_data.get("part"), self.cleaned_data.get("lines", ())
        if not part:
            return self.cleaned_data
        if len(chosen) > 1:
            self.add_error("part", "Tick one piece of work to take a part of it out, or leave this empty.")
        elif chosen and not Decimal(0) < part < self.offered[chosen[0]].left:
            left = format_price(self.offered[chosen[0]].left)
            self.add_error("part", f"{left} is left of it: type less than that, or leave this empty.")
        return self.cleaned_data

    def chosen(self) -> list[ContractLine]:
        """Return the lines that were ticked."""
        return [self.offered[position] for position in self.cleaned_data["lines"]]


class OwnerFurnishedForm(forms.Form):
    """Material of a contract line that the client now brings."""

    line = forms.TypedChoiceField(label="Of which work", coerce=int, choices=())
    title = forms.CharField(label="What the client brings", max_length=120)
    cost = PriceField(
        label="What the work holds for it, before tax and markup",
        help_text="As you priced it; sales tax and markup are credited with it.",
    )

    def __init__(self, *args: Any, lines: Sequence[ContractLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = lines
        titles = [(f"{position}", line.title) for position, line in enumerate(lines)]
        offer_choices(self, "line", [("", "Choose"), *titles])
        set_plain_messages(self.fields)

    def chosen(self) -> ContractLine:
        """Return the line whose material it is."""
        position: int = self.cleaned_data["line"]
        return self.offered[position]

    def clean_cost(self) -> Decimal:
        return require_positive(self.cleaned_data["cost"])


class AllowanceChoiceForm(forms.Form):
    """What was chosen for an allowance, and its cost."""

    title = forms.CharField(label="What was chosen", max_length=120)
    cost = PriceField(
        label="What it costs, before sales tax", help_text="From the invoice or the shop's offer."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_cost(self) -> Decimal:
        return require_positive(self.cleaned_data["cost"])


class ChangeTermsForm(ModelForm[Estimate]):
    """The terms for later changes that an estimate states."""

    change_markup = MarkupEntryField(label="On what a change buys, and on the difference of an allowance")
    change_fee = PriceField(label="Fee for each change that adds work")
    change_minimum = PriceField(label="Minimum charge of a change that adds work")
    deduct_keeps_percent = NumberField(
        label="Kept on deductive changes, %",
        most=Decimal(100),
        places=2,
        help_text="With 0, work that is removed is credited at its full price in the contract.",
    )

    class Meta:
        model = Estimate
        fields = ("change_markup", "change_fee", "change_minimum", "deduct_keeps_percent")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.fields["change_markup"].widget.attrs |= reading_attrs("markup-reading")


def require_positive(amount: Decimal) -> Decimal:
    """Return the amount. Raises ValidationError where it isn't above zero."""
    if amount <= 0:
        raise ValidationError("That is nothing: type what it costs, such as 126.00.")
    return amount
