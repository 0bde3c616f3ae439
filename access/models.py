"""Wrong passwords, counted."""

from django.db import models


class FailedSignIn(models.Model):
    """How many sign-ins in a row have failed, or have begun, for an account, a network or a known device.

    Kept is the SHA-256 of which it is: somebody may have typed his password into the field of the name.
    """

    who_sha256 = models.CharField(max_length=64, unique=True)
    count = models.PositiveIntegerField()
    last_at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.count} to {self.last_at}"
