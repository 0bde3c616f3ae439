"""The items of punch lists with their photos, what was installed, and the papers of its makers."""

from typing import ClassVar

from django.db import models
from django.urls import reverse

from catalog.fields.model import MoneyField
from catalog.models import Material
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


class MaterialPaper(models.Model):
    """A paper of a material's maker, as a PDF: how to lay it, how to care for it, what its maker promises."""

    material = models.ForeignKey(Material, models.CASCADE, related_name="+")
    name = models.CharField("what it is", max_length=80)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["material", "name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["material", "sha256"], name="a_paper_of_a_material_once"),
        ]

    def __str__(self) -> str:
        return self.name


class Installed(models.Model):
    """What of a material was installed on a job, to be found again: color, lot, grout, and the day.

    `material` is the catalog's; of what isn't there, `name` says what it is.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    material = models.ForeignKey(Material, models.PROTECT, related_name="+", null=True, blank=True)
    name = models.CharField("what it is", max_length=120, blank=True)
    color = models.CharField("color or finish", max_length=120, blank=True)
    lot = models.CharField("lot, batch or model number", max_length=120, blank=True)
    grout = models.CharField("grout, sealer or what goes with it", max_length=120, blank=True)
    on = models.DateField("installed on", null=True, blank=True)
    says = models.CharField("anything else", max_length=200, blank=True)

    class Meta:
        ordering = ["job", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "material"],
                condition=models.Q(material__isnull=False),
                name="a_material_of_a_job_once",
            ),
            models.CheckConstraint(
                condition=models.Q(material__isnull=False) | ~models.Q(name=""), name="installed_has_a_name"
            ),
        ]

    def __str__(self) -> str:
        return self.material.name if self.material else self.name
