"""Before-and-after pairs that the firm would show others, and what the client wrote to it."""

from django.db import models

from estimating.models import Job, JobLink
from jobsite.models.diary import DiaryPhoto


class Reference(models.Model):
    """Two photos of the diary. `answer` is the client's word; empty while he wasn't heard.

    It is shown to nobody before the client has said yes, by `name` on his page.
    """

    class Answer(models.TextChoices):
        YES = "yes", "Yes, show them"
        NO = "no", "No"

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    before = models.ForeignKey(DiaryPhoto, models.CASCADE, related_name="+")
    after = models.ForeignKey(DiaryPhoto, models.CASCADE, related_name="+")
    says = models.CharField("a word about it", max_length=200, blank=True)
    asked_at = models.DateTimeField()
    answer = models.CharField(max_length=3, choices=Answer, blank=True)
    name = models.CharField(max_length=120, blank=True)
    answered_at = models.DateTimeField(null=True)
    page = models.ForeignKey(JobLink, models.SET_NULL, related_name="+", null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["before", "after"], name="a_pair_is_asked_about_once"),
        ]

    def __str__(self) -> str:
        return self.says or f"{self.job.name}, before and after"
