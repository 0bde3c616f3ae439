"""Receipts with their photos and lines, mileage, and what of the shopping list is bought."""

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models

from catalog.fields.model import MoneyField
from catalog.models import Material, Package
from estimating.models import Document, Job


class ReceiptKept(models.Model):
    """What was paid at a store for a job; a return is below zero.

    `cost` is before tax, `tax` the sales tax paid on top of it. `document` is the change order where it is
    for a change that is billed by receipts: those are the ones that its bills ask for.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    document = models.ForeignKey(Document, models.PROTECT, related_name="+", null=True)
    on = models.DateField("day")
    supplier = models.CharField("store", max_length=120, blank=True)
    cost = MoneyField("cost before tax", max_digits=10, decimal_places=2)
    tax = MoneyField("sales tax on it", max_digits=10, decimal_places=2, default=0)
    says = models.CharField("what was bought", max_length=120)

    objects: ClassVar[models.Manager["ReceiptKept"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["ReceiptKept"]]

    class Meta:
        ordering = ["on", "pk"]
        indexes = [models.Index(fields=["job", "on"], name="receipts_of_a_job")]

    def __str__(self) -> str:
        return self.says

    @property
    def total(self) -> Decimal:
        """What was paid, tax included."""
        paid: Decimal = self.cost.amount + self.tax.amount
        return paid


class ReceiptPhoto(models.Model):
    """The photo of a receipt, re-encoded so that it holds nothing but the picture."""

    receipt = models.OneToOneField(ReceiptKept, models.CASCADE, related_name="photo")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"Photo of {self.receipt}"


class ReceiptLine(models.Model):
    """A line of a receipt that he cares to keep: what it cost before tax, below zero for a return.

    With a `package` of the catalog it tells what one package costs now; `price_answered` says that he took
    that price or left it.
    """

    receipt = models.ForeignKey(ReceiptKept, models.CASCADE, related_name="lines")
    says = models.CharField("what", max_length=120, blank=True)
    material = models.ForeignKey(Material, models.PROTECT, related_name="+", null=True, blank=True)
    package = models.ForeignKey(Package, models.PROTECT, related_name="+", null=True, blank=True)
    quantity = models.DecimalField(
        "how many", max_digits=9, decimal_places=2, default=1, validators=[MinValueValidator(Decimal("0.01"))]
    )
    amount = MoneyField("cost before tax", max_digits=10, decimal_places=2)
    price_answered = models.BooleanField(default=False)

    objects: ClassVar[models.Manager["ReceiptLine"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["ReceiptLine"]]

    class Meta:
        ordering = ["receipt", "pk"]

    def __str__(self) -> str:
        return self.says or str(self.material)


class Mileage(models.Model):
    """Miles driven for a job on a day, at the rate that he typed: dollars a mile, down to tenths of cents."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    on = models.DateField("day")
    miles = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(Decimal("0.1"))]
    )
    rate = models.DecimalField("dollars a mile", max_digits=6, decimal_places=4)
    says = models.CharField("where to", max_length=120, blank=True)

    class Meta:
        ordering = ["on", "pk"]
        indexes = [models.Index(fields=["job", "on"], name="mileage_of_a_job")]

    def __str__(self) -> str:
        return f"{self.miles.normalize():f} miles"


class BoughtMaterial(models.Model):
    """A line of a job's shopping list that is ticked as bought; `code` is the material's in the basis."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    code = models.CharField(max_length=80)
    on = models.DateField("day")

    class Meta:
        ordering = ["job", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "code"], name="bought_once")]

    def __str__(self) -> str:
        return self.code
