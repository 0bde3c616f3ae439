"""What binds the days of the work: the firm's hours, days off, jobs in their order, pins, what comes from
outside."""

from datetime import time
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from catalog.models import Material, Supplier
from estimating.models import Job
from jobsite.models.permits import Permit
from reading.prepared import first_of, prepared

MOST_LEAD_DAYS = 400
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def _hours(label: str, default: int) -> "models.DecimalField[Decimal, Decimal]":
    return models.DecimalField(
        label,
        max_digits=4,
        decimal_places=2,
        default=Decimal(default),
        validators=[MinValueValidator(0), MaxValueValidator(16)],
    )


class WorkWeek(models.Model):
    """The hours on site of each weekday: when a day begins, and how many hours follow; none is a day off."""

    begins = models.TimeField("a day on site begins at", default=time(8))
    monday = _hours("Monday", 7)
    tuesday = _hours("Tuesday", 7)
    wednesday = _hours("Wednesday", 7)
    thursday = _hours("Thursday", 7)
    friday = _hours("Friday", 7)
    saturday = _hours("Saturday", 0)
    sunday = _hours("Sunday", 0)
    keeps_holidays = models.BooleanField("no work on federal holidays", default=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_work_week")]

    def __str__(self) -> str:
        return f"{self.week_hours():g} hours a week"

    @classmethod
    def current(cls) -> "WorkWeek":
        """Return the week that is kept, or the plain one, not saved. Costs a query."""
        return first_of(_the_week()) or cls(pk=1)

    def hours_by_weekday(self) -> tuple[Decimal, ...]:
        """Return the hours from Monday to Sunday."""
        return tuple(getattr(self, name) for name in WEEKDAYS)

    def week_hours(self) -> Decimal:
        """Return the hours of a whole week."""
        return sum(self.hours_by_weekday(), Decimal(0))


@prepared
def _the_week() -> models.QuerySet[WorkWeek]:
    return WorkWeek.objects.filter(pk=1)


class Absence(models.Model):
    """Days, or a part of a day, on which no work is done on any job."""

    class Kind(models.TextChoices):
        OFF = "off", "Day off"
        RAIN = "rain", "Lost to rain"
        ILL = "ill", "Ill"
        OTHER = "other", "Something else"

    class Part(models.TextChoices):
        DAY = "day", "The whole day"
        MORNING = "morning", "The morning"
        AFTERNOON = "afternoon", "The afternoon"

    kind = models.CharField("why", max_length=5, choices=Kind, default=Kind.OFF)
    first = models.DateField("from")
    last = models.DateField("to")
    part = models.CharField("how much of it", max_length=9, choices=Part, default=Part.DAY)
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(first__lte=models.F("last")), name="an_absence_ends_after_it_begins"
            )
        ]

    def __str__(self) -> str:
        return self.note or self.get_kind_display()


class LeadTime(models.Model):
    """The days from an order to its arrival: of a material, or of whatever a supplier sends."""

    supplier = models.ForeignKey(Supplier, models.CASCADE, related_name="+", null=True, blank=True)
    material = models.ForeignKey(Material, models.CASCADE, related_name="+", null=True, blank=True)
    days = models.PositiveSmallIntegerField(
        "days from order to arrival", validators=[MaxValueValidator(MOST_LEAD_DAYS)]
    )

    class Meta:
        ordering = ["-days", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(supplier__isnull=False, material__isnull=True)
                | models.Q(supplier__isnull=True, material__isnull=False),
                name="a_lead_time_is_of_one_thing",
            ),
            models.UniqueConstraint(fields=["supplier"], name="one_lead_time_of_a_supplier"),
            models.UniqueConstraint(fields=["material"], name="one_lead_time_of_a_material"),
        ]

    def __str__(self) -> str:
        return f"{self.material or self.supplier}: {self.days} days"


class JobDays(models.Model):
    """How a job is planned: its place among the open jobs.

    `replanned_on` is the day from which what is left was planned again last.
    """

    job = models.OneToOneField(Job, models.CASCADE, related_name="+")
    position = models.PositiveSmallIntegerField(default=0)
    replanned_on = models.DateField(null=True, editable=False)

    class Meta:
        ordering = ["position", "job"]

    def __str__(self) -> str:
        return f"Days of {self.job}"


class StepDate(models.Model):
    """A day that was set by hand for a step of a job: on it, or not before it."""

    class Kind(models.TextChoices):
        ON = "on", "On this day"
        NOT_BEFORE = "not_before", "Not before this day"

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    step = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=Kind)
    day = models.DateField()

    class Meta:
        ordering = ["job", "day", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "step"], name="one_date_of_a_step")]

    def __str__(self) -> str:
        return f"{self.step}: {self.get_kind_display().lower()}, {self.day}"


class StepProgress(models.Model):
    """How much of a step is left, as noted on a day: 0 hours once it is done."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    step = models.CharField(max_length=120)
    hours_left = models.DecimalField(
        "hours left", max_digits=6, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    noted_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "step"], name="one_progress_of_a_step")]

    def __str__(self) -> str:
        return f"{self.step}: {self.hours_left} h left"


class OutsideEvent(models.Model):
    """Something that others bring, do or decide, and the work that waits for it.

    Work in `holds_back` (a phase) doesn't begin before `on`; empty holds back nothing. What is ordered has
    `lead_days`. `needs_client` says that somebody must be home.
    An inspection may have its `permit`, its `result` and what was `said`.
    """

    class Kind(models.TextChoices):
        DELIVERY = "delivery", "Delivery"
        DECISION = "decision", "The client decides"
        TRADE = "trade", "A licensed trade"
        INSPECTION = "inspection", "Inspection"
        DUMPSTER = "dumpster", "Dumpster"
        TEMPLATE = "template", "Counter maker measures"
        SETTING = "setting", "Counter maker sets"
        OTHER = "other", "Something else"

    class Result(models.TextChoices):
        PASSED = "passed", "Passed"
        PARTLY = "partly", "Passed in part"
        FAILED = "failed", "Not passed"

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    kind = models.CharField("what it is", max_length=10, choices=Kind)
    title = models.CharField("in a few words", max_length=80)
    on = models.DateField("day it comes", null=True, blank=True)
    until = models.DateField("to", null=True, blank=True)
    at = models.TimeField("at", null=True, blank=True)
    holds_back = models.CharField("work that waits for it", max_length=120, blank=True)
    supplier = models.ForeignKey(Supplier, models.SET_NULL, related_name="+", null=True, blank=True)
    material = models.ForeignKey(Material, models.SET_NULL, related_name="+", null=True, blank=True)
    lead_days = models.PositiveSmallIntegerField(
        "days from order to arrival",
        null=True,
        blank=True,
        validators=[MaxValueValidator(MOST_LEAD_DAYS)],
    )
    ordered_on = models.DateField("ordered on", null=True, blank=True)
    needs_client = models.BooleanField("somebody must be home", default=False)
    done = models.BooleanField("it has come", default=False)
    permit = models.ForeignKey(Permit, models.SET_NULL, related_name="inspections", null=True, blank=True)
    result = models.CharField("what came of it", max_length=6, choices=Result, blank=True)
    said = models.CharField("what the inspector said", max_length=300, blank=True)

    class Meta:
        ordering = ["job", models.F("on").asc(nulls_last=True), "pk"]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("days-event", args=[self.job_id, self.pk])
