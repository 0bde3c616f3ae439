"""What is typed of a call-back: when, what, how long it took, what it cost, and which work caused it."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.measures.hours import TimeWorked, spans_as_text
from estimating.plain_text import day_in_words
from jobsite.forms.fields import PaidField, PastDayField, TimeWorkedField
from jobsite.forms.hours import HOW
from jobsite.hours.day import DayEntry, day_fault
from jobsite.hours.read import SignedWork
from jobsite.models import CallBack, ForTheJob, HoursWorked, ReceiptKept
from saving.forms import MergesEdits

NOT_THERE = "Empty until you were there."


class CallBackForm(MergesEdits, forms.Form):
    """A call-back. Hours and cost that are kept already are corrected where hours and receipts are."""

    on = PastDayField(label="Day")
    says = forms.CharField(label="What it is", max_length=200)
    worked = TimeWorkedField(
        label="Hours, or from when to when", required=False, help_text=f"{HOW} {NOT_THERE}"
    )
    on_what = forms.ChoiceField(
        label="Which work caused it",
        required=False,
        help_text="Its hours then count in what that work really takes.",
    )
    cost = PaidField(label="Bought for it, with tax", required=False)

    def __init__(self, *args: Any, signed: SignedWork, today: date, row: CallBack, **kwargs: Any) -> None:
        kept = {"on": row.on, "says": row.says} if row.pk else {"on": today}
        kwargs["initial"] = kept
        super().__init__(*args, **kwargs)
        self.row = row
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        self.targets = {
            target.token: target for group in signed.groups() for target in group.targets if target.key
        }
        offer_choices(
            self,
            "on_what",
            [("", "I don't know"), *((token, one.label) for token, one in self.targets.items())],
        )
        if row.worked_id:
            del self.fields["worked"], self.fields["on_what"]
        if row.bought_id:
            del self.fields["cost"]
        set_plain_messages(self.fields)

    def clean_cost(self) -> Decimal | None:
        cost: Decimal | None = self.cleaned_data["cost"]
        if cost is not None and cost <= 0:
            raise forms.ValidationError("Type what was paid, or leave it empty for nothing.")
        return cost

    def refuse_impossible_day(self, others: Iterable[DayEntry]) -> bool:
        """Say at the hours why they can't be beside the others of the day; return whether they can."""
        worked: TimeWorked | None = self.cleaned_data.get("worked")
        day: date = self.cleaned_data["on"]
        fault = day_fault(worked, others, day_in_words(day)) if worked else ""
        if fault:
            self.add_error("worked", fault)
        return not fault

    def save(self) -> CallBack:
        """Keep the call-back with its hours and its receipt. Call in a transaction."""
        row, typed = self.row, self.cleaned_data
        row.on, row.says = typed["on"], typed["says"]
        if worked := typed.get("worked"):
            row.worked = self._hours(worked)
        if cost := typed.get("cost"):
            row.bought = ReceiptKept.objects.create(job=row.job, on=row.on, cost=cost, says=self._in_short())
        row.save()
        return row

    def _hours(self, worked: TimeWorked) -> HoursWorked:
        hours = HoursWorked(job=self.row.job, on=self.row.on, hours=worked.hours, says=self._in_short())
        hours.spans = spans_as_text(worked.spans)
        if target := self.targets.get(self.cleaned_data.get("on_what", "")):
            hours.document_id, hours.key = target.document, target.key
        else:
            hours.for_job = ForTheJob.CALL_BACK
        hours.save()
        return hours

    def _in_short(self) -> str:
        return f"Call-back: {self.row.says}"[:120]
