"""What he types to bill: when it is due, words, the deposit; what to credit; hours and receipts."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import NumberField, PriceField
from catalog.forms.named import DAY, say_plainly
from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words
from invoicing.billing.draft import BillLine, Standing
from invoicing.models import BillDraft, HoursWorked, Milestone, ReceiptKept

Place = tuple[str, str, str]


def day_field(label: str, **more: Any) -> forms.DateField:
    return forms.DateField(label=label, widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"), **more)


class BillForm(forms.ModelForm):
    """What he can change of a bill before he issues it."""

    due_on = day_field("Due on", required=False)
    deposit = PriceField(label="Take off of the deposit", required=False)
    release = PriceField(label="Retainage to bill", required=False)
    milestones = forms.ModelMultipleChoiceField(
        label="Milestones on this bill",
        queryset=Milestone.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    class Meta:
        model = BillDraft
        fields = ("milestones", "due_on", "deposit", "release", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        offered: Sequence[Milestone],
        stands: Standing | None,
        today: date,
        usual_due: date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)
        self.today, self.stands = today, stands
        self.fields["due_on"].help_text = f"Empty: {day_in_words(usual_due)}."
        self.fields["note"].label = "Words for the client"
        is_work = self.instance.kind == BillDraft.Kind.WORK
        self.fields["milestones"].queryset = Milestone.objects.filter(pk__in=[each.pk for each in offered])
        self.fields["milestones"].error_messages["invalid_pk_value"] = "Choose one of those offered."
        left = {
            "milestones": Decimal(len(offered) - 1) if is_work else None,
            "deposit": stands.deposit_left if stands and is_work else None,
            "release": stands.held if stands and self.instance.kind == BillDraft.Kind.RELEASE else None,
        }
        for name, most in left.items():
            if not most:
                del self.fields[name]
            elif name != "milestones":
                self.fields[name].help_text = f"Empty: as much as goes. {format_price(most)} is left."

    def clean_due_on(self) -> date | None:
        due = self.cleaned_data["due_on"]
        if due and due < self.today:
            raise ValidationError(f"{day_in_words(due)} is past. Type today or a later day.")
        return due

    def clean_milestones(self) -> Any:
        chosen = self.cleaned_data["milestones"]
        if not chosen:
            raise ValidationError("Tick at least one milestone.")
        return chosen

    def clean_deposit(self) -> Decimal | None:
        return self._within(
            "deposit", self.stands.deposit_left if self.stands else Decimal(0), least=Decimal(0)
        )

    def clean_release(self) -> Decimal | None:
        return self._within("release", self.stands.held, least=Decimal("0.01"))

    def _within(self, name: str, most: Decimal, least: Decimal) -> Decimal | None:
        amount = self.cleaned_data[name]
        if amount is not None and not least <= amount <= most:
            raise ValidationError(f"Type {format_price(least)} to {format_price(most)}, or leave it empty.")
        return amount


class CreditForm(forms.Form):
    """How much of each line of an invoice is taken back, and why."""

    note = forms.CharField(
        label="Why, as the client reads it",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as: billed before the floor was done.",
    )

    def __init__(self, *args: Any, lines: Iterable[tuple[BillLine, Decimal]], **kwargs: Any) -> None:
        """`lines` are those that can be credited, each with what is left of it."""
        super().__init__(*args, **kwargs)
        self.left: dict[str, tuple[Place, Decimal]] = {}
        for number, (line, left) in enumerate(lines):
            name = f"amount-{number}"
            sign = " that was taken off" if left < 0 else ""
            self.left[name] = (line.place, left)
            self.fields[name] = PriceField(
                label=f"Of {line.title}",
                required=False,
                initial=f"{abs(left):.2f}",
                help_text=f"Up to {format_price(abs(left))}{sign}. Empty or 0: it stands.",
            )
        self.order_fields([*self.left, "note"])
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        for name, (_, left) in self.left.items():
            if (typed.get(name) or Decimal(0)) > abs(left):
                self.add_error(name, f"Only {format_price(abs(left))} is left of it: type that or less.")
        if not self.errors and not any(typed.get(name) for name in self.left):
            self.add_error(None, "Nothing is taken back: type an amount at one of the lines.")
        return typed

    def amounts(self) -> dict[Place, Decimal]:
        """What is taken back by the place of its line, with the line's sign."""
        return {
            place: (self.cleaned_data.get(name) or Decimal(0)) * (-1 if left < 0 else 1)
            for name, (place, left) in self.left.items()
        }


class _PastDayForm(forms.ModelForm):
    """A day that isn't to come."""

    on = day_field("Day")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        say_plainly(self.fields)

    def clean_on(self) -> date:
        on = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError(f"{day_in_words(on)} is still to come. Enter what is done.")
        return on


class HoursForm(_PastDayForm):
    hours = NumberField(
        label="Hours", least=Decimal("0.01"), most=Decimal(1000), places=2, help_text="Such as 3.5."
    )

    class Meta:
        model = HoursWorked
        fields = ("on", "hours", "says")


class ReceiptForm(_PastDayForm):
    cost = PriceField(label="Cost before tax")
    tax = PriceField(label="Sales tax on it", required=False, help_text="As the receipt says; empty: none.")

    class Meta:
        model = ReceiptKept
        fields = ("on", "says", "cost", "tax")

    def clean_tax(self) -> Decimal:
        return self.cleaned_data["tax"] or Decimal(0)
