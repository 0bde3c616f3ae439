"""Late money: how the firm reminds, the reminders that it sent, and deadlines counted from the work."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from estimating.models import Document, Job
from invoicing.receivables.notice_dates import NoticeDeadline
from invoicing.receivables.reminder_steps import ReminderStep
from reading.prepared import first_of, prepared


class MoneyRules(models.Model):
    """The days after the due date on which the firm reminds, and the charges that its estimates state.

    `late_percent` is a percentage a year, `returned_fee` what a check costs that the client's bank returns; 0
    where they state none. A signed contract keeps what it states.
    """

    reminder_days = models.PositiveSmallIntegerField("days to the reminder", default=3)
    second_days = models.PositiveSmallIntegerField("days to the second reminder", default=10)
    demand_days = models.PositiveSmallIntegerField("days to the formal demand", default=30)
    late_percent = models.DecimalField(
        "late charge that your contracts state, % a year",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )

    returned_fee = models.DecimalField(
        "fee for a returned check that your contracts state",
        max_digits=6,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0)],
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_set_of_money_rules")]

    def __str__(self) -> str:
        return "Rules for money that is late"

    @classmethod
    def current(cls) -> "MoneyRules":
        """Return the firm's rules, with our own spacing where it saved none. Costs a query."""
        return first_of(_the_rules()) or cls(pk=1)

    def steps(self) -> tuple[ReminderStep, ...]:
        """Return the steps of reminding in their order, for the pure rules."""
        days = (self.reminder_days, self.second_days, self.demand_days)
        return tuple(
            ReminderStep(name, after) for name, after in zip(Reminder.Step.values, days, strict=True)
        )


@prepared
def _the_rules() -> models.QuerySet[MoneyRules]:
    return MoneyRules.objects.filter(pk=1)


class NoticeRule(models.Model):
    """A deadline of the firm's state, such as a lien notice, that the owner looked up and confirmed."""

    class From(models.TextChoices):
        FIRST = "first", "The first day of work"
        LAST = "last", "The last day of work"

    name = models.CharField("what has to be done", max_length=120)
    days = models.PositiveSmallIntegerField(
        "within how many calendar days", validators=[MinValueValidator(1), MaxValueValidator(1000)]
    )
    counted_from = models.CharField("counted from", max_length=5, choices=From)
    citation = models.CharField("where the law says so", max_length=200)
    confirmed_on = models.DateField()

    class Meta:
        ordering = ["days", "pk"]

    def __str__(self) -> str:
        return self.name

    def as_rule(self) -> NoticeDeadline:
        """Return the deadline for the pure rules."""
        return NoticeDeadline(self.name, self.days, self.counted_from == self.From.FIRST, self.citation)


class WorkDays(models.Model):
    """The first and last day of work on a job, from which the deadlines of the state count."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="+")
    first = models.DateField("first day of work", null=True, blank=True)
    last = models.DateField("last day of work", null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.job}: {self.first} to {self.last}"


class Reminder(models.Model):
    """A letter that went out about an invoice, word for word. Protected as issued documents are."""

    class Step(models.TextChoices):
        FIRST = "Reminder", "Reminder"
        SECOND = "Second reminder", "Second reminder"
        DEMAND = "Formal demand", "Formal demand"

    invoice = models.ForeignKey(Document, models.PROTECT, related_name="+")
    step = models.CharField(max_length=15, choices=Step)
    open = models.DecimalField(max_digits=14, decimal_places=2, validators=[MinValueValidator(Decimal(0))])
    to = models.CharField(max_length=254)
    text = models.TextField()
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "step"], name="a_step_is_taken_once"),
        ]

    def __str__(self) -> str:
        return f"{self.step} for {self.invoice}"
