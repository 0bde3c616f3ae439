"""What is typed of permits, inspections and lead-safe work."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import ModelForm, set_plain_messages
from estimating.forms.photos import PhotosField
from estimating.plain_text import day_in_words
from jobsite.forms.days import DayField
from jobsite.models import LeadRecord, OutsideEvent, Permit
from jobsite.permits.lead_papers import CHECKS


def check_order(form: forms.BaseForm, *names: str) -> None:
    """Add an error to each day that is before the one named before it."""
    before: date | None = None
    for name in names:
        day: date | None = form.cleaned_data.get(name)
        if before and day and day < before:
            form.add_error(
                name, f"That is before {day_in_words(before)}, which comes first. Check both days."
            )
        before = day or before


class PermitForm(ModelForm[Permit]):
    """A permit, with photos of its card."""

    photos = PhotosField(
        label="Photos of the card", required=False, help_text="JPEG or PNG of at most 10 MB each."
    )
    applied_on = DayField(label="Asked for on", required=False)
    issued_on = DayField(label="Given on", required=False)
    expires_on = DayField(label="Good until", required=False)
    closed_on = DayField(label="Closed by the office on", required=False)

    class Meta:
        model = Permit
        fields = ("what", "office", "number", "applied_on", "issued_on", "expires_on", "closed_on")
        help_texts = {"what": "Such as: electrical, kitchen.", "office": "Such as: city building department."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        check_order(self, "applied_on", "issued_on", "expires_on")
        check_order(self, "issued_on", "closed_on")
        return self.cleaned_data


class InspectionForm(ModelForm[OutsideEvent]):
    """An inspection of a permit, its day and what came of it."""

    on = DayField(label="Day", required=False, help_text="Empty while no day is known.")

    class Meta:
        model = OutsideEvent
        fields = ("title", "on", "result", "said")
        labels = {
            "title": "What is inspected",
            "result": "What came of it",
            "said": "What the inspector said",
        }

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        on, result = self.cleaned_data.get("on"), self.cleaned_data.get("result")
        if result and on is None and "on" not in self.errors:
            self.add_error("on", "Type the day on which it was inspected.")
        if result and on and on > self.today:
            self.add_error(
                "result", f"{day_in_words(on)} is still to come: leave the result open until then."
            )
        return self.cleaned_data


class LeadRecordForm(ModelForm[LeadRecord]):
    """The pamphlet, who did the work, and what was done of it."""

    given_on = DayField(label="Pamphlet given on", required=False)
    ended_on = DayField(label="Lead-safe work ended on", required=False)
    done = forms.MultipleChoiceField(
        label="What was done",
        required=False,
        choices=[(title, list(checks)) for title, checks in CHECKS.items()],
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = LeadRecord
        fields = (
            "given_on",
            "given_to",
            "how",
            "renovator",
            "certificate",
            "helpers",
            "tests",
            "done",
            "cloths",
            "ended_on",
        )
        widgets: Mapping[str, Any] = {
            "how": forms.RadioSelect,
            "tests": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
