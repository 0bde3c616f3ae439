"""Mails until they have gone out."""

from django.db import models

from estimating.models.client_link import ClientLink
from estimating.models.document import DocumentEvent


class WaitingMail(models.Model):
    """A mail that is still to go out, or that it went out.

    Made in the transaction that needs it: of what a client did on his page, the event says what is mailed to
    both sides; of anything else it is kept here to whom and what, the text until it went out. `next_at` is
    when it is tried next; empty once it went out, or was given up, as `fault` then says. `site` is the
    address of the site as the client reached it.
    """

    event = models.OneToOneField(DocumentEvent, on_delete=models.PROTECT, null=True, related_name="mail")
    link = models.ForeignKey(ClientLink, on_delete=models.PROTECT, null=True, related_name="+")
    to = models.EmailField(blank=True)
    subject = models.CharField(max_length=300, blank=True)
    text = models.TextField(blank=True)
    site = models.CharField(max_length=200, blank=True)
    next_at = models.DateTimeField(null=True, db_index=True)
    tries = models.PositiveIntegerField(default=0)
    sent_at = models.DateTimeField(null=True)
    fault = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        if self.event is None:
            return f"mail to {self.to}: {self.subject}"
        return f"mail about {self.event.kind} of {self.event.document}"
