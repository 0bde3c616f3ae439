"""What an estimate prices in advance for the case that it is found, and what was opened before quoting."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from djmoney.models.fields import MoneyField

from catalog.models import Assembly
from estimating.models.estimate import Estimate

LEAST = [MinValueValidator(Decimal("0.01"))]


class HiddenCondition(models.Model):
    """A condition that can't be seen before opening up. Its price is typed for one unit, or worked out from
    an assembly for as much as usually is found; `least` is what is charged at the least each time, `most` the
    limit up to which the price holds."""

    class Unit(models.TextChoices):
        SQ_FT = "sq ft", "sq ft"
        FT = "ft", "ft"
        M2 = "m2", "m²"
        M = "m", "m"
        EACH = "each", "each"
        HOUR = "hour", "hour"
        DAY = "day", "day"

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="conditions")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField("what may be found, and what is done", max_length=120)
    unit = models.CharField("counted by", max_length=5, choices=Unit)
    price = MoneyField("price of one", max_digits=10, decimal_places=2, null=True, blank=True)
    assembly = models.ForeignKey(Assembly, models.PROTECT, related_name="+", null=True, blank=True)
    usual = models.DecimalField(
        "worked out for", max_digits=9, decimal_places=2, null=True, blank=True, validators=LEAST
    )
    least = models.DecimalField(
        "counted as at least", max_digits=9, decimal_places=2, null=True, blank=True, validators=LEAST
    )
    most = models.DecimalField("limit", max_digits=9, decimal_places=2, validators=LEAST)
    by_receipt = models.BooleanField("what is bought for it comes on top, by its receipt", default=False)
    caution = models.TextField(max_length=400, blank=True)

    class Meta:
        ordering = ["estimate", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(price__isnull=False, assembly=None, usual=None)
                | models.Q(price__isnull=True, assembly__isnull=False, usual__isnull=False),
                name="a_condition_is_typed_or_worked_out",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """What papers and changes know it by."""
        return f"condition-{self.pk}"


class OpenedPhoto(models.Model):
    """A photo of what was opened and looked at before quoting, drawn anew."""

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="opened_photos")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField("what it shows", max_length=120, blank=True)

    class Meta:
        ordering = ["estimate", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["estimate", "sha256"], name="an_opened_photo_once"),
        ]

    def __str__(self) -> str:
        return self.caption or "Photo"
