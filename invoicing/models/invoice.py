"""The bill being written, and the order of issued bills."""

from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from catalog.fields.model import MoneyField
from estimating.models import Document, Job
from invoicing.models.payment import Payment
from invoicing.models.plan import Milestone


class BillDraft(models.Model):
    """The bill being written on a job: one at a time, and deleted once it is issued.

    It stores what the owner chose; the amounts are worked out from plan and history each time it is read.
    `milestones` belong to a bill of work, `part` is how much of the only one of them it asks for, `deposit`
    how much of a billed deposit that takes off, `release` how much retainage a release bills, `late_on` the
    invoice of a late charge, `returned` the entry by which a check came back. The last bill of work releases
    what is held back, unless it `keeps_held`.
    """

    class Kind(models.TextChoices):
        WORK = "work", "Work that is done"
        DEPOSIT = "deposit", "The deposit"
        RELEASE = "release", "Retainage"
        LATE = "late", "A late charge"
        FEE = "fee", "The fee for a returned check"

    job = models.OneToOneField(Job, models.CASCADE, related_name="bill_draft")
    kind = models.CharField("what is billed", max_length=7, choices=Kind, default=Kind.WORK)
    milestones = models.ManyToManyField(Milestone, related_name="+", blank=True)
    due_on = models.DateField("due on", null=True, blank=True)
    deposit = MoneyField(
        "of the deposit to apply", max_digits=12, decimal_places=2, null=True, blank=True, default=None
    )
    part = MoneyField(
        "only this much of it now", max_digits=12, decimal_places=2, null=True, blank=True, default=None
    )
    release = MoneyField(
        "retainage to bill", max_digits=12, decimal_places=2, null=True, blank=True, default=None
    )
    keeps_held = models.BooleanField("go on holding retainage back", default=False)
    late_on = models.ForeignKey(
        Document, models.CASCADE, related_name="+", null=True, verbose_name="invoice that is late"
    )
    returned = models.ForeignKey(
        Payment, models.CASCADE, related_name="+", null=True, verbose_name="check that was returned"
    )
    note = models.TextField("words for the client", max_length=1000, blank=True)

    objects: ClassVar[models.Manager["BillDraft"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["BillDraft"]]

    def __str__(self) -> str:
        return f"Bill being written for {self.job}"

    def get_absolute_url(self) -> str:
        return reverse("bill", args=[self.job_id])

    @property
    def heading(self) -> str:
        """The heading of its page."""
        return {
            self.Kind.WORK: "Bill this work",
            self.Kind.DEPOSIT: "Bill the deposit",
            self.Kind.RELEASE: "Bill retainage",
            self.Kind.LATE: "Bill a late charge",
            self.Kind.FEE: "Bill the fee for a returned check",
        }[self.Kind(self.kind)]


class Billed(models.Model):
    """The position (`place`) of an issued invoice or credit note among those of its job, from 1.

    Two bills that were worked out from the same history want the same position, and only one can have it.
    Protected as documents are.
    """

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
