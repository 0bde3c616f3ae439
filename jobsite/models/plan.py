"""The plan as it was worked out last, what the client was told, and the calendars that carry it."""

from typing import Any, Self

from django.db import models

from estimating.models import Document, Job


class KeptSteps(models.Model):
    """The steps of a job as they were made from its work, with a digest of what they were made from."""

    job = models.OneToOneField(Job, models.CASCADE, related_name="+")
    digest = models.CharField(max_length=64)
    content = models.JSONField()

    def __str__(self) -> str:
        return f"Steps of {self.job}"


class KeptPlan(models.Model):
    """A plan as it was worked out from inputs with this digest.

    `scope` is 0 for the plan of all signed jobs, else the job that isn't signed yet and is planned after
    them. A draft: it can always be worked out again, so it is replaced whole and never changed in part.
    """

    scope = models.PositiveBigIntegerField(unique=True)
    digest = models.CharField(max_length=64)
    content = models.JSONField()

    def __str__(self) -> str:
        return f"Plan {self.scope}"

    @staticmethod
    def keep(scope: int, digest: str, content: dict[str, Any]) -> None:
        """Put a plan in place of the one before, in one statement."""
        KeptPlan.objects.bulk_create(
            [KeptPlan(scope=scope, digest=digest, content=content)],
            update_conflicts=True,
            unique_fields=["scope"],
            update_fields=["digest", "content"],
        )


class ToldDates(models.Model):
    """The dates of a job as the client was told them: a row each time.

    `content` is what was sent; the events of the signed estimate tell of it, too.
    """

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    document = models.ForeignKey(Document, models.PROTECT, related_name="+")
    begins = models.DateField()
    finish = models.DateField()
    reason = models.CharField("why they changed", max_length=300, blank=True)
    content = models.JSONField()
    sent_to = models.CharField(max_length=254, blank=True)
    told_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "told_at", "pk"]

    def __str__(self) -> str:
        return f"{self.job}: {self.finish}"


class CalendarFeedQuerySet(models.QuerySet["CalendarFeed"]):
    """Feeds that a calendar can be read from."""

    def working(self) -> Self:
        """Return the feeds that weren't withdrawn."""
        return self.filter(withdrawn_at=None)


class CalendarFeed(models.Model):
    """An address that a calendar subscribes to. Of its secret only the SHA-256 is kept.

    `once` is the key of the form that asked for it. `reads` counts how often it was asked for since
    `counted_since`.
    """

    name = models.CharField("for which calendar", max_length=80)
    with_names = models.BooleanField("show clients' names and addresses", default=False)
    secret_sha256 = models.CharField(max_length=64, unique=True)
    once = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)
    last_read_at = models.DateTimeField(null=True)
    counted_since = models.DateTimeField(null=True)
    reads = models.PositiveIntegerField(default=0)

    objects = CalendarFeedQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name


class CalendarEntry(models.Model):
    """An entry of the calendars: what tells a calendar that it is the same entry, changed or canceled.

    `facts_sha256` is of what it said last; each change raises `sequence`. A canceled entry is told for a
    while. `kind` says whether it is as planned now, or as the client was told.
    """

    PLANNED, TOLD = "planned", "told"

    uid = models.CharField(max_length=80, unique=True)
    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    kind = models.CharField(max_length=7, choices=[(PLANNED, "As planned"), (TOLD, "As told")])
    key = models.CharField(max_length=160)
    sequence = models.PositiveIntegerField(default=0)
    facts_sha256 = models.CharField(max_length=64)
    facts = models.JSONField()
    changed_at = models.DateTimeField()
    canceled_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["job", "kind", "key"]
        constraints = [
            models.UniqueConstraint(fields=["job", "kind", "key"], name="one_calendar_entry_of_a_key")
        ]

    def __str__(self) -> str:
        return self.uid

    def is_over(self, today: str) -> bool:
        """Return whether it lay before a day, given as an ISO date."""
        last: str = self.facts["begins"]
        return last[:10] < today and not self.canceled_at
