"""The letter of a reminder, the firm's days of reminding, deadlines of its state, and days of work."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from catalog.fields.form import CountField, NumberField, PriceField
from catalog.forms.model_form import ModelForm, offer_choices, set_plain_messages
from invoicing.forms.days import day_input
from invoicing.models import MoneyRules, NoticeRule, WorkDays


class ReminderForm(forms.Form):
    """The letter. The page sends its step along, so that one that was left open sends no other letter."""

    step = forms.CharField(widget=forms.HiddenInput, max_length=20)
    email = forms.EmailField(label="E-mail", required=False, max_length=254)
    text = forms.CharField(label="The letter", max_length=4000, widget=forms.Textarea(attrs={"rows": 14}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.fields["text"].error_messages["required"] = "Write what the letter says."
        self.fields["email"].error_messages["invalid"] = "Type an address such as name@example.com."

    def by_hand(self) -> bool:
        """Return whether the owner handed the letter over himself."""
        return "by-hand" in self.data

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        if not self.by_hand() and "email" in cleaned and not cleaned["email"]:
            self.add_error(
                "email", "Type the address to send it to, or say that you handed it over yourself."
            )
        return cleaned


class MoneyRulesForm(ModelForm[MoneyRules]):
    reminder_days = CountField(label="Reminder, days after the due date", least=1, most=365)
    second_days = CountField(label="Second reminder, days after the due date", least=1, most=365)
    demand_days = CountField(label="Formal demand, days after the due date", least=1, most=365)
    late_percent = NumberField(
        label="Late charge that new estimates state, % a year",
        most=Decimal(100),
        places=2,
        help_text=(
            "Simple interest by the day, of 365 days; 0 for none. It stands in the terms of each estimate "
            "that you issue from now on; what is signed keeps its own. Your state may cap it."
        ),
    )

    returned_fee = PriceField(
        label="Fee for a returned check that new estimates state",
        help_text=(
            "For a check that the client's bank sends back; 0 for none. It stands in the terms of each "
            "estimate that you issue from now on; what is signed keeps its own. Most states cap it, and some "
            "want a notice before: check your local law."
        ),
    )

    class Meta:
        model = MoneyRules
        fields = ("reminder_days", "second_days", "demand_days", "late_percent", "returned_fee")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        before = cleaned.get("reminder_days")
        for name in ("second_days", "demand_days"):
            days = cleaned.get(name)
            if before and days and days <= before:
                self.add_error(name, f"It comes after the one before it: type more than {before}.")
            before = days or before
        return cleaned


class NoticeRuleForm(ModelForm[NoticeRule]):
    days = CountField(label="Within how many calendar days", least=1, most=1000)
    confirmed = forms.BooleanField(label="I looked this up for my state, and it is right")

    class Meta:
        model = NoticeRule
        fields = ("name", "days", "counted_from", "citation")
        widgets = {"counted_from": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_choices(self, "counted_from", NoticeRule.From.choices)
        set_plain_messages(self.fields)
        self.fields["name"].help_text = "Such as: record the lien."
        self.fields["citation"].help_text = "The section of the law, so that you can read it again."
        self.fields["citation"].error_messages["required"] = (
            "Name the law that says so. Without it no date is shown."
        )
        self.fields["confirmed"].error_messages["required"] = "Look it up first, then tick this."


class WorkDaysForm(ModelForm[WorkDays]):
    class Meta:
        model = WorkDays
        fields = ("first", "last")
        widgets = {"first": day_input(), "last": day_input()}

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        first, last = cleaned.get("first"), cleaned.get("last")
        for name in ("first", "last"):
            if cleaned.get(name) and cleaned[name] > self.today:
                self.add_error(name, "That day is still to come: enter the day on which you worked.")
        if first and last and last < first:
            self.add_error("last", "The last day of work can't be before the first.")
        return cleaned
