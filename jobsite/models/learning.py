"""What he answered to suggestions that his own jobs made."""

from django.db import models


class SuggestionAnswer(models.Model):
    """A suggestion that was taken or set aside.

    `code` names an operation or a material; it is empty for what the firm has once. `was` and `made` are the
    values before and after, `prior` those that it was learned against. `jobs` counts the evidence: what was
    set aside comes again with the next job.
    """

    class Kind(models.TextChoices):
        RATE = "rate", "Hours of labor"
        WASTE = "waste", "Waste of a material"
        RUN = "run", "Hours of a supply run"
        VISIT = "visit", "Hours lost on a return visit"
        TOGETHER = "together", "How far hours run over together"

    kind = models.CharField(max_length=8, choices=Kind)
    code = models.CharField(max_length=80, blank=True)
    taken = models.BooleanField()
    jobs = models.PositiveIntegerField()
    title = models.CharField(max_length=140)
    now = models.CharField(max_length=200)
    then = models.CharField(max_length=200)
    was = models.JSONField(default=dict)
    prior = models.JSONField(default=dict)
    made = models.JSONField(default=dict)
    at = models.DateTimeField()
    put_back_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.title}: {self.now} to {self.then}"
