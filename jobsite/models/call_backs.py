"""Call-backs: what shows up after the end of a job was signed, and what it took."""

from django.db import models
from django.urls import reverse

from estimating.models import Job
from jobsite.models.hours import HoursWorked
from jobsite.models.receipts import ReceiptKept


class CallBack(models.Model):
    """Something that was looked at or made good after the end of the job that caused it.

    `worked` are its hours, on the signed line that caused it where he names one, and `bought` its receipt:
    rows as any other, so that they count in the day, the job and the year. No hours: not been there.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    on = models.DateField("day")
    says = models.CharField("what it is", max_length=200)
    worked = models.OneToOneField(HoursWorked, models.SET_NULL, related_name="call_back", null=True)
    bought = models.OneToOneField(ReceiptKept, models.SET_NULL, related_name="call_back", null=True)

    class Meta:
        ordering = ["on", "pk"]
        indexes = [models.Index(fields=["job", "on"], name="call_backs_of_a_job")]

    def __str__(self) -> str:
        return self.says

    def get_absolute_url(self) -> str:
        return reverse("call-back", args=[self.pk])
