"""The client's way in: a link that carries a secret, of which only the hash is kept."""

from datetime import datetime, timedelta
from typing import Self

from django.db import models

from estimating.models.document import Document

GOOD_FOR = timedelta(days=90)


class ClientLinkQuerySet(models.QuerySet["ClientLink"]):
    """Links by whether they open."""

    def working(self, at: datetime) -> Self:
        """Return the links that open at a moment.

        A signed document stays readable past its link's last day, so that the signer can fetch a copy at
        any time; a withdrawn link opens nothing.
        """
        return self.filter(~_is_past(at), withdrawn_at=None)

    def with_state(self, at: datetime) -> Self:
        """Return the links, each with `is_past` where its last day is over at a moment."""
        return self.annotate(is_past=_is_past(at))


def _is_past(at: datetime) -> models.Q:
    return models.Q(expires_at__lte=at, document__acceptance__isnull=True)


class ClientLink(models.Model):
    """One document's link for one person; a new one for the same person withdraws the one before.

    `once` is the key of the form that made it, so that a form sent twice makes one link.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="links")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    secret_sha256 = models.CharField(max_length=64, unique=True)
    once = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    mailed_at = models.DateTimeField(null=True)
    first_used_at = models.DateTimeField(null=True)
    opened_at = models.DateTimeField(null=True)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)
    code_hash = models.CharField(max_length=64, blank=True)
    code_sent_at = models.DateTimeField(null=True)
    code_tries = models.PositiveSmallIntegerField(default=0)

    objects = ClientLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["document", "name", "email"],
                condition=models.Q(withdrawn_at=None),
                name="one_link_of_a_document_and_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.document} for {self.name}"
