"""Hours worked, the clock that runs, and what was corrected of any entry."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from catalog.phases import Phase
from estimating.models import Document, Job


class ForTheJob(models.TextChoices):
    """What hours on the job itself went to."""

    TRAVEL = "travel", "Supply runs and driving"
    QUOTING = "quoting", "Measuring and quoting"
    CLEANING = "cleaning", "Setting up and cleaning"
    CALL_BACK = "call_back", "Call-back"
    WARRANTY = "warranty", "Warranty"
    EXTRA = "extra", "Extra work that nobody signed for"
    OTHER = "other", "The job, something else"


class SpentOn(models.Model):
    """What time goes to: exactly one of four.

    - a line of signed work: `document` is the signed estimate or change order, `key` the line's key in its
      basis (the primary key of the work item, where it is one);
    - a signed change as a whole, or its part that is billed by the hour: `document` without a `key`;
    - a phase of the work: `phase`;
    - the job itself: `for_job` says what of it.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    document = models.ForeignKey(Document, models.PROTECT, related_name="+", null=True)
    key = models.CharField(max_length=40, blank=True)
    phase = models.CharField(max_length=10, choices=Phase, blank=True)
    for_job = models.CharField(max_length=10, choices=ForTheJob, blank=True)
    says = models.CharField("what was done", max_length=120, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=models.Q(document__isnull=False, phase="", for_job="")
                | (models.Q(document=None, key="", for_job="") & ~models.Q(phase=""))
                | (models.Q(document=None, key="", phase="") & ~models.Q(for_job="")),
                name="%(class)s_went_to_one_thing",
            ),
        ]


class HoursWorked(SpentOn):
    """Hours of one day on one thing, as typed or as the clock ran.

    `spans` are the times of day where they are known ("08:00-12:00 12:30-16:00"); an end of 24:00 is
    midnight. Hours on a change that is billed by the hour (`document`, no `key`) are those that its bills
    ask for.
    """

    on = models.DateField("day")
    hours = models.DecimalField(
        max_digits=6, decimal_places=2, validators=[MinValueValidator(Decimal("0.01"))]
    )
    spans = models.CharField(max_length=200, blank=True)

    class Meta(SpentOn.Meta):
        ordering = ["on", "pk"]
        indexes = [
            models.Index(fields=["job", "on"], name="hours_of_a_job"),
            models.Index(fields=["on"], name="hours_of_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.hours.normalize():f} hours"


class RunningClock(SpentOn):
    """The clock that runs: one at a time for the firm. Stopping it makes hours of it."""

    started_at = models.DateTimeField()

    class Meta(SpentOn.Meta):
        constraints = [
            *SpentOn.Meta.constraints,
            models.CheckConstraint(condition=models.Q(pk=1), name="one_clock_runs"),
        ]

    def __str__(self) -> str:
        return f"Clock running since {self.started_at}"


class Correction(models.Model):
    """What an entry said before it was corrected or removed.

    `row` is its primary key among the entries of its `kind`; no row ever gets the number of one removed.
    """

    class Kind(models.TextChoices):
        HOURS = "hours", "Hours"
        RECEIPT = "receipt", "Receipt"
        MILEAGE = "mileage", "Mileage"

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    kind = models.CharField(max_length=7, choices=Kind)
    row = models.PositiveBigIntegerField()
    was = models.TextField()
    removed = models.BooleanField(default=False)
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["kind", "row"], name="corrections_of_an_entry")]

    def __str__(self) -> str:
        return f"Was: {self.was}"
