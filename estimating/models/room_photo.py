"""Photos of a room, each of a wall or a spot, numbered over the job."""

from collections.abc import Iterable
from datetime import date
from hashlib import sha256

from django.db import models

from estimating.models.job import Job, Room
from estimating.rooms.outline import wall_letter
from estimating.rooms.plan import PhotoPlace


class RoomPhoto(models.Model):
    """A photo, re-encoded so that it holds nothing but the picture.

    Its spot is so far along a wall (0 is wall A) and so far out from it; without `along_nm` it is of the
    whole wall, without a wall of the room. The number stays with it on the plan and on papers.
    """

    room = models.ForeignKey(Room, models.CASCADE, related_name="photos")
    number = models.PositiveSmallIntegerField()
    wall = models.PositiveSmallIntegerField(null=True, blank=True)
    along_nm = models.BigIntegerField("from the wall's start", null=True, blank=True)
    away_nm = models.BigIntegerField("out from the wall", default=0)
    caption = models.CharField("what it shows", max_length=120, blank=True)
    taken_on = models.DateField()
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["number", "pk"]

    def __str__(self) -> str:
        return f"Photo {self.number}"

    @property
    def place_in_words(self) -> str:
        """The room, and the wall where it is of one."""
        return self.room.name if self.wall is None else f"{self.room.name}, wall {wall_letter(self.wall)}"

    @property
    def in_words(self) -> str:
        """The place and what it shows."""
        return f"{self.place_in_words}: {self.caption}" if self.caption else self.place_in_words

    @classmethod
    def next_number(cls, job: Job) -> int:
        """Return the number that the job's next photo gets. Costs a query."""
        last = cls.objects.filter(room__job=job).aggregate(models.Max("number"))["number__max"]
        return (last or 0) + 1

    @classmethod
    def keep(
        cls,
        room: Room,
        content: bytes,
        taken_on: date,
        *,
        wall: int | None = None,
        along_nm: int | None = None,
        away_nm: int = 0,
        caption: str = "",
    ) -> "RoomPhoto":
        """Keep a photo under the job's next number. Call in a transaction."""
        return cls.objects.create(
            room=room,
            number=cls.next_number(room.job),
            wall=wall,
            along_nm=along_nm,
            away_nm=away_nm,
            caption=caption,
            taken_on=taken_on,
            content=content,
            sha256=sha256(content).hexdigest(),
        )


def photo_places(photos: Iterable[RoomPhoto]) -> tuple[PhotoPlace, ...]:
    """Return where photos are on the plan; those of the whole room have no place on it."""
    return tuple(
        PhotoPlace(photo.number, photo.wall, photo.along_nm, photo.away_nm)
        for photo in photos
        if photo.wall is not None
    )
