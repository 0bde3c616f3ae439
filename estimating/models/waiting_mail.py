"""Mails that wait to go out."""

from django.db import models

from estimating.models.client_link import ClientLink
from estimating.models.document import Document, DocumentEvent


class WaitingMail(models.Model):
    """A mail to one address that is still to go out, or that it went out.

    Made in the transaction that needs it; the text is kept until it went out. `next_at` is when it is tried
    next; empty once it went out, or was given up, as `fault` then says. `handed_at` is when it was handed to
    the mail server: with neither `sent_at` nor `fault` after that, nobody knows whether it went out. After
    `until` it isn't worth sending any more.

    `note` is what the history of the document says once it went out, as JSON. One without `to` is of an
    earlier release, which kept the event alone; `site` is of those.
    """

    class Attached(models.TextChoices):
        PAPER = "paper", "The paper as it was issued"
        SIGNED_COPY = "signed", "The signed copy"

    document = models.ForeignKey(Document, on_delete=models.PROTECT, null=True, related_name="mails")
    event = models.ForeignKey(DocumentEvent, on_delete=models.PROTECT, null=True, related_name="mails")
    link = models.ForeignKey(ClientLink, on_delete=models.PROTECT, null=True, related_name="mails")
    to = models.EmailField(blank=True)
    subject = models.CharField(max_length=300, blank=True)
    text = models.TextField(blank=True)
    attached = models.CharField(max_length=6, choices=Attached, blank=True)
    calendar = models.BinaryField(null=True)
    note = models.TextField(blank=True)
    site = models.CharField(max_length=200, blank=True)
    next_at = models.DateTimeField(null=True, db_index=True)
    until = models.DateTimeField(null=True)
    tries = models.PositiveIntegerField(default=0)
    handed_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        if self.to:
            return f"mail to {self.to}: {self.subject}"
        assert self.event is not None  # of an earlier release
        return f"mail about {self.event.kind} of {self.event.document}"
