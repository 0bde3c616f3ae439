"""How fast the firm works, and what a finished piece of work is made of."""

from decimal import Decimal
from fractions import Fraction
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalog.fields.model import FractionField
from catalog.measures.room_measures import MEASURES, WALL_TILE_MEASURES, Measure
from catalog.models.buying import InUseManager, Material
from catalog.models.firm import Openings
from catalog.phases import Phase

MEASURE_CHOICES = [(measure.code, measure.label) for measure in MEASURES.values()]
PLAN_MEASURE_CHOICES = [(code, MEASURES[code].label) for code in WALL_TILE_MEASURES]


# The columns of an operation that hold hours as typed, and those that hold the same as exact numbers.
HOURS_COLUMNS = {
    "low_typed": "low_hours_per_unit",
    "rate_typed": "hours_per_unit",
    "high_typed": "high_hours_per_unit",
}


class Operation(models.Model):
    """A piece of labor: hours for each unit, and a fixed set-up each time it is done in a job."""

    class Surface(models.TextChoices):
        AS_MEASURED = "", "What it is measured by"
        FLOOR = "floor", "The floor"
        WALLS = "walls", "The walls"
        CEILING = "ceiling", "The ceiling"
        NONE = "none", "None of them"

    class OverDays(models.TextChoices):
        AS_IT_DRIES = "", "In one go if it must dry or set"
        NO = "no", "In one go, on one day"
        YES = "yes", "May go over several days"
        DAILY = "daily", "A little each day"

    code = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=120, unique=True)
    unit = models.CharField("unit it is counted in", max_length=12)
    rate_typed = models.CharField("hours", max_length=80)
    hours_per_unit = FractionField()
    low_typed = models.CharField("hours, best", max_length=80, blank=True)
    low_hours_per_unit = FractionField(null=True, blank=True)
    high_typed = models.CharField("hours, worst", max_length=80, blank=True)
    high_hours_per_unit = FractionField(null=True, blank=True)
    set_up_hours = models.DecimalField(
        "set-up hours", max_digits=6, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    wait_hours = models.DecimalField(
        "hours it must dry or set before the next step",
        max_digits=6,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0)],
    )
    surface = models.CharField(
        "what it closes while it dries",
        max_length=7,
        choices=Surface,
        default=Surface.AS_MEASURED,
        blank=True,
    )
    over_days = models.CharField(
        "how its hours lie", max_length=5, choices=OverDays, default=OverDays.AS_IT_DRIES, blank=True
    )
    source = models.TextField("where the rate comes from", max_length=1000)
    retired = models.BooleanField(default=False)
    shipped = models.JSONField(null=True, editable=False)  # see catalog.starter.shipped

    objects: ClassVar[InUseManager["Operation"]] = InUseManager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


def hours_fault(low: Fraction | None, likely: Fraction, high: Fraction | None) -> str:
    """Return a sentence for hours that are out of order, empty where low <= likely <= high.

    A firm's own operation may leave low and high out.
    """
    if low is not None and low > likely:
        return "the low hours are more than the likely ones: they must be as many or fewer."
    if high is not None and high < likely:
        return "the high hours are fewer than the likely ones: they must be as many or more."
    return ""


class Assembly(models.Model):
    """A finished piece of work: the labor, materials and other assemblies that make it."""

    class Deduct(models.TextChoices):
        FIRM = "firm", "As the firm does"
        ALL = "all", Openings.ALL.label
        ABOVE = "above", Openings.ABOVE.label
        NONE = "none", Openings.NONE.label

    class TileOffset(models.TextChoices):
        NONE = "0", "nothing"
        HALF = "1/2", "half a tile"
        THIRD = "1/3", "a third of a tile"

    class TilePattern(models.TextChoices):
        STRAIGHT = "straight", "in courses along the walls"
        DIAGONAL = "diagonal", "at 45 degrees to the walls"
        HERRINGBONE = "herringbone", "herringbone along the walls"
        HERRINGBONE_45 = "herringbone-45", "herringbone at 45 degrees to the walls"

    code = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=120, unique=True)
    phase = models.CharField(max_length=10, choices=Phase)
    measure = models.CharField("priced by", max_length=20, choices=MEASURE_CHOICES)
    plan_measure = models.CharField(
        "where nothing is typed, from the plan", max_length=20, choices=PLAN_MEASURE_CHOICES, blank=True
    )
    # Assemblies with the same words here may replace each other where one of them is asked for.
    purpose = models.CharField("one of several ways to", max_length=60, blank=True)
    scope = models.TextField("what the client reads", max_length=2000, blank=True)
    caution = models.TextField(max_length=4000, blank=True)
    deduct_material = models.CharField(
        "openings, for material", max_length=5, choices=Deduct, default=Deduct.FIRM
    )
    deduct_labor = models.CharField("openings, for labor", max_length=5, choices=Deduct, default=Deduct.FIRM)
    board = models.ForeignKey(
        Material, models.PROTECT, related_name="laid_by", null=True, blank=True, verbose_name="sheet it lays"
    )
    tile_joint_nm = models.BigIntegerField("joint between tiles", null=True, blank=True)
    tile_offset = models.CharField(
        "offset of each course of tile", max_length=3, choices=TileOffset, blank=True
    )
    tile_pattern = models.CharField(
        "pattern of the tile", max_length=14, choices=TilePattern, default=TilePattern.STRAIGHT
    )
    tile_spare_percent = models.DecimalField(
        "tile bought besides, %",
        max_digits=4,
        decimal_places=1,
        default=Decimal(5),  # attic stock by Washington State University's standard 09 30 00
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    tile_offcuts = models.BooleanField("what is cut off a tile serves once more", default=True)
    companions = models.ManyToManyField("self", through="Companion", symmetrical=False)
    after = models.ManyToManyField(
        "self", through="Precedence", symmetrical=False, related_name="before", verbose_name="done before it"
    )
    source = models.TextField("where its numbers come from", max_length=1000, blank=True)
    retired = models.BooleanField(default=False)
    shipped = models.JSONField(null=True, editable=False)  # see catalog.starter.shipped

    objects: ClassVar[InUseManager["Assembly"]] = InUseManager()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "assemblies"

    def __str__(self) -> str:
        return self.name

    @property
    def unit(self) -> str:
        """The unit that a rate counts this assembly in: that of its measure."""
        return MEASURES[self.measure].unit


class Component(models.Model):
    """One use in an assembly: a material, an operation, or another assembly."""

    class SetUpPer(models.TextChoices):
        ROOM = "room", "for each room"
        JOB = "job", "once for the job"

    assembly = models.ForeignKey(Assembly, models.CASCADE, related_name="components")
    position = models.PositiveSmallIntegerField(default=0)
    material = models.ForeignKey(Material, models.PROTECT, related_name="used_in", null=True, blank=True)
    operation = models.ForeignKey(Operation, models.PROTECT, related_name="used_in", null=True, blank=True)
    part = models.ForeignKey(Assembly, models.PROTECT, related_name="used_in", null=True, blank=True)
    scales_with = models.CharField(max_length=20, choices=MEASURE_CHOICES, blank=True)
    rate_typed = models.CharField("how much", max_length=200, blank=True)
    rate = FractionField(default="1/1")
    formula = models.CharField(max_length=30, blank=True)
    formula_inputs = models.JSONField(default=dict, blank=True)
    times = models.PositiveSmallIntegerField("times (coats)", default=1, validators=[MinValueValidator(1)])
    waste_percent = models.DecimalField(
        "waste, %", max_digits=5, decimal_places=2, default=0, validators=[MinValueValidator(0)]
    )
    set_up = models.DecimalField(
        "fixed amount", max_digits=10, decimal_places=3, default=Decimal(0), validators=[MinValueValidator(0)]
    )
    set_up_per = models.CharField(max_length=4, choices=SetUpPer, default=SetUpPer.JOB)
    source = models.TextField("where the rate comes from", max_length=1000, blank=True)

    class Meta:
        ordering = ["assembly", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(material__isnull=False, operation__isnull=True, part__isnull=True)
                | models.Q(material__isnull=True, operation__isnull=False, part__isnull=True)
                | models.Q(material__isnull=True, operation__isnull=True, part__isnull=False),
                name="component_uses_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.assembly}: {self.uses}"

    @property
    def uses(self) -> Material | Operation | Assembly:
        """The one thing that the component uses."""
        used = self.material or self.operation or self.part
        assert used is not None  # as the constraint says
        return used

    @property
    def scaling_measure(self) -> Measure:
        """The measure that the component scales with: its own, or else that of the assembly."""
        return MEASURES[self.scales_with or self.assembly.measure]


class Companion(models.Model):
    """An assembly that usually goes with another."""

    assembly = models.ForeignKey(Assembly, models.CASCADE, related_name="goes_with")
    companion = models.ForeignKey(Assembly, models.CASCADE, related_name="asked_by")
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["assembly", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["assembly", "companion"], name="one_companion_of_a_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.assembly} with {self.companion}"


class Precedence(models.Model):
    """An assembly that must be done before another, where a job has both."""

    assembly = models.ForeignKey(Assembly, models.CASCADE, related_name="waits_for")
    earlier = models.ForeignKey(Assembly, models.CASCADE, related_name="awaited_by")
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["assembly", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["assembly", "earlier"], name="one_precedence_of_a_pair"),
            models.CheckConstraint(
                condition=~models.Q(assembly=models.F("earlier")), name="nothing_waits_for_itself"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.assembly} after {self.earlier}"


class Kit(models.Model):
    """Several assemblies that are added to a room together, such as everything for a kitchen floor."""

    code = models.SlugField(max_length=80, unique=True)
    name = models.CharField(max_length=120, unique=True)
    assemblies = models.ManyToManyField(Assembly, through="KitLine")
    retired = models.BooleanField(default=False)
    shipped = models.JSONField(null=True, editable=False)  # see catalog.starter.shipped

    objects: ClassVar[InUseManager["Kit"]] = InUseManager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class KitLine(models.Model):
    """One assembly of a kit, at its position."""

    kit = models.ForeignKey(Kit, models.CASCADE, related_name="lines")
    assembly = models.ForeignKey(Assembly, models.PROTECT, related_name="in_kits")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["kit", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["kit", "assembly"], name="one_line_of_an_assembly"),
        ]

    def __str__(self) -> str:
        return f"{self.kit}: {self.assembly}"
