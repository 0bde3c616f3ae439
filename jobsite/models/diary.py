"""The diary of a job, and pairs of its photos that the firm would show others."""

from django.db import models
from django.urls import reverse

from estimating.models import Job, JobLink


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
