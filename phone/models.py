"""The phones that keep jobs and records."""

from django.conf import settings
from django.db import models

from estimating.models import Room


class RoomOfRecord(models.Model):
    """The room that a record made: by the record's key, photos taken of it find it."""

    key = models.CharField(max_length=64, unique=True)
    room = models.ForeignKey(Room, models.CASCADE, related_name="+")

    def __str__(self) -> str:
        return f"room of {self.key}"


class Phone(models.Model):
    """A sign-in on a browser that keeps jobs and records: `ident` names it, also once it has ended.

    `session_key` is the session that it came with last. A record names the phone that it was kept on; of one
    that was ended it is refused.
    """

    ident = models.CharField(max_length=32, unique=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    agent = models.CharField(max_length=300, blank=True)
    session_key = models.CharField(max_length=40)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-last_at", "-pk"]

    def __str__(self) -> str:
        return f"Phone of {self.user}, since {self.first_at}"
