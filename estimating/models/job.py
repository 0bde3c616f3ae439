"""Clients, their jobs, and the rooms of a job as measured."""

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any, Self

from django.apps import apps
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from catalog.models import TaxPolicy
from catalog.rows.us_states import STATES
from estimating.cabinets.units import Unit
from estimating.contract import cancellation_rule
from estimating.floor_structure.floor import FloorFrame
from estimating.rooms.outline import Leg
from estimating.rooms.plan import (
    Column,
    ElectricalPlace,
    Footprint,
    Framing,
    HeightPoint,
    RoomPlan,
    Soffit,
    Spot,
)
from estimating.rooms.plan import Opening as PlannedOpening


def _phone_has(path: str, word: str) -> models.Q:
    """Return whether a phone number has the digits of a word, however either is written: at least four."""
    digits = "".join(filter(str.isdigit, word))
    if len(digits) < 4 or not set(word) <= set("0123456789()+-. /"):
        return models.Q()
    return models.Q(**{f"{path}__regex": "[^0-9]*".join(digits)})


class ClientQuerySet(models.QuerySet["Client"]):
    """Clients by words."""

    def containing(self, text: str) -> Self:
        """Return the clients that have every word of a text in their name, address, phone or e-mail."""
        clients = self
        for word in text.split():
            clients = clients.filter(_client_has("", word))
        return clients


def _client_has(path: str, word: str) -> models.Q:
    """Return whether a word is in the name, address, phone or e-mail of the client that a path leads to."""
    fields = (f"{path}{name}__icontains" for name in ("name", "address", "phone", "email"))
    return models.Q(*((field, word) for field in fields), _connector=models.Q.OR) | _phone_has(
        f"{path}phone", word
    )


class Client(models.Model):
    """Somebody the firm works for."""

    name = models.CharField(max_length=120)
    address = models.TextField(max_length=400, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)

    objects = ClientQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class SigningPlace(models.TextChoices):
    """The place where the client signs: away from the firm's own place it can be canceled for a while."""

    HOME = cancellation_rule.HOME, "At the client's home, or on the client's own page"
    ELSEWHERE = cancellation_rule.ELSEWHERE, "At another place that isn't mine"
    OURS = cancellation_rule.OURS, "At my own place of business"


def _asked_in(word: str) -> models.Q:
    """Return whether a job was asked for in the year that a word is."""
    return models.Q(requested_on__year=int(word)) if re.fullmatch(r"20\d\d", word) else models.Q()


def _paper_is(word: str) -> models.Q:
    """Return whether a word is the number of one of a job's papers, with or without a mark before it."""
    number = re.fullmatch(r"(?:#|inv-|cr-)?(\d{1,9})", word.lower())
    if number is None:
        return models.Q()
    papers = apps.get_model("estimating", "Document").objects.filter(number=int(number[1]))
    return models.Q(pk__in=papers.values("job"))


class JobQuerySet(models.QuerySet["Job"]):
    """Jobs with their clients, in the orders of the Today page."""

    def open_jobs(self) -> Self:
        """Return the jobs that aren't put away, the oldest promise first."""
        return (
            self.filter(closed=False)
            .select_related("client")
            .order_by(models.F("quote_due_on").asc(nulls_last=True), "requested_on", "pk")
        )

    def open_keys(self) -> "models.QuerySet[Job, Any]":
        """Return the primary keys of the open jobs, for `__in`.

        Asked so, a database begins at the few open jobs, and not at all papers that there ever were.
        """
        return self.filter(closed=False).order_by().values("pk")

    def newest_first(self) -> Self:
        """Return all jobs, those put away last, of each the newest request first."""
        return self.select_related("client").order_by("closed", "-requested_on", "-pk")

    def containing(self, text: str, *, by_paper: bool = False) -> Self:
        """Return the jobs that have every word of a text.

        A word is in a job's name, address or client, is the year in which it was asked for or, with
        `by_paper`, the number of one of its papers.
        """
        jobs = self
        for word in text.split():
            has = models.Q(name__icontains=word) | models.Q(address__icontains=word)
            has |= _client_has("client__", word) | _asked_in(word)
            jobs = jobs.filter(has | _paper_is(word) if by_paper else has)
        return jobs


class Job(models.Model):
    """Work for a client at an address."""

    client = models.ForeignKey(Client, models.PROTECT, related_name="jobs")
    name = models.CharField("job", max_length=120)
    address = models.TextField("address of the work", max_length=400)
    state = models.CharField("state of the work", max_length=2, choices=STATES, blank=True)
    year_built = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1600), MaxValueValidator(2100)]
    )
    tax_policy = models.CharField("sales tax", max_length=10, choices=TaxPolicy)
    tax_percent = models.DecimalField(
        "sales tax, %",
        max_digits=6,
        decimal_places=4,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(30)],
    )
    signing_place = models.CharField(
        "where the estimate is signed", max_length=9, choices=SigningPlace, default=SigningPlace.HOME
    )
    notes = models.TextField("notes, for you only", max_length=4000, blank=True)
    requested_on = models.DateField("asked for on")
    quote_due_on = models.DateField("estimate promised for", null=True, blank=True)
    work_begins_on = models.DateField("work begins on", null=True, blank=True)
    closed = models.BooleanField("closed", default=False)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-requested_on", "-pk"]
        indexes = [models.Index(fields=["closed", "requested_on"], name="jobs_in_order")]

    def __str__(self) -> str:
        return f"{self.name}, {self.client.name}"

    def get_absolute_url(self) -> str:
        return reverse("job-rooms", args=[self.pk])


class Room(models.Model):
    """A room's plan as measured.

    `legs` are the walls in order, each a length in nanometers and a turn in degrees; `heights` the places
    where the ceiling has another height, each a wall (0 is A), a length along it and a height; `electrical`
    the boxes and lights in their place, each a kind, a wall, a length along it and one away from there;
    `framing` the spacing and the first of studs in walls, of joists overhead and of those under the floor, by
    `studs`, `joists` and `floor`, with true after them where joists run along wall A;
    `joists` what is known of the floor's joists, as `FloorFrame` takes it, empty for nothing. `entry` keeps
    what was typed.
    """

    class Shape(models.TextChoices):
        RECTANGLE = "rectangle", "Rectangle"
        L = "l", "L"
        WALK = "walk", "Odd shape, wall by wall"

    job = models.ForeignKey(Job, models.CASCADE, related_name="rooms")
    name = models.CharField(max_length=80)
    position = models.PositiveSmallIntegerField(default=0)
    shape = models.CharField(max_length=9, choices=Shape, default=Shape.RECTANGLE)
    entry = models.JSONField(default=dict)
    legs = models.JSONField(default=list)
    height_nm = models.BigIntegerField("ceiling height")
    heights = models.JSONField(default=list)
    electrical = models.JSONField(default=list)
    joists = models.JSONField("floor joists", default=dict, blank=True)
    framing = models.JSONField("studs and ceiling joists", default=dict, blank=True)
    device_boxes = models.PositiveSmallIntegerField("switches and outlets", default=0)
    ceiling_lights = models.PositiveSmallIntegerField(default=0)
    balanced = models.BooleanField(default=False)
    notes = models.TextField(max_length=2000, blank=True)

    class Meta:
        ordering = ["job", "position", "pk"]

    def __str__(self) -> str:
        return self.name

    def plan(self) -> RoomPlan:
        """Return the plan for the pure rules. Reads openings and footprints: prefetch them for lists."""
        return self.plan_with(self.openings.all(), self.footprints.all())

    def plan_with(self, openings: Iterable["Opening"], footprints: Iterable["FixedFootprint"]) -> RoomPlan:
        """Return the plan for the pure rules with these openings and footprints, stored or not."""
        kinds = FixedFootprint.Kind
        standing: dict[str, list[FixedFootprint]] = {kinds.COLUMN: [], kinds.SOFFIT: [], "": []}
        for footprint in footprints:
            standing[footprint.kind if footprint.kind in standing else ""].append(footprint)
        return RoomPlan(
            name=self.name,
            legs=tuple(Leg(length_nm, Decimal(turn)) for length_nm, turn in self.legs),
            height_nm=self.height_nm,
            openings=tuple(opening.planned() for opening in openings),
            footprints=tuple(footprint.planned() for footprint in standing[""]),
            columns=tuple(Column(column.length_nm, column.depth_nm) for column in standing[kinds.COLUMN]),
            device_boxes=self.device_boxes,
            ceiling_lights=self.ceiling_lights,
            balanced=self.balanced,
            heights=tuple(HeightPoint(*point) for point in self.heights),
            electrical=tuple(ElectricalPlace(*place) for place in self.electrical),
            soffits=tuple(soffit.planned_soffit() for soffit in standing[kinds.SOFFIT]),
            joists=FloorFrame(**self.joists) if self.joists else None,
            studs=Framing(*self.framing["studs"]) if "studs" in self.framing else None,
            ceiling_joists=Framing(*self.framing["joists"]) if "joists" in self.framing else None,
            floor_joists=Framing(*self.framing["floor"]) if "floor" in self.framing else None,
        )


class Opening(models.Model):
    """A door, window, cased opening or niche in a wall (0 is wall A)."""

    class Kind(models.TextChoices):
        DOOR = "door", "Door"
        WINDOW = "window", "Window"
        CASED = "cased", "Cased opening"
        NICHE = "niche", "Niche"

    room = models.ForeignKey(Room, models.CASCADE, related_name="openings")
    kind = models.CharField(max_length=6, choices=Kind)
    name = models.CharField(max_length=60, blank=True)
    wall = models.PositiveSmallIntegerField()
    width_nm = models.BigIntegerField("width")
    height_nm = models.BigIntegerField("height")
    sill_nm = models.BigIntegerField("sill above floor", default=0)
    offset_nm = models.BigIntegerField("from the wall's start", null=True, blank=True)
    recess_nm = models.BigIntegerField("depth into the wall", default=0)

    class Meta:
        ordering = ["room", "wall", "pk"]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()

    def planned(self) -> PlannedOpening:
        """Return the opening for the pure rules."""
        return PlannedOpening(
            name=str(self),
            kind=self.kind,
            wall=self.wall,
            width_nm=self.width_nm,
            height_nm=self.height_nm,
            sill_nm=self.sill_nm,
            offset_nm=self.offset_nm,
            recess_nm=self.recess_nm,
        )


class FixedFootprint(models.Model):
    """Something fixed in a room: cabinets, a tub, an island, a column, a soffit.

    The height of a soffit is how far it drops below the ceiling. `off_wall_nm` is how far off its wall
    something stands free, None where it stands at the wall. `units` are the cabinets of a run, each the code
    of its kind and its width.
    """

    class Kind(models.TextChoices):
        CABINETS = "cabinets", "Base cabinets"
        HUNG = "hung", "Wall cabinets"
        TALL = "tall", "Tall cabinets"
        TUB = "tub", "Tub or shower"
        ISLAND = "island", "Island"
        COLUMN = "column", "Column"
        SOFFIT = "soffit", "Soffit"
        OTHER = "other", "Something else"

    class FinishedEnds(models.TextChoices):
        START = "start", "at its start"
        END = "end", "at its end"
        BOTH = "both", "at both ends"

    room = models.ForeignKey(Room, models.CASCADE, related_name="footprints")
    kind = models.CharField(max_length=8, choices=Kind)
    name = models.CharField(max_length=60, blank=True)
    wall = models.PositiveSmallIntegerField(null=True, blank=True)
    offset_nm = models.BigIntegerField("from the wall's start", null=True, blank=True)
    off_wall_nm = models.BigIntegerField("off the wall", null=True, blank=True)
    length_nm = models.BigIntegerField("length")
    depth_nm = models.BigIntegerField("depth")
    height_nm = models.BigIntegerField("height", null=True, blank=True)
    off_floor = models.BooleanField("floor stops at it", default=False)
    off_base = models.BooleanField("no base along it", default=True)
    off_walls = models.BooleanField("wall behind it is left out", default=False)
    units = models.JSONField("cabinets", default=list, blank=True)
    bottom_nm = models.BigIntegerField("underside above the floor", null=True, blank=True)
    finished_ends = models.CharField(max_length=5, choices=FinishedEnds, blank=True)
    overhang_nm = models.BigIntegerField("counter overhang", null=True, blank=True)
    seat_overhang_nm = models.BigIntegerField("counter overhang for seats", null=True, blank=True)
    tile_to_nm = models.BigIntegerField("tile up to, above the floor", null=True, blank=True)

    class Meta:
        ordering = ["room", "pk"]

    def __str__(self) -> str:
        return self.name or self.get_kind_display()

    def planned(self) -> Footprint:
        """Return the footprint for the pure rules."""
        off_wall = self.wall is not None and bool(self.off_wall_nm)
        stands = self.kind != self.Kind.HUNG
        return Footprint(
            name=str(self),
            kind=self.kind,
            wall=None if off_wall else self.wall,
            offset_nm=None if off_wall else self.offset_nm,
            length_nm=self.length_nm,
            depth_nm=self.depth_nm,
            height_nm=self.height_nm,
            off_floor=self.off_floor and stands,
            off_base=self.off_base and stands,
            off_walls=self.off_walls and not off_wall,
            spot=self._spot() if off_wall else None,
            units=tuple(Unit(kind, width_nm) for kind, width_nm in self.units),
            bottom_nm=self.bottom_nm,
            finished_ends=self.finished_ends,
            overhang_nm=self.overhang_nm,
            seat_overhang_nm=self.seat_overhang_nm,
            tile_to_nm=self.tile_to_nm,
        )

    def _spot(self) -> Spot:
        assert self.wall is not None
        assert self.off_wall_nm is not None
        return Spot(self.wall, self.offset_nm or 0, self.off_wall_nm)

    def planned_soffit(self) -> Soffit:
        """Return the soffit for the pure rules."""
        return Soffit(
            str(self), self.wall, self.offset_nm, self.length_nm, self.depth_nm, drop_nm=self.height_nm or 0
        )


class FirstStepTick(models.Model):
    """A step to the first estimate that the firm ticked as right, or `PATH`: the steps put aside for now."""

    PATH = "path"

    code = models.CharField(max_length=10, unique=True)

    def __str__(self) -> str:
        return self.code
