"""Permits of a job, and the record of lead-safe work."""

from django.db import models
from django.urls import reverse

from estimating.models import Job


class Permit(models.Model):
    """A permit: for what, which office gave it, its number and days. Its inspections are `OutsideEvent`s."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="+")
    what = models.CharField("for what", max_length=120)
    office = models.CharField("office", max_length=120, blank=True)
    number = models.CharField("number", max_length=60, blank=True)
    applied_on = models.DateField("asked for on", null=True, blank=True)
    issued_on = models.DateField("given on", null=True, blank=True)
    expires_on = models.DateField("good until", null=True, blank=True)
    closed_on = models.DateField("closed by the office on", null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.what}{f', {self.number}' if self.number else ''}"

    def get_absolute_url(self) -> str:
        return reverse("permit", args=[self.pk])


class PermitPhoto(models.Model):
    """A photo of the card or of an inspector's note, re-encoded so that it holds nothing but the picture."""

    permit = models.ForeignKey(Permit, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Photo of {self.permit}"


class LeadRecord(models.Model):
    """How the lead pamphlet was given, and what was done of lead-safe work (40 CFR 745.84 and 745.86).

    `done` are codes of `CHECKS` in `jobsite.permits.lead_papers`.
    """

    class How(models.TextChoices):
        SIGNED = "signed", "Handed over, and signed for"
        MAILED = "mailed", "Mailed, with a certificate of mailing"

    job = models.OneToOneField(Job, models.CASCADE, related_name="+")
    given_on = models.DateField("pamphlet given on", null=True, blank=True)
    given_to = models.CharField("to whom", max_length=120, blank=True)
    how = models.CharField("how", max_length=6, choices=How, default=How.SIGNED)
    renovator = models.CharField("certified renovator", max_length=120, blank=True)
    certificate = models.CharField("number of the certificate", max_length=60, blank=True)
    helpers = models.CharField("trained helpers", max_length=200, blank=True)
    tests = models.TextField("test kits or samples, where, and results", max_length=1000, blank=True)
    done = models.JSONField("what was done", default=list, blank=True)
    cloths = models.CharField(
        "result of the cleaning verification, with the wet and dry cloths used", max_length=200, blank=True
    )
    ended_on = models.DateField("lead-safe work ended on", null=True, blank=True)

    def __str__(self) -> str:
        return f"Record of lead-safe work: {self.job}"
