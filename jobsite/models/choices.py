"""What a client has to choose, what is offered for it, and what was chosen."""

from typing import ClassVar

from django.db import models

from catalog.fields.model import MoneyField
from estimating.models import ChangeOrder, Document, Job, JobLink


class Choice(models.Model):
    """Something to choose. With `document` and `key` it is an allowance of the signed contract.

    The client sees it from `shown_at` on, until it is made or withdrawn; what he was shown stays on record.
    """

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    what = models.CharField("what there is to choose", max_length=120)
    says = models.TextField("a word about it", max_length=500, blank=True)
    document = models.ForeignKey(Document, models.PROTECT, related_name="+", null=True, blank=True)
    key = models.CharField(max_length=40, blank=True)
    decide_by = models.DateField("to choose by", null=True, blank=True)
    shown_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["document", "key"],
                condition=models.Q(document__isnull=False, withdrawn_at=None),
                name="one_choice_of_an_allowance",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def place(self) -> tuple[int, str] | None:
        """The allowance that it is for."""
        return (self.document_id, self.key) if self.document_id else None


class ChoiceOffer(models.Model):
    """Something that may be chosen, with a picture; `cost` is before tax, as the store asks it."""

    choice = models.ForeignKey(Choice, models.CASCADE, related_name="offers")
    title = models.CharField("what it is", max_length=120)
    says = models.CharField("a word about it", max_length=300, blank=True)
    cost = MoneyField("what it costs before tax", max_digits=10, decimal_places=2, null=True, blank=True)
    photo = models.BinaryField(null=True)

    objects: ClassVar[models.Manager["ChoiceOffer"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["ChoiceOffer"]]

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.title


class ChoiceMade(models.Model):
    """What was chosen: by whom, when, by whose page, and where it moves the price, its change order."""

    choice = models.OneToOneField(Choice, models.PROTECT, related_name="made")
    offer = models.ForeignKey(ChoiceOffer, models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    at = models.DateTimeField()
    page = models.ForeignKey(JobLink, models.PROTECT, related_name="+")
    difference = MoneyField(max_digits=10, decimal_places=2)
    change = models.ForeignKey(ChangeOrder, models.SET_NULL, related_name="+", null=True)

    objects: ClassVar[models.Manager["ChoiceMade"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["ChoiceMade"]]

    def __str__(self) -> str:
        return f"{self.choice}: {self.offer}"
