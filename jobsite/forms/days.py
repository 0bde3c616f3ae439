"""What is typed for the days: hours of the week, days off, what comes from outside, where a step goes."""

from collections.abc import Iterable, Sequence
from datetime import date, time
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import CountField, NumberField
from catalog.forms.model_form import DATE_ATTRS, ModelForm, offer_choices, offer_rows, set_plain_messages
from catalog.models import Material, Supplier
from estimating.models import Job
from jobsite.models import Absence, CalendarFeed, LeadTime, OutsideEvent, StepDate, WorkWeek
from jobsite.models.days import MOST_LEAD_DAYS, WEEKDAYS

YEARS = range(2000, 2200)
MOST_DAYS_OFF = 366
QUARTER = Decimal("0.25")


class DayField(forms.DateField):
    """A day that somebody could plan for."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.DateInput(attrs=DATE_ATTRS, format="%Y-%m-%d"))
        super().__init__(**options)

    def clean(self, value: Any) -> date | None:
        day: date | None = super().clean(value)
        if day and day.year not in YEARS:
            raise ValidationError(f"Pick a day from {YEARS[0]} to {YEARS[-1]}.")
        return day


class ClockField(forms.TimeField):
    """A time of the day."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
        super().__init__(**options)
        self.error_messages["invalid"] = "Type a time such as 7:30 or 14:00."


class HoursField(NumberField):
    """Hours in steps of a quarter."""

    def read(self, text: str) -> Decimal:
        hours = super().read(text)
        if hours % QUARTER:
            near = (hours - hours % QUARTER).normalize()
            raise ValueError(f"Days are planned by quarter hours: type {near:f} or {near + QUARTER:f}.")
        return hours


class WorkWeekForm(ModelForm[WorkWeek]):
    """The hours on site of each weekday."""

    begins = ClockField(label="A day on site begins at")
    monday = HoursField(label="Monday", most=Decimal(16), places=2)
    tuesday = HoursField(label="Tuesday", most=Decimal(16), places=2)
    wednesday = HoursField(label="Wednesday", most=Decimal(16), places=2)
    thursday = HoursField(label="Thursday", most=Decimal(16), places=2)
    friday = HoursField(label="Friday", most=Decimal(16), places=2)
    saturday = HoursField(label="Saturday", most=Decimal(16), places=2)
    sunday = HoursField(label="Sunday", most=Decimal(16), places=2)

    class Meta:
        model = WorkWeek
        fields = ("begins", *WEEKDAYS, "keeps_holidays")
        labels = {"keeps_holidays": "No work on federal holidays"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_begins(self) -> time:
        begins: time = self.cleaned_data["begins"]
        if begins.minute % 15 or begins.second:
            raise ValidationError("Days are planned by quarter hours: type such as 7:30 or 7:45.")
        return begins

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        hours = [typed.get(name) or Decimal(0) for name in WEEKDAYS]
        if not self.errors and not any(hours):
            self.add_error("monday", "A week needs hours on one day at least: type those of a usual day.")
        begins = typed.get("begins")
        if begins and max(hours) + Decimal(begins.hour) + Decimal(begins.minute) / 60 > 24:
            self.add_error("begins", "The longest day would run past midnight: begin earlier, or work less.")
        return typed


class AbsenceForm(ModelForm[Absence]):
    """Days, or a morning or afternoon, on which nothing is worked."""

    first = DayField(label="From")
    last = DayField(label="To", required=False, help_text="Empty: that one day.")

    class Meta:
        model = Absence
        fields = ("kind", "first", "last", "part", "note")
        labels = {"kind": "Why", "part": "How much of it", "note": "In a few words"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        first, last = typed.get("first"), typed.get("last")
        if first and not last and "last" not in self.errors:
            typed["last"] = last = first
        if first and last and last < first:
            self.add_error("last", "It ends before it begins: pick the same day or a later one.")
        elif first and last and (last - first).days > MOST_DAYS_OFF:
            self.add_error("last", "That is more than a year: type it in parts.")
        return typed


class OutsideEventForm(ModelForm[OutsideEvent]):
    """Something that others bring, do or decide."""

    on = DayField(
        label="Day it comes, or is decided",
        required=False,
        help_text="Empty while no day is known: then it comes after its days from order to arrival.",
    )
    at = ClockField(label="At", required=False)
    ordered_on = DayField(label="Ordered on", required=False)
    lead_days = CountField(
        label="Days from order to arrival",
        least=0,
        most=MOST_LEAD_DAYS,
        required=False,
        help_text="Days by the calendar: six weeks are 42. Empty: those of the supplier or material, if set.",
    )
    holds_back = forms.ChoiceField(label="Work that waits for it", required=False)

    class Meta:
        model = OutsideEvent
        fields = (
            "kind",
            "title",
            "holds_back",
            "on",
            "at",
            "supplier",
            "material",
            "lead_days",
            "ordered_on",
            "needs_client",
            "done",
        )
        labels = {
            "kind": "What it is",
            "title": "In a few words",
            "needs_client": "Somebody must be home",
            "done": "It has come, or is decided",
        }

    def __init__(self, *args: Any, work: Sequence[tuple[str, Any]], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        offer_choices(self, "holds_back", [("", "Nothing waits for it"), *work])
        offer_choices(self, "kind", [("", "Choose what it is"), *OutsideEvent.Kind.choices])
        offer_rows(self, "supplier", Supplier.objects.offered(), "Nobody in particular")
        offer_rows(self, "material", Material.objects.offered(), "Nothing from the catalog")
        set_plain_messages(self.fields)
        self.fields["title"].error_messages["required"] = "Say what comes, such as Cabinets or Plumber."

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        on, ordered = typed.get("on"), typed.get("ordered_on")
        if on and ordered and on < ordered:
            self.add_error("on", "It can't come before it was ordered: one of the two days is mistyped.")
        if ordered and ordered > self.today:
            self.add_error("ordered_on", "That day is still to come: leave it empty until it is ordered.")
        if typed.get("lead_days") is None and "lead_days" not in self.errors:
            typed["lead_days"] = lead_days_of(typed.get("material"), typed.get("supplier"))
        if not self.errors and not on and typed["lead_days"] is None and not typed.get("done"):
            self.add_error("on", "Pick the day it comes, or say how many days it takes from the order.")
        return typed


def lead_days_of(material: Material | None, supplier: Supplier | None) -> int | None:
    """Return the days from order to arrival that were set for a material, else for its supplier."""
    times = LeadTime.objects.none()
    if material or supplier:
        times = LeadTime.objects.filter(material=material, supplier=None) if material else times
        found = times.first() if material else None
        found = found or (LeadTime.objects.filter(supplier=supplier).first() if supplier else None)
        return found.days if found else None
    return None


class LeadTimeForm(forms.Form):
    """How long a material, or whatever a supplier sends, takes from the order to its arrival."""

    of = forms.ChoiceField(label="Of what")
    days = CountField(label="Days from order to arrival", least=0, most=MOST_LEAD_DAYS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suppliers = [(f"supplier-{row.pk}", row.name) for row in Supplier.objects.offered()]
        materials = [(f"material-{row.pk}", row.name) for row in Material.objects.offered()]
        offer_choices(self, "of", [("Whatever a supplier sends", suppliers), ("One material", materials)])
        set_plain_messages(self.fields)

    def save(self) -> LeadTime:
        """Keep it in place of the one before."""
        kind, _, pk = self.cleaned_data["of"].partition("-")
        days = {"days": self.cleaned_data["days"]}
        if kind == "supplier":
            return LeadTime.objects.update_or_create(supplier_id=int(pk), defaults=days)[0]
        return LeadTime.objects.update_or_create(material_id=int(pk), defaults=days)[0]


class MoveForm(forms.Form):
    """Where a step goes: a day earlier or later, on a day, not before one, or wherever it fits."""

    EARLIER, LATER, FREE = "earlier", "later", "free"
    move = forms.ChoiceField(
        choices=[
            (EARLIER, "A day earlier"),
            (LATER, "A day later"),
            *StepDate.Kind.choices,
            (FREE, "Wherever it fits"),
        ],
        widget=forms.HiddenInput,
    )
    day = DayField(label="Day", required=False)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        day = typed.get("day")
        if typed.get("move") in StepDate.Kind and "day" not in self.errors:
            if not day:
                self.add_error("day", "Pick the day.")
            elif day < self.today:
                self.add_error("day", f"{day:%a} {day.day} {day:%b %Y} is past: pick today or a later day.")
        return typed


class ProgressForm(forms.Form):
    """How much of a step is left."""

    hours_left = HoursField(
        label="Hours left",
        most=Decimal(999),
        places=2,
        help_text="Where a part of it is done: the rest is planned.",
    )


class JobDaysForm(ModelForm[Job]):
    """From when a job can be worked on."""

    work_begins_on = DayField(
        label="Work doesn't begin before",
        required=False,
        help_text="Money to come is counted from it, too. Empty: as soon as the jobs before it leave room.",
    )

    class Meta:
        model = Job
        fields = ("work_begins_on",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)


class TellForm(forms.Form):
    """Why the days are other than before, and whether they go by mail."""

    reason = forms.CharField(
        label="Why, in a sentence",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, needs_reason: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = needs_reason
        self.fields["reason"].help_text = (
            "The client reads it." if needs_reason else "The client reads it. Empty is fine the first time."
        )
        set_plain_messages(self.fields)
        self.fields["reason"].error_messages["required"] = (
            "The client was told other days before: say why they changed, such as rain on Monday."
        )


class FeedForm(ModelForm[CalendarFeed]):
    """A calendar that subscribes to the days."""

    class Meta:
        model = CalendarFeed
        fields = ("name", "with_names")
        labels = {"name": "For which calendar", "with_names": "Show clients' names and addresses in it"}
        help_texts = {"name": "Such as: my phone."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.fields["name"].error_messages["required"] = "Say whose calendar it is, such as my phone."


def work_choices(
    phases: Iterable[tuple[str, str]], lines: Iterable[tuple[str, str]]
) -> list[tuple[str, Any]]:
    """Return the choices of work that waits: whole phases, and single lines."""
    return [("A whole phase", list(phases)), ("One piece of work", list(lines))]
