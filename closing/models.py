"""The items of punch lists, with their photos."""

from typing import ClassVar

from django.db import models
from django.urls import reverse

from catalog.fields.model import MoneyField
from estimating.models import ChangeOrder, Job, Room


class PunchListItem(models.Model):
    """Something that was seen on the walk-through of a job.

    `worth` is what is held back until it is done; `change` the change order that a wish became; `answer` why
    it isn't done, in writing. What state that makes is worked out: `closing/punch_list/items.py`.
    """

    class Whose(models.TextChoices):
        SCOPE = "scope", "In the scope: I finish it"
        WISH = "wish", "A new wish"
        NOT_OURS = "not_ours", "Not ours"

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    text = models.CharField("what", max_length=200)
    room = models.ForeignKey(Room, models.SET_NULL, related_name="+", null=True, blank=True)
    whose = models.CharField("whose it is", max_length=8, choices=Whose, default=Whose.SCOPE)
    worth = MoneyField(
        "held back until it is done", max_digits=10, decimal_places=2, null=True, blank=True, default=None
    )
    answer = models.CharField("why it isn't done", max_length=300, blank=True)
    change = models.ForeignKey(ChangeOrder, models.SET_NULL, related_name="+", null=True, blank=True)
    noted_on = models.DateField("seen on")
    done_on = models.DateField(null=True, blank=True)

    objects: ClassVar[models.Manager["PunchListItem"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PunchListItem"]]

    class Meta:
        ordering = ["job", "pk"]

    def __str__(self) -> str:
        return self.text

    def get_absolute_url(self) -> str:
        return reverse("punch-list-item", args=[self.pk])


class PunchListPhoto(models.Model):
    """A photo of an item, re-encoded so that it holds nothing but the picture; `small` is for lists.

    `of_done` says that it shows the item done.
    """

    item = models.ForeignKey(PunchListItem, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    small = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    of_done = models.BooleanField(default=False)

    class Meta:
        ordering = ["item", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "sha256"], name="a_photo_of_an_item_once"),
        ]

    def __str__(self) -> str:
        return f"Photo of {self.item}"
