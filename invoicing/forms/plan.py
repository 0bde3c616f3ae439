"""What he types to draw a plan of payments: milestones, terms, when one is reached, what he pays out."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse

from catalog.fields.form import CountField, EntryField, NumberField, PriceField
from catalog.forms.named import say_plainly
from catalog.money.amounts import format_price, parse_price
from estimating.client.photos import MOST_PHOTOS
from estimating.forms.photos import PhotosField
from invoicing.milestones.plan import PlanFault
from invoicing.models import Milestone, Pattern, PaymentPlan, PlannedChange, PlannedCost
from invoicing.models.plan import MOST_MILESTONES
from invoicing.payment_plan.plan import DrawnPlan, check_rows

YEARS = range(2000, 2200)
BOTH_WAYS = (
    "A deposit that later bills take off is asked for already: set that to 0 first, under Deposit, "
    "retainage, changes."
)
BALANCE = ("balance", "the balance", "rest", "the rest")


class DayField(forms.DateField):
    """A day that somebody could mean."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def clean(self, value: Any) -> date | None:
        day = super().clean(value)
        if day and day.year not in YEARS:
            raise ValidationError(f"Pick a day from {YEARS[0]} to {YEARS[-1]}.")
        return day


class AskedField(EntryField):
    """What a milestone asks for: "25 %", "$1,000" or "balance", as (share in percent, amount)."""

    inputmode = ""

    def read(self, text: str) -> tuple[Decimal | None, Decimal | None]:
        plain = " ".join(text.lower().split())
        if plain in BALANCE:
            return None, None
        if plain.endswith("%"):
            return NumberField(most=Decimal(100), places=4).read(plain), None
        if not plain.startswith("$"):
            raise ValueError(
                f"“{text.strip()[:40]}” could be money or a share: type 25 % for a share, $1,000 for an "
                "amount, or balance."
            )
        return None, parse_price(plain)

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, tuple):
            return value
        share, amount = value
        if amount is not None:
            return format_price(amount)
        return "balance" if share is None else f"{share.normalize():f} %"


class MilestoneForm(forms.ModelForm):
    """One milestone; with it in its place the whole plan must sum to the contract."""

    asks = AskedField(
        label="What it asks for",
        help_text="Such as 25 % of the contract sum, $1,000, or balance: whatever the others leave.",
    )
    expected_on = DayField(label="Expected on", required=False)

    class Meta:
        model = Milestone
        fields = ("name", "condition", "not_covered", "is_deposit", "expected_on")
        labels = {"condition": "It is due when anyone can see that", "not_covered": "What it does not cover"}
        help_texts = {
            "condition": "A sentence that the client can check by looking, such as: the floor is grouted.",
        }
        widgets = {
            "condition": forms.Textarea(attrs={"rows": 2}),
            "not_covered": forms.Textarea(attrs={"rows": 2}),
        }

    field_order = ("name", "asks", "condition", "not_covered", "expected_on", "is_deposit")

    def __init__(self, *args: Any, drawn: DrawnPlan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.drawn = drawn
        say_plainly(self.fields)
        row = self.instance
        self.fields["asks"].widget.attrs |= {
            "hx-get": reverse("asks-reading", args=[drawn.kept.job_id]),
            "hx-trigger": "load, input changed delay:250ms",
            "hx-target": "next .reading",
        }
        if row.pk:
            self.initial["asks"] = (row.share_percent, row.amount.amount if row.amount else None)
        if row.change_id:
            for name in ("asks", "is_deposit"):
                del self.fields[name]
        elif any(each.is_deposit and each.pk != row.pk for each in drawn.rows):
            del self.fields["is_deposit"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "asks" in cleaned:
            self.instance.share_percent, self.instance.amount = cleaned["asks"]
        if cleaned.get("is_deposit") and self.drawn.kept.deposit.amount:
            self.add_error("is_deposit", BOTH_WAYS)
        if self.errors:
            return cleaned
        others = [self.instance if row.pk == self.instance.pk else row for row in self.drawn.rows]
        rows = others if self.instance.pk else [*others, self.instance]
        if len(rows) > MOST_MILESTONES:
            raise ValidationError(f"A plan has at most {MOST_MILESTONES} milestones: let one cover more.")
        try:
            check_rows(self.drawn, rows)
        except PlanFault as fault:
            self.add_error("asks" if "asks" in self.fields else None, str(fault))
        return cleaned


class PlanTermsForm(forms.ModelForm):
    """What is held back, how a deposit works, where changes go, and when work and money come."""

    retainage_percent = NumberField(
        label="Held back from each bill for work, %",
        most=Decimal("99.99"),
        places=2,
        help_text="Retainage: released by a bill of its own at the end. 0 for none.",
    )
    deposit = PriceField(
        label="Deposit that later bills take off",
        help_text="0 for none. A deposit that is simply the first payment is a milestone instead.",
    )
    special_order = PriceField(
        label="Cost of material on special order",
        help_text="Some states let a deposit cover it. 0 for none.",
    )
    starts_on = DayField(label="Work begins on", required=False)
    pays_after_days = CountField(label="Days until the client pays a bill", most=365)

    class Meta:
        model = PaymentPlan
        fields = (
            "retainage_percent",
            "deposit",
            "special_order",
            "changes_go",
            "starts_on",
            "pays_after_days",
        )
        widgets = {"changes_go": forms.RadioSelect}
        labels = {"changes_go": "Money of a signed change goes to"}

    def __init__(self, *args: Any, drawn: DrawnPlan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.drawn = drawn
        say_plainly(self.fields)
        self.fields["changes_go"].choices = PaymentPlan._meta.get_field("changes_go").choices

    def clean_deposit(self) -> Decimal:
        deposit = self.cleaned_data["deposit"]
        if deposit > self.drawn.agreed.amount:
            agreed = format_price(self.drawn.agreed.amount)
            raise ValidationError(f"A deposit is part of the contract sum: {agreed} or less.")
        if deposit and any(row.is_deposit for row in self.drawn.rows):
            raise ValidationError(
                "A milestone is the deposit already: type 0 here, or change that milestone."
            )
        return deposit


class MilestonePhotosField(PhotosField):
    """A few photos at a time, so that a phone's connection carries them."""

    def clean(self, data: Any, initial: Any = None) -> list[bytes]:
        if len(data or []) > MOST_PHOTOS:
            raise ValidationError(f"That is {len(data)} photos: send at most {MOST_PHOTOS} at a time.")
        return super().clean(data, initial)


class ReachedForm(forms.Form):
    reached_on = DayField(label="Seen to be met on")
    photos = MilestonePhotosField(
        label="Photos that show it", required=False, help_text="They stand with the bill when someone doubts."
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        say_plainly(self.fields)

    def clean_reached_on(self) -> date:
        day = self.cleaned_data["reached_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Mark it reached once anyone can see it.")
        return day


class PatternForm(forms.ModelForm):
    class Meta:
        model = Pattern
        fields = ("name",)
        labels = {"name": "Keep it under the name"}
        error_messages = {
            "name": {"unique": "A pattern has that name already: type another.", "required": "Type a name."}
        }


class PlannedCostForm(forms.ModelForm):
    """Money that goes out on a day of its own, such as a supplier's deposit."""

    amount = PriceField(label="Amount")
    on = DayField(label="Paid on")

    class Meta:
        model = PlannedCost
        fields = ("says", "amount", "on", "phase")
        labels = {"says": "What for", "phase": "Part of what is bought to"}
        help_texts = {"phase": "Chosen, it is taken off what that work buys later; else it comes on top."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)

    def clean_amount(self) -> Decimal:
        amount = self.cleaned_data["amount"]
        if not amount:
            raise ValidationError("Type what you pay, such as 2,500.")
        return amount


class ChangeGoesForm(forms.ModelForm):
    class Meta:
        model = PlannedChange
        fields = ("goes",)
        widgets = {"goes": forms.RadioSelect}
        labels = {"goes": "Its money goes to"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)
        self.fields["goes"].choices = PlannedChange._meta.get_field("goes").choices
