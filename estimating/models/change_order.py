"""A change order while it is drafted: its reason, the work it adds, and what else it settles."""

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from catalog.fields.model import MoneyField
from estimating.events.states import ACCEPTED
from estimating.models.document import Document
from estimating.models.estimate import Estimate, WorkItem
from estimating.models.job import Job

MOST_DAYS = 400


class ChangeOrder(models.Model):
    """A change order as it is written.

    The work that it adds is an estimate of its own, begun with the rates of the signed one, so that work,
    measures and prices are those of any estimate.
    """

    class Reason(models.TextChoices):
        CLIENT = "client", "The client asked for it"
        HIDDEN = "hidden", "Something hidden was found"
        DESIGN = "design", "The design changed"
        CODE = "code", "The code requires it"
        OURS = "ours", "The error is ours"
        GIVEN = "given", "Given up by the firm"

    job = models.ForeignKey(Job, models.CASCADE, related_name="changes")
    estimate = models.OneToOneField(Estimate, models.CASCADE, related_name="change")
    reason = models.CharField("why", max_length=6, choices=Reason)
    title = models.CharField("what it is about", max_length=80)
    found = models.TextField("what was found or asked for", max_length=2000, blank=True)
    asked_by = models.CharField("who asked", max_length=120, blank=True)
    days = models.SmallIntegerField(
        "working days that it adds",
        default=0,
        validators=[MinValueValidator(-MOST_DAYS), MaxValueValidator(MOST_DAYS)],
    )
    payment = models.CharField("when it is paid", max_length=200, blank=True)
    time_and_material = models.ManyToManyField(WorkItem, related_name="+", blank=True)

    class Meta:
        ordering = ["job", "pk"]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("change", args=[self.pk])

    def issued(self) -> Document | None:
        """Return the document that it was issued as last; None where it wasn't. Costs a query."""
        return Document.objects.filter(estimate=self.estimate_id).order_by("-pk").first()

    def is_signed(self) -> bool:
        """Return whether it is signed: then it stays as it is. Costs two queries."""
        document = self.issued()
        return document is not None and document.state() == ACCEPTED


class ChangePhoto(models.Model):
    """A photo of what was found, re-encoded so that it holds nothing but the picture."""

    change = models.ForeignKey(ChangeOrder, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField("what it shows", max_length=120, blank=True)

    class Meta:
        ordering = ["change", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["change", "sha256"], name="a_photo_once"),
        ]

    def __str__(self) -> str:
        return self.caption or "Photo"


class ChangeLine(models.Model):
    """Something that a change settles beside the work that it adds.

    `document` and `key` name the line of the signed contract that it changes, or whose unit price it goes
    by. `amount` is the price of a unit, what material costs before tax, or the part taken out of a price; a
    hidden condition and an option have none here, their prices are those that were signed. Of what is given
    up, `taxable` is the part of the amount that is taxed.
    """

    class Kind(models.TextChoices):
        AGREED = "agreed", "Work for a lump sum"
        TAKEN_OUT = "taken_out", "Work removed"
        PART_OUT = "part_out", "A part of work removed"
        BROUGHT = "brought", "Owner-furnished material"
        CHOICE = "choice", "A choice against its allowance"
        FOUND = "found", "Found, at the price signed for it"
        OPTION = "option", "An option, at the price signed for it"
        GIVEN_UP = "given_up", "Given up by the firm"

    change = models.ForeignKey(ChangeOrder, models.CASCADE, related_name="lines")
    kind = models.CharField(max_length=9, choices=Kind)
    title = models.CharField("what", max_length=120)
    document = models.ForeignKey(Document, models.PROTECT, related_name="+", null=True)
    key = models.CharField(max_length=40, blank=True)
    quantity = models.DecimalField(
        max_digits=9, decimal_places=2, default=1, validators=[MinValueValidator(Decimal("0.01"))]
    )
    unit = models.CharField(max_length=20, blank=True)
    amount = MoneyField(max_digits=10, decimal_places=2, default=0)
    taxable = MoneyField(max_digits=10, decimal_places=2, default=0)

    objects: ClassVar[models.Manager["ChangeLine"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["ChangeLine"]]

    class Meta:
        ordering = ["change", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["change", "document", "key"],
                condition=models.Q(document__isnull=False),
                name="one_settlement_of_a_line",
            ),
        ]

    def __str__(self) -> str:
        return self.title
