"""Hidden conditions that an estimate prices in advance, and photos of what was opened before quoting."""

from decimal import Decimal
from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models

from catalog.fields.model import MoneyField
from catalog.models import Assembly
from estimating.models.estimate import Estimate
from estimating.models.room_photo import RoomPhoto

LEAST = [MinValueValidator(Decimal("0.01"))]


class HiddenCondition(models.Model):
    """A condition that can't be seen before opening up.

    Its price is typed for one unit, or computed from an assembly for the `usual` quantity; `least` is the
    quantity that is charged at the least each time, `most` the limit up to which the price holds.
    """

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
        "minimum", max_digits=9, decimal_places=2, null=True, blank=True, validators=LEAST
    )
    most = models.DecimalField("limit", max_digits=9, decimal_places=2, validators=LEAST)
    by_receipt = models.BooleanField("what is bought for it comes on top, by its receipt", default=False)
    caution = models.TextField(max_length=400, blank=True)

    objects: ClassVar[models.Manager["HiddenCondition"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["HiddenCondition"]]

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
        """Return the key by which documents and changes refer to it."""
        return f"condition-{self.pk}"


class EstimatePhoto(models.Model):
    """A photo that an estimate can carry, re-encoded: of the place, or of what was opened before quoting."""

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField("what it shows", max_length=120, blank=True)
    is_opened = models.BooleanField("of what was opened", default=False)
    is_printed = models.BooleanField("on the estimate", default=True)
    of_room = models.ForeignKey(RoomPhoto, models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["estimate", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["estimate", "sha256"], name="an_estimate_photo_once"),
        ]

    def __str__(self) -> str:
        return self.caption or "Photo"
