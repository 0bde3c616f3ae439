"""What he is about to bill, the order of what was billed, and what a change billed by measure took."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse
from djmoney.models.fields import MoneyField

from estimating.models import Document, Job
from invoicing.models.plan import Milestone


class BillDraft(models.Model):
    """What he is about to bill on a job: one at a time, and gone once it is issued. It keeps what he chose;
    the amounts are worked out anew from plan and history each time it is looked at."""

    class Kind(models.TextChoices):
        WORK = "work", "Work that is done"
        DEPOSIT = "deposit", "The deposit"
        RELEASE = "release", "Retainage"
        LATE = "late", "A late charge"

    job = models.OneToOneField(Job, models.CASCADE, related_name="bill_draft")
    kind = models.CharField("what is billed", max_length=7, choices=Kind, default=Kind.WORK)
    milestones = models.ManyToManyField(Milestone, related_name="+", blank=True)
    due_on = models.DateField("due on", null=True, blank=True)
    deposit = MoneyField(
        "of the deposit to take off", max_digits=12, decimal_places=2, null=True, blank=True, default=None
    )
    release = MoneyField(
        "retainage to bill", max_digits=12, decimal_places=2, null=True, blank=True, default=None
    )
    late_on = models.ForeignKey(
        Document, models.CASCADE, related_name="+", null=True, verbose_name="invoice that is late"
    )
    note = models.TextField("words for the client", max_length=1000, blank=True)

    def __str__(self) -> str:
        return f"Bill being written for {self.job}"

    def get_absolute_url(self) -> str:
        return reverse("bill", args=[self.job_id])


class Billed(models.Model):
    """The place of an issued invoice or credit note among those of its job, from 1. Two that were worked
    out from the same history want the same place, and only one can have it. Guarded as documents are."""

    document = models.OneToOneField(Document, models.PROTECT, related_name="billed")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    place = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    corrects = models.ForeignKey(Document, models.PROTECT, related_name="credited_by", null=True)

    class Meta:
        ordering = ["job", "place"]
        constraints = [
            models.UniqueConstraint(fields=["job", "place"], name="one_bill_at_a_place"),
        ]

    def __str__(self) -> str:
        return f"{self.document}, number {self.place} of its job"


class HoursWorked(models.Model):
    """Hours on the part of a signed change that is billed by measure. `document` is the change order."""

    document = models.ForeignKey(Document, models.PROTECT, related_name="hours_worked")
    on = models.DateField("day")
    hours = models.DecimalField(
        max_digits=6, decimal_places=2, validators=[MinValueValidator(Decimal("0.01"))]
    )
    says = models.CharField("what was done", max_length=120, blank=True)

    class Meta:
        ordering = ["on", "pk"]

    def __str__(self) -> str:
        return f"{self.hours.normalize():f} hours"


class ReceiptKept(models.Model):
    """A receipt for the same; `tax` is the sales tax paid on top of `cost`."""

    document = models.ForeignKey(Document, models.PROTECT, related_name="receipts_kept")
    on = models.DateField("day")
    cost = MoneyField("cost before tax", max_digits=10, decimal_places=2)
    tax = MoneyField("sales tax on it", max_digits=10, decimal_places=2, default=0)
    says = models.CharField("what was bought", max_length=120)

    class Meta:
        ordering = ["on", "pk"]

    def __str__(self) -> str:
        return self.says
