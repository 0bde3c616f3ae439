"""The diary of a job."""

from django.db import models
from django.urls import reverse

from estimating.models import Job


class DiaryEntry(models.Model):
    """What was written of a day. The client sees it on his page where `for_client` says so."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    on = models.DateField("day")
    says = models.TextField("what happened", max_length=4000, blank=True)
    weather = models.CharField(max_length=80, blank=True)
    who = models.CharField("who was there", max_length=200, blank=True)
    came = models.CharField("what was delivered", max_length=200, blank=True)
    for_client = models.BooleanField("show it to the client", default=False)
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["-on", "-pk"]
        indexes = [models.Index(fields=["job", "on"], name="diary_of_a_job")]

    def __str__(self) -> str:
        return self.says[:60] or f"{self.on}"

    def get_absolute_url(self) -> str:
        return reverse("diary-entry", args=[self.pk])


class DiaryPhoto(models.Model):
    """A photo of the diary, re-encoded so that it holds nothing but the picture, with a small one of it."""

    entry = models.ForeignKey(DiaryEntry, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    small = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    caption = models.CharField("what it shows", max_length=120, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["entry", "sha256"], name="a_diary_photo_once")]

    def __str__(self) -> str:
        return self.caption or "Photo"
