"""What is typed for a payment schedule: milestones, terms, when one is reached, what is paid out."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse

from catalog.fields.form import CountField, EntryField, NumberField, PriceField
from catalog.forms.model_form import ModelForm, offer_choices, set_plain_messages
from catalog.money.amounts import format_price, parse_price
from estimating.client.photos import MOST_PHOTOS
from estimating.forms.photos import PhotosField
from invoicing.forms.days import PlannedDayField
from invoicing.milestones.plan import PlanFault
from invoicing.models import Milestone, Pattern, PaymentPlan, PlannedChange, PlannedCost
from invoicing.models.plan import MOST_MILESTONES, ChangePlacement
from invoicing.payment_plan.plan import JobPlan, check_milestones
from invoicing.payment_plan.signed_schedule import schedule_is_signed

BOTH_WAYS = (
    "A deposit applied to later bills is asked for already: set that to 0 first, under Deposit, "
    "retainage, changes."
)
BALANCE = ("balance", "the balance", "rest", "the rest")


class MilestoneAmountField(EntryField):
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


class MilestoneForm(ModelForm[Milestone]):
    """One milestone; with it in its place the whole plan must sum to the contract."""

    asks = MilestoneAmountField(
        label="Amount",
        help_text="Such as 25 % of the contract sum, $1,000, or balance: whatever the others leave.",
    )
    expected_on = PlannedDayField(label="Expected on", required=False)

    class Meta:
        model = Milestone
        fields = ("name", "condition", "not_covered", "is_deposit", "expected_on")
        labels = {"condition": "Due when", "not_covered": "What it does not cover"}
        help_texts = {
            "condition": "A sentence that the client can check by looking, such as: the floor is grouted.",
        }
        widgets = {
            "condition": forms.Textarea(attrs={"rows": 2}),
            "not_covered": forms.Textarea(attrs={"rows": 2}),
        }

    field_order = ("name", "asks", "condition", "not_covered", "expected_on", "is_deposit")

    def __init__(self, *args: Any, job_plan: JobPlan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job_plan = job_plan
        set_plain_messages(self.fields)
        milestone = self.instance
        edited = f"?milestone={milestone.pk}" if milestone.pk else ""
        self.fields["asks"].widget.attrs |= {
            "hx-get": reverse("asks-reading", args=[job_plan.job.pk]) + edited,
            "hx-trigger": "load, input changed delay:250ms",
            "hx-target": "next .reading",
        }
        if milestone.pk:
            amount = None if milestone.amount is None else milestone.amount.amount
            self.initial["asks"] = (milestone.share_percent, amount)
        if milestone.change_id:
            for name in ("asks", "is_deposit"):
                del self.fields[name]
        elif schedule_is_signed(job_plan):
            self.fields = {"expected_on": self.fields["expected_on"]}
        elif any(other.is_deposit and other.pk != milestone.pk for other in job_plan.milestones):
            del self.fields["is_deposit"]

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        if "asks" in cleaned:
            self.instance.share_percent, self.instance.amount = cleaned["asks"]
        if cleaned.get("is_deposit") and self.job_plan.payment_plan.deposit.amount:
            self.add_error("is_deposit", BOTH_WAYS)
        if self.errors:
            return cleaned
        milestones = self._milestones()
        if len(milestones) > MOST_MILESTONES:
            raise ValidationError(f"A schedule has at most {MOST_MILESTONES} milestones: let one cover more.")
        try:
            check_milestones(self.job_plan, milestones)
        except PlanFault as fault:
            self.add_error("asks" if "asks" in self.fields else None, str(fault))
        return cleaned

    def _milestones(self) -> list[Milestone]:
        """Return the milestones of the plan with this one in its place, or added."""
        edited = self.instance
        if not edited.pk:
            return [*self.job_plan.milestones, edited]
        return [edited if other.pk == edited.pk else other for other in self.job_plan.milestones]


class PlanTermsForm(ModelForm[PaymentPlan]):
    """What is held back, how a deposit works, where changes go, and when money comes."""

    retainage_percent = NumberField(
        label="Held back from each bill for work, %",
        most=Decimal("99.99"),
        places=2,
        help_text="Retainage: not held from a deposit, and asked for with the last bill. 0 for none.",
    )
    deposit = PriceField(
        label="Deposit applied to later bills",
        help_text="0 for none. A deposit that is simply the first payment is a milestone instead.",
    )
    special_order = PriceField(
        label="Cost of material on special order",
        help_text="Some states let a deposit cover it. 0 for none.",
    )
    pays_after_days = CountField(label="Days until the client pays a bill", most=365)

    class Meta:
        model = PaymentPlan
        fields = (
            "retainage_percent",
            "deposit",
            "special_order",
            "changes_go",
            "pays_after_days",
        )
        widgets = {"changes_go": forms.RadioSelect}
        labels = {"changes_go": "Money of a signed change goes to"}

    def __init__(self, *args: Any, job_plan: JobPlan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job_plan = job_plan
        set_plain_messages(self.fields)
        offer_choices(self, "changes_go", ChangePlacement.choices)
        if schedule_is_signed(job_plan):
            for name in ("retainage_percent", "deposit", "changes_go"):
                del self.fields[name]

    def clean_deposit(self) -> Decimal:
        deposit: Decimal = self.cleaned_data["deposit"]
        whole = self.job_plan.contract.amount
        if deposit > whole:
            raise ValidationError(f"A deposit is part of the contract sum: {format_price(whole)} or less.")
        if deposit and any(milestone.is_deposit for milestone in self.job_plan.milestones):
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
    """The day on which the condition of a milestone was seen to be met, and photos that show it.

    `work` are the groups of work that aren't finished yet, key and label each; those ticked are finished now.
    """

    reached_on = PlannedDayField(label="Seen to be met on")
    finished = forms.MultipleChoiceField(
        label="Work that is finished now",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Ticked as far as the money tells. Correct what isn't so; only you see it.",
    )
    photos = MilestonePhotosField(
        label="Photos that show it", required=False, help_text="They stand with the bill when someone doubts."
    )

    def __init__(self, *args: Any, today: date, work: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        set_plain_messages(self.fields)
        if work:
            offer_choices(self, "finished", work)
        else:
            del self.fields["finished"]

    def clean_reached_on(self) -> date:
        day: date = self.cleaned_data["reached_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Mark it complete once it is.")
        return day


class TemplateForm(ModelForm[Pattern]):
    """The name under which a plan is saved as a template."""

    class Meta:
        model = Pattern
        fields = ("name",)
        labels = {"name": "Keep it under the name"}
        error_messages = {
            "name": {"unique": "A template has that name already: type another.", "required": "Type a name."}
        }


class PlannedCostForm(ModelForm[PlannedCost]):
    """Money that goes out on a day of its own, such as a supplier's deposit."""

    amount = PriceField(label="Amount")
    on = PlannedDayField(label="Paid on")

    class Meta:
        model = PlannedCost
        fields = ("says", "amount", "on", "phase")
        labels = {"says": "What for", "phase": "Part of what is bought to"}
        help_texts = {"phase": "Chosen, it is deducted from what that work buys later; else it comes on top."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_amount(self) -> Decimal:
        amount: Decimal = self.cleaned_data["amount"]
        if not amount:
            raise ValidationError("Type what you pay, such as 2,500.")
        return amount


class ChangePlacementForm(ModelForm[PlannedChange]):
    """Where the money of one change goes once it is signed: by a rule, or with a milestone that is open."""

    goes = forms.ChoiceField(label="Its money goes to", widget=forms.RadioSelect)

    class Meta:
        model = PlannedChange
        fields = ()

    def __init__(self, *args: Any, offered: Sequence[Milestone], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offered = {milestone.key: milestone for milestone in offered}
        named = [(key, f"With {milestone}") for key, milestone in self.offered.items()]
        offer_choices(self, "goes", [*ChangePlacement.choices, *named])
        planned = self.instance
        self.initial["goes"] = planned.milestone.key if planned.milestone else planned.goes
        set_plain_messages(self.fields)

    def clean_goes(self) -> str:
        goes: str = self.cleaned_data["goes"]
        self.instance.milestone = self.offered.get(goes)
        if self.instance.milestone is None:
            self.instance.goes = goes
        return goes
