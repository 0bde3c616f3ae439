"""The words of lien waivers that the firm's state prescribes, entered by the owner."""

from django.db import models

from invoicing.billing.lien_waiver import WaiverKind


class StateWaiver(models.Model):
    """The prescribed text of one kind of waiver, which the owner looked up and confirmed."""

    kind = models.CharField(
        "which waiver", max_length=22, unique=True, choices=[(kind.value, kind.label) for kind in WaiverKind]
    )
    text = models.TextField("the words of the form", max_length=8000)
    citation = models.CharField("where the law says so", max_length=200)
    confirmed_on = models.DateField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return WaiverKind(self.kind).label
