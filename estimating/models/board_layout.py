"""The boards of a job: the firm's rules for a board, what was decided by hand, and saved layouts."""

from django.core.validators import MaxValueValidator
from django.db import models

from catalog.models import Material
from estimating.models.job import Job, Room


class BoardRules(models.Model):
    """The rules that the firm sets for one board; an empty field keeps the usual rule."""

    material = models.OneToOneField(Material, models.CASCADE, related_name="board_rules")
    gap_nm = models.BigIntegerField("gap between boards", null=True, blank=True)
    perimeter_gap_nm = models.BigIntegerField("gap at walls and fixed things", null=True, blank=True)
    kerf_nm = models.BigIntegerField("kerf", null=True, blank=True)
    min_offset_nm = models.BigIntegerField("least offset of joints", null=True, blank=True)
    min_piece_nm = models.BigIntegerField("least side of a piece", null=True, blank=True)
    fastener_spacing_nm = models.BigIntegerField("fastener spacing", null=True, blank=True)
    edge_nm = models.BigIntegerField("edge distance", null=True, blank=True)
    corner_clear_nm = models.BigIntegerField("joints clear of corners", null=True, blank=True)
    may_turn = models.BooleanField("boards may be turned", null=True, blank=True)
    source = models.TextField("where these rules come from", max_length=1000, blank=True)

    class Meta:
        verbose_name_plural = "board rules"

    def __str__(self) -> str:
        return f"Rules for {self.material}"


class BoardChoice(models.Model):
    """What was decided by hand about one board on one surface of a room; an empty field decides nothing."""

    class Corner(models.TextChoices):
        SW = "sw", "Lower left"
        SE = "se", "Lower right"
        NW = "nw", "Upper left"
        NE = "ne", "Upper right"

    class Along(models.TextChoices):
        X = "x", "Across the drawing"
        Y = "y", "Up and down the drawing"

    room = models.ForeignKey(Room, models.CASCADE, related_name="board_choices")
    surface = models.CharField(max_length=20)
    material = models.ForeignKey(Material, models.CASCADE, related_name="+")
    corner = models.CharField("start in the corner", max_length=2, choices=Corner, blank=True)
    along = models.CharField("courses run", max_length=1, choices=Along, blank=True)
    first_width_nm = models.BigIntegerField("width of the first course", null=True, blank=True)
    first_piece_nm = models.BigIntegerField("length of the first piece", null=True, blank=True)
    extra = models.PositiveSmallIntegerField("bought besides", default=0, validators=[MaxValueValidator(50)])

    class Meta:
        ordering = ["room", "surface", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "surface", "material"], name="one_choice_of_a_place"),
        ]

    def __str__(self) -> str:
        return f"{self.material} on {self.surface} of {self.room}"


class BoardSize(models.Model):
    """Another size of a board, which a job lays wherever its work names that board."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="board_sizes")
    board = models.ForeignKey(Material, models.CASCADE, related_name="+")
    instead = models.ForeignKey(Material, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["job", "board"]
        constraints = [
            models.UniqueConstraint(fields=["job", "board"], name="one_size_of_a_board"),
        ]

    def __str__(self) -> str:
        return f"{self.instead} instead of {self.board} in {self.job}"


class KeptLayout(models.Model):
    """The best layout that was found for a board on a surface, so that it is searched for only once.

    `key` is a hash of everything that the layout depends on. `found` is the LayoutResult as JSON: what draws
    the layout again, and what it comes to. Without a surface it is how the sheets of many surfaces are
    shared, kept with the first of their rooms.
    """

    room = models.ForeignKey(Room, models.CASCADE, related_name="kept_layouts")
    surface = models.CharField(max_length=20)
    board = models.SlugField(max_length=80)
    key = models.CharField(max_length=64)
    found = models.JSONField()

    class Meta:
        ordering = ["room", "surface", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["room", "key"], name="one_layout_of_a_key"),
        ]

    def __str__(self) -> str:
        return f"{self.board} laid on {self.surface} of {self.room}"
