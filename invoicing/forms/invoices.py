"""What is typed to bill: due date, words, deposit; what to credit; hours and receipts."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from catalog.fields.form import PriceField
from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.measures.hours import spans_as_text
from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words
from invoicing.billing.lines import BillLine
from invoicing.billing.status import BillingStatus
from invoicing.forms.days import day_field
from invoicing.models import BillDraft, Milestone
from jobsite.forms.fields import TimeWorkedField
from jobsite.forms.hours import HOW
from jobsite.hours.day import DayEntry, day_fault
from jobsite.models import HoursWorked, ReceiptKept

LinePlace = tuple[str, str, str]
Entry = TypeVar("Entry", bound=models.Model)


class BillForm(ModelForm[BillDraft]):
    """What can be changed of a bill before it is issued.

    `offered` are the milestones that can go on it, `status` is how the job stands before it; `releases` says
    that it can be the last bill of work, which releases retainage; `releasable` is what of it can be billed.
    """

    due_on = day_field("Due on", required=False)
    deposit = PriceField(label="Deposit to apply", required=False)
    part = PriceField(
        label="Only a part of it now",
        required=False,
        help_text="Before tax, retainage and deposit. Empty: all that is due. The rest can be billed later.",
    )
    release = PriceField(label="Retainage to bill", required=False)
    milestones = forms.ModelMultipleChoiceField(
        label="Milestones on this bill",
        queryset=Milestone.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    class Meta:
        model = BillDraft
        fields = ("milestones", "part", "due_on", "deposit", "release", "keeps_held", "note")
        labels = {"keeps_held": "Go on holding retainage back"}
        help_texts = {"keeps_held": "The last bill asks for what was held back too, unless you tick this."}
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        offered: Sequence[Milestone],
        status: BillingStatus | None,
        releases: bool,
        releasable: Decimal,
        today: date,
        usual_due: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.today = today
        self.fields["due_on"].help_text = f"Empty: {day_in_words(usual_due)}."
        self.fields["note"].label = "Words for the client"
        kind = self.instance.kind
        if kind == BillDraft.Kind.WORK and len(offered) != 1:
            self._offer_milestones(offered)
        else:
            del self.fields["milestones"]
        if kind != BillDraft.Kind.WORK or self.instance.milestones.count() != 1:
            del self.fields["part"]
        if not (releases and kind == BillDraft.Kind.WORK):
            del self.fields["keeps_held"]
        self.most: dict[str, Decimal] = {}
        self._allow_amount("deposit", status.deposit_left if status and kind == BillDraft.Kind.WORK else None)
        self._allow_amount("release", releasable if kind == BillDraft.Kind.RELEASE else None)

    def _offer_milestones(self, offered: Sequence[Milestone]) -> None:
        field = self.fields["milestones"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = Milestone.objects.filter(pk__in=[milestone.pk for milestone in offered])
        field.error_messages["invalid_pk_value"] = "Choose one of those offered."

    def _allow_amount(self, name: str, most: Decimal | None) -> None:
        """Keep the field of an amount, where there is anything of it to bill or take off."""
        if most:
            self.most[name] = most
            self.fields[name].help_text = f"Empty: as much as goes. {format_price(most)} is left."
        else:
            del self.fields[name]

    def clean_due_on(self) -> date | None:
        due: date | None = self.cleaned_data["due_on"]
        if due and due < self.today:
            raise ValidationError(f"{day_in_words(due)} is past. Type today or a later day.")
        return due

    def clean_milestones(self) -> models.QuerySet[Milestone]:
        chosen: models.QuerySet[Milestone] = self.cleaned_data["milestones"]
        if not chosen:
            raise ValidationError("Tick at least one milestone.")
        return chosen

    def clean_part(self) -> Decimal | None:
        part: Decimal | None = self.cleaned_data["part"]
        if part is not None and part <= 0:
            raise ValidationError("Type what to ask for now, or leave it empty for all that is due.")
        return part

    def clean_deposit(self) -> Decimal | None:
        return self._within("deposit", least=Decimal(0))

    def clean_release(self) -> Decimal | None:
        return self._within("release", least=Decimal("0.01"))

    def _within(self, name: str, least: Decimal) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data[name]
        most = self.most[name]
        if amount is not None and not least <= amount <= most:
            raise ValidationError(f"Type {format_price(least)} to {format_price(most)}, or leave it empty.")
        return amount


class CreditForm(forms.Form):
    """How much of each line of an invoice is taken back, whether it can be billed again, and why."""

    MISTAKE, GIVEN_UP = "mistake", "given"

    kind = forms.ChoiceField(
        label="Which is it?",
        widget=forms.RadioSelect,
        choices=[
            (MISTAKE, "Billed by mistake: it can be billed again"),
            (GIVEN_UP, "Given up: the contract sum falls by it, and it is never billed again"),
        ],
    )
    everything = forms.BooleanField(label="All that is left of it", required=False)
    note = forms.CharField(
        label="Why, as the client reads it",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as: billed before the floor was done.",
    )

    def __init__(
        self, *args: Any, lines: Iterable[tuple[BillLine, Decimal]], can_give_up: bool, **kwargs: Any
    ) -> None:
        """Offer `lines`, those that can be credited, each with what is left of it."""
        super().__init__(*args, **kwargs)
        self.left: dict[str, tuple[LinePlace, Decimal]] = {}
        for number, (line, left) in enumerate(lines):
            name = f"amount-{number}"
            sign = " that was applied" if left < 0 else ""
            self.left[name] = (line.key, left)
            self.fields[name] = PriceField(
                label=f"Of {line.title}",
                required=False,
                help_text=f"Up to {format_price(abs(left))}{sign}. Empty or 0: it stands.",
            )
        if not can_give_up:
            del self.fields["kind"]
        self.order_fields(["kind", "everything", *self.left, "note"])
        set_plain_messages(self.fields)

    @property
    def is_given_up(self) -> bool:
        return self.cleaned_data.get("kind") == self.GIVEN_UP

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        for name, (_, left) in self.left.items():
            if (cleaned.get(name) or Decimal(0)) > abs(left):
                self.add_error(name, f"Only {format_price(abs(left))} is left of it: type that or less.")
        typed = [name for name in self.left if cleaned.get(name)]
        if cleaned.get("everything") and typed:
            self.add_error("everything", "Tick this, or type amounts at single lines: not both.")
        if not self.errors and not typed and not cleaned.get("everything"):
            self.add_error(None, "Nothing is credited: type an amount at one of the lines.")
        return cleaned

    def amounts(self) -> dict[LinePlace, Decimal]:
        """Return what is taken back, by the place of its line, with the line's sign."""
        if self.cleaned_data["everything"]:
            return dict(self.left.values())
        return {
            place: (self.cleaned_data.get(name) or Decimal(0)) * (-1 if left < 0 else 1)
            for name, (place, left) in self.left.items()
        }


class _PastDayForm(ModelForm[Entry]):
    """An entry of a day that isn't to come."""

    on = day_field("Day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        set_plain_messages(self.fields)

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError(f"{day_in_words(on)} is still to come. Enter what is done.")
        return on


class HoursForm(_PastDayForm[HoursWorked]):
    """Hours of a change that is billed by them; `read_day` returns what is kept of a day already."""

    worked = TimeWorkedField(label="Hours, or from when to when", help_text=HOW)

    class Meta:
        model = HoursWorked
        fields = ("on", "says")

    def __init__(self, *args: Any, read_day: Callable[[date], Iterable[DayEntry]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.read_day = read_day
        self.order_fields(["on", "worked", "says"])

    def clean(self) -> dict[str, Any]:
        super().clean()
        on, worked = self.cleaned_data.get("on"), self.cleaned_data.get("worked")
        if on and worked:
            if fault := day_fault(worked, self.read_day(on), day_in_words(on)):
                self.add_error("worked", fault)
            self.instance.hours, self.instance.spans = worked.hours, spans_as_text(worked.spans)
        return self.cleaned_data


class ReceiptForm(_PastDayForm[ReceiptKept]):
    cost = PriceField(label="Cost before tax")
    tax = PriceField(label="Sales tax on it", required=False, help_text="As the receipt says; empty: none.")

    class Meta:
        model = ReceiptKept
        fields = ("on", "says", "cost", "tax")

    def clean_tax(self) -> Decimal:
        tax: Decimal | None = self.cleaned_data["tax"]
        return tax or Decimal(0)
