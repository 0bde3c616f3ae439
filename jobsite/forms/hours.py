"""What is typed of hours: on what, on which day, how long or from when to when."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.measures.hours import TimeWorked, spans_as_text
from estimating.plain_text import day_in_words
from jobsite.forms.fields import PastDayField, TimeWorkedField
from jobsite.hours.day import DayEntry, day_fault
from jobsite.hours.read import SignedWork, targets_of
from jobsite.models import HoursWorked, SpentOn
from saving.forms import MergesEdits

HOW = "Such as 3.5, 3 1/2, 3:30 or 8-12, 12:30-4."


class HoursForm(MergesEdits, forms.Form):
    """Hours of one day on one thing. `signed` is what the job offers to put them on."""

    on_what = forms.ChoiceField(label="On what")
    on = PastDayField(label="Day")
    worked = TimeWorkedField(label="Hours, or from when to when", help_text=HOW)
    says = forms.CharField(label="What was done", max_length=120, required=False)

    def __init__(self, *args: Any, signed: SignedWork, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.targets = targets_of(signed)
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        self.choices: list[tuple[str, str | list[tuple[str, str]]]] = [("", "Choose")]
        for group in signed.groups():
            self.choices.append((group.label, [(target.token, target.label) for target in group.targets]))
        offer_choices(self, "on_what", self.choices)
        set_plain_messages(self.fields)

    def keep_old_target(self, row: HoursWorked, label: str) -> None:
        """Offer what a row is on, also where the job doesn't any more."""
        token = token_of(row)
        if token not in self.targets:
            offer_choices(self, "on_what", [*self.choices, (token, label)])

    def refuse_impossible_day(self, others: Iterable[DayEntry]) -> bool:
        """Say at the hours why they can't be beside the others of the day; return whether they can."""
        day: date = self.cleaned_data["on"]
        fault = day_fault(self.cleaned_data["worked"], others, day_in_words(day))
        if fault:
            self.add_error("worked", fault)
        return not fault

    def fill(self, row: HoursWorked) -> HoursWorked:
        """Put what was typed into a row."""
        worked: TimeWorked = self.cleaned_data["worked"]
        row.on, row.says = self.cleaned_data["on"], self.cleaned_data["says"]
        row.hours, row.spans = worked.hours, spans_as_text(worked.spans)
        if target := self.targets.get(self.cleaned_data["on_what"]):
            row.document_id, row.key = target.document, target.key
            row.phase, row.for_job = target.phase, target.for_job
        return row


def token_of(row: SpentOn) -> str:
    """Return what a row is on, in one word, as the form sends it."""
    if row.key:
        return f"line-{row.document_id}-{row.key}"
    if row.document_id:
        return f"change-{row.document_id}"
    return f"phase-{row.phase}" if row.phase else f"job-{row.for_job}"


def as_typed(row: HoursWorked) -> dict[str, Any]:
    """Return a row as its form holds it."""
    spans = row.spans.replace(" ", ", ")
    return {
        "on_what": token_of(row),
        "on": row.on,
        "worked": spans or f"{row.hours.normalize():f}",
        "says": row.says,
    }


class ForgottenClockForm(forms.Form):
    """How long a clock that was forgotten should have run, on the day on which it was started."""

    worked = TimeWorkedField(label="How long did you work that day?", help_text=HOW)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
