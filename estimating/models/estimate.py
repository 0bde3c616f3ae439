"""A draft estimate: the work items on a job's rooms, and how they are priced and shown."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from hashlib import sha256
from typing import ClassVar, Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models, transaction

from catalog.fields.model import MarkupField, MoneyField
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, ContingencyOf, Detail, Firm, Material
from catalog.models.firm import first_markup
from catalog.phases import Phase
from estimating.models.job import Job, Room
from estimating.models.room_photo import RoomPhoto
from reading.prepared import first_of, prepared

PERCENT = [MinValueValidator(0), MaxValueValidator(100)]

COPIED_FROM_FIRM = (
    "labor_rate",
    "labor_markup",
    "material_markup",
    "equipment_markup",
    "subcontract_markup",
    "contingency_percent",
    "contingency_of",
    "show_contingency",
    "minimum_charge",
    "hours_per_day",
    "run_hours",
    "days_per_run",
    "visit_hours",
    "change_markup",
    "change_fee",
    "change_minimum",
    "deduct_keeps_percent",
    "valid_days",
    "detail",
    "assumptions",
    "exclusions",
    "terms",
)


class Estimate(models.Model):
    """The draft of an estimate. Rates are copied from the firm when it is begun: later ones don't move it."""

    class ScopeBy(models.TextChoices):
        WORK = "work", "By kind of work"
        ROOM = "room", "By room"

    job = models.ForeignKey(Job, models.CASCADE, related_name="estimates")
    dated = models.DateField("date")
    labor_rate = MoneyField("labor cost an hour", max_digits=9, decimal_places=2)
    labor_markup = MarkupField("on labor")
    material_markup = MarkupField("on material")
    equipment_markup = MarkupField("on equipment")
    subcontract_markup = MarkupField("on subcontracts")
    contingency_percent = models.DecimalField(
        "contingency, %", max_digits=5, decimal_places=2, default=0, validators=PERCENT
    )
    contingency_of = models.CharField(
        "contingency is a share", max_length=5, choices=ContingencyOf, default=ContingencyOf.PRICE
    )
    show_contingency = models.BooleanField("show the contingency to the client", default=False)
    minimum_charge = MoneyField("minimum charge for the job", max_digits=9, decimal_places=2, default=0)
    hours_per_day = models.DecimalField("working hours in a day", max_digits=4, decimal_places=2)
    run_hours = models.DecimalField("hours of one supply run", max_digits=4, decimal_places=2)
    days_per_run = models.PositiveSmallIntegerField("working days that one run serves")
    runs = models.PositiveSmallIntegerField("supply runs", null=True, blank=True)
    visit_hours = models.DecimalField("hours lost on a return visit", max_digits=4, decimal_places=2)
    valid_days = models.PositiveSmallIntegerField("days it is valid")
    detail = models.CharField("prices that the client sees", max_length=5, choices=Detail)
    scope_by = models.CharField(
        "scope that the client sees", max_length=4, choices=ScopeBy, default=ScopeBy.WORK
    )
    show_walls = models.BooleanField("show how the walls look, drawn", default=False)
    show_trips = models.BooleanField("show trips as a line of their own", default=False)
    summary = models.TextField("what it is about, in two sentences", max_length=600, blank=True)
    letter = models.TextField("a few words to the client, before the work", max_length=2000, blank=True)
    assumptions = models.TextField("assumptions, one a line", max_length=4000, blank=True)
    exclusions = models.TextField("not included, one a line", max_length=4000, blank=True)
    left_as_is = models.TextField("existing to remain, one a line", max_length=4000, blank=True)
    terms = models.TextField("terms", max_length=4000, blank=True)
    opened = models.TextField(
        "what was opened and looked at before this price, one a line", max_length=2000, blank=True
    )
    change_markup = MarkupField("on what a change buys", default=first_markup)
    change_fee = MoneyField("fee for each change", max_digits=9, decimal_places=2, default=0)
    change_minimum = MoneyField("minimum charge of a change", max_digits=9, decimal_places=2, default=0)
    deduct_keeps_percent = models.DecimalField(
        "kept on deductive changes, %", max_digits=5, decimal_places=2, default=0, validators=PERCENT
    )
    # By the code of the material: the amount in its unit, and as it was typed.
    on_hand = models.JSONField("stock on hand", default=dict, blank=True)
    set_aside = models.ManyToManyField(Assembly, through="SetAside", related_name="+")

    objects: ClassVar[models.Manager["Estimate"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["Estimate"]]

    class Meta:
        ordering = ["-dated", "-pk"]

    def __str__(self) -> str:
        return f"Estimate for {self.job}"

    @classmethod
    def begin(cls, job: Job, firm: Firm, today: date) -> Self:
        """Return a new, saved draft with the firm's rates and words as they are today."""
        estimate = cls.blank(job, firm, today)
        estimate.save()
        return estimate

    @classmethod
    def blank(cls, job: Job, firm: Firm, today: date) -> Self:
        """Return the same, not saved; the job needn't be saved either."""
        copied = {name: getattr(firm, name) for name in COPIED_FROM_FIRM}
        return cls(job=job, dated=today, **copied)

    @classmethod
    def current(cls, job: Job, firm: Firm, today: date) -> "Estimate":
        """Return the job's newest draft, begun now where there is none; the work of a change isn't one."""
        estimate = first_of(_drafts_of(job.pk))
        if estimate is None:
            return cls.begin(job, firm, today)
        estimate.job = job
        return estimate

    @property
    def valid_to(self) -> date:
        return self.dated + timedelta(days=self.valid_days)

    def stock(self) -> dict[str, Fraction]:
        """Return what is on hand by the code of its material, in the material's unit."""
        return {code: Fraction(kept["amount"]) for code, kept in self.on_hand.items()}

    @classmethod
    def on_hand_for(cls, job: Job) -> dict[str, Fraction]:
        """Return what is on hand for a job, by the code of the material. Costs a query."""
        newest = cls.objects.filter(job=job, change=None).only("on_hand").first()
        return newest.stock() if newest else {}

    def add_photos(self, photos: Iterable[bytes], *, is_opened: bool = False) -> None:
        """Keep photos, each once; they are printed until he says otherwise."""
        for content in photos:
            self.photos.get_or_create(
                sha256=sha256(content).hexdigest(), defaults={"content": content, "is_opened": is_opened}
            )

    def add_room_photos(self, photos: Iterable[RoomPhoto]) -> None:
        """Put photos of rooms among those of the estimate, each once, with what they show."""
        for photo in photos:
            kept = {"content": bytes(photo.content), "caption": photo.in_words[:120], "of_room": photo}
            self.photos.get_or_create(sha256=photo.sha256, defaults=kept)

    def arrange(self, order: Sequence[int]) -> None:
        """Put the work items with these primary keys into this order."""
        items = self.items.in_bulk(order)
        for position, pk in enumerate(order):
            items[pk].position = position
        WorkItem.objects.bulk_update(items.values(), ["position"])

    def add_companion(self, assembly: Assembly) -> "WorkItem":
        """Add a companion on the rooms of the first work item that asks for it, and return it.

        A companion that must be done before that item goes before it. Call in a transaction.
        """
        self.asides.filter(assembly=assembly).delete()
        waiting = self.items.filter(assembly__waits_for__earlier=assembly).first()
        asked_by = waiting or self.items.filter(assembly__goes_with__companion=assembly).first()
        last = self.items.last()
        position = waiting.position if waiting else last.position + 1 if last else 0
        self.items.filter(position__gte=position).update(position=models.F("position") + 1)
        item = WorkItem.objects.create(
            estimate=self,
            position=position,
            title=assembly.name,
            scope=assembly.scope,
            phase=assembly.phase,
            assembly=assembly,
        )
        if asked_by:
            WorkRoom.objects.bulk_create(
                WorkRoom(item=item, room_id=use.room_id, walls=use.walls) for use in asked_by.in_rooms.all()
            )
        return item


@prepared
def _drafts_of(job: int) -> models.QuerySet[Estimate]:
    return Estimate.objects.filter(job=job, change=None)[:1]


class WorkItem(models.Model):
    """A piece of work in an estimate: an assembly on rooms, or a quick line of hours and costs.

    Options with the same `option_name` are one option, taken or not as a whole.
    """

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="items")
    position = models.PositiveSmallIntegerField(default=0)
    title = models.CharField(max_length=120)
    scope = models.TextField("what the client reads", max_length=2000, blank=True)
    phase = models.CharField(max_length=10, choices=Phase)
    assembly = models.ForeignKey(Assembly, models.PROTECT, related_name="+", null=True, blank=True)
    is_option = models.BooleanField("an option, outside the sum until the client takes it", default=False)
    option_name = models.CharField("name of the option", max_length=120, blank=True)
    decide_by = models.DateField("decide by", null=True, blank=True)
    extra_hours = models.DecimalField(
        "hours", max_digits=7, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    material_cost = MoneyField("material cost", max_digits=10, decimal_places=2, default=0)
    material_taxable = models.BooleanField("sales tax is charged on this material", default=True)
    equipment_cost = MoneyField("equipment cost", max_digits=10, decimal_places=2, default=0)
    subcontract_cost = MoneyField("subcontract cost", max_digits=10, decimal_places=2, default=0)
    price_by_hand = MoneyField(
        "price by hand, before tax", max_digits=10, decimal_places=2, null=True, blank=True, default=None
    )
    # Codes of estimating.takeoff.job_conditions, with commas between.
    conditions = models.CharField("what makes it take longer", max_length=120, blank=True)
    rooms = models.ManyToManyField(Room, through="WorkRoom", related_name="+")

    objects: ClassVar[models.Manager["WorkItem"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["WorkItem"]]

    class Meta:
        ordering = ["estimate", "position", "pk"]

    def __str__(self) -> str:
        return self.title

    def move(self, *, up: bool) -> None:
        """Move the item one place up or down among the work of its phase; at the end it stays."""
        with transaction.atomic():
            items = list(self.estimate.items.all())
            same_phase = [item for item in items if item.phase == self.phase]
            neighbor = same_phase.index(self) + (-1 if up else 1)
            if 0 <= neighbor < len(same_phase):
                mine, other = items.index(self), items.index(same_phase[neighbor])
                items[mine], items[other] = items[other], items[mine]
            for position, item in enumerate(items):
                item.position = position
            WorkItem.objects.bulk_update(items, ["position"])


class WorkRoom(models.Model):
    """A room that a work item is done in; `walls` names some of its walls ("A,B"), empty means all."""

    item = models.ForeignKey(WorkItem, models.CASCADE, related_name="in_rooms")
    room = models.ForeignKey(Room, models.PROTECT, related_name="work")
    walls = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["item", "room__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "room"], name="one_line_of_a_room"),
        ]

    def __str__(self) -> str:
        return f"{self.item} in {self.room}"

    def chosen_walls(self) -> frozenset[int] | None:
        """Return the indexes of the walls chosen; None for all."""
        if not self.walls:
            return None
        return frozenset(wall_index(letter) for letter in self.walls.split(","))

    def has_lost_walls(self) -> bool:
        """Return whether it names walls that its room no longer has."""
        return any(wall >= len(self.room.legs) for wall in self.chosen_walls() or ())


def wall_index(letters: str) -> int:
    """Return the index of the wall with these letters: A is 0, Z 25, AA 26."""
    index = 0
    for letter in letters:
        index = index * 26 + ord(letter) - ord("A") + 1
    return index - 1


class MeasureOverride(models.Model):
    """A measure typed by hand for one work item, with the reason."""

    item = models.ForeignKey(WorkItem, models.CASCADE, related_name="overrides")
    measure = models.CharField(
        max_length=20, choices=[(measure.code, measure.label) for measure in MEASURES.values()]
    )
    amount = models.DecimalField(max_digits=14, decimal_places=6, validators=[MinValueValidator(Decimal(0))])
    typed = models.CharField(max_length=80)
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["item", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "measure"], name="one_override_of_a_measure"),
        ]

    def __str__(self) -> str:
        return f"{self.get_measure_display()}: {self.typed}"


class ClientSupply(models.Model):
    """A material of a work item that the client brings: the labor is priced, the material is not."""

    item = models.ForeignKey(WorkItem, models.CASCADE, related_name="client_supplies")
    material = models.ForeignKey(Material, models.PROTECT, related_name="+")
    needed_by = models.DateField("needed on site by", null=True, blank=True)

    class Meta:
        ordering = ["item", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "material"], name="client_supplies_once"),
        ]

    def __str__(self) -> str:
        return f"{self.material}, by the client"


class SetAside(models.Model):
    """A companion that the estimate leaves out on purpose.

    It prints as not included, unless there is nothing to leave out: the firm has it, or it doesn't occur.
    """

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="asides")
    assembly = models.ForeignKey(Assembly, models.CASCADE, related_name="+")
    is_printed = models.BooleanField("printed as not included", default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["estimate", "assembly"], name="set_aside_once"),
        ]

    def __str__(self) -> str:
        return f"{self.assembly}, set aside"


class Allowance(models.Model):
    """A sum for a choice that the client has still to make, and what it covers."""

    class Basis(models.TextChoices):
        COST = "cost", "At cost: tax and markup are added"
        PRICE = "price", "At price: the client sees this sum"

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="allowances")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120)
    basis = models.CharField(max_length=5, choices=Basis, default=Basis.COST)
    amount = MoneyField(max_digits=10, decimal_places=2)
    phase = models.CharField(max_length=10, choices=Phase, default=Phase.SET)
    covers_labor = models.BooleanField("labor to set it", default=False)
    covers_tax = models.BooleanField("sales tax", default=True)
    covers_delivery = models.BooleanField("delivery", default=False)
    decide_by = models.DateField(null=True, blank=True)

    objects: ClassVar[models.Manager["Allowance"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["Allowance"]]

    class Meta:
        ordering = ["estimate", "position", "pk"]

    def __str__(self) -> str:
        return self.name


class UndoStep(models.Model):
    """What was last done to the list of an estimate's work, so that it can be undone.

    `rows` holds, by the work item's primary key, what it was before and what it was made, serialized; None
    where it wasn't there.
    """

    estimate = models.OneToOneField(Estimate, models.CASCADE, related_name="undo_step")
    words = models.CharField(max_length=200)
    rows = models.JSONField()

    def __str__(self) -> str:
        return self.words
