"""Words of a reminder before it goes out; the firm's spacing of reminders; dates that the state sets."""

from datetime import date
from typing import Any

from django import forms

from catalog.fields.form import CountField, NumberField
from catalog.forms.named import DAY, say_plainly
from invoicing.models import MoneyRules, NoticeRule, WorkDays


class ReminderForm(forms.Form):
    """The letter. Its step comes with the page, so that a page that lay open sends nothing else."""

    step = forms.CharField(widget=forms.HiddenInput, max_length=20)
    email = forms.EmailField(label="E-mail", required=False, max_length=254)
    text = forms.CharField(label="The letter", max_length=4000, widget=forms.Textarea(attrs={"rows": 14}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)
        self.fields["text"].error_messages["required"] = "Write what the letter says."
        self.fields["email"].error_messages["invalid"] = "Type an address such as name@example.com."

    def by_hand(self) -> bool:
        return "by-hand" in self.data

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        if not self.by_hand() and "email" in typed and not typed["email"]:
            self.add_error(
                "email", "Type the address to send it to, or say that you handed it over yourself."
            )
        return typed


class MoneyRulesForm(forms.ModelForm):
    reminder_days = CountField(label="Reminder, days after the due date", least=1, most=365)
    second_days = CountField(label="Second reminder, days after the due date", least=1, most=365)
    demand_days = CountField(label="Formal demand, days after the due date", least=1, most=365)
    late_percent = NumberField(
        label="Late charge that your contracts state, % a year",
        most=100,
        places=2,
        help_text="Simple interest by the day, of 365 days. 0 where they state none. Your state may cap it.",
    )

    class Meta:
        model = MoneyRules
        fields = ("reminder_days", "second_days", "demand_days", "late_percent")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        before = typed.get("reminder_days")
        for name in ("second_days", "demand_days"):
            days = typed.get(name)
            if before and days and days <= before:
                self.add_error(name, f"It comes after the one before it: type more than {before}.")
            before = days or before
        return typed


class NoticeRuleForm(forms.ModelForm):
    days = CountField(label="Within how many calendar days", least=1, most=1000)
    confirmed = forms.BooleanField(label="I looked this up for my state, and it is right")

    class Meta:
        model = NoticeRule
        fields = ("name", "days", "counted_from", "citation")
        widgets = {"counted_from": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["counted_from"].choices = NoticeRule.From.choices
        say_plainly(self.fields)
        self.fields["name"].help_text = "Such as: record the lien."
        self.fields["citation"].help_text = "The section of the law, so that you can read it again."
        self.fields["citation"].error_messages["required"] = (
            "Name the law that says so. Without it no date is shown."
        )
        self.fields["confirmed"].error_messages["required"] = "Look it up first, then tick this."


class WorkDaysForm(forms.ModelForm):
    class Meta:
        model = WorkDays
        fields = ("first", "last")
        widgets = {name: forms.DateInput(attrs=DAY, format="%Y-%m-%d") for name in ("first", "last")}

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        say_plainly(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        first, last = typed.get("first"), typed.get("last")
        for name in ("first", "last"):
            if typed.get(name) and typed[name] > self.today:
                self.add_error(name, "That day is still to come: enter the day on which you worked.")
        if first and last and last < first:
            self.add_error("last", "The last day of work can't be before the first.")
        return typed
