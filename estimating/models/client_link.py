"""The client's way in: links that carry a secret, of which only the hash is kept."""

from datetime import datetime, timedelta
from typing import Self

from django.db import models

from estimating.models.document import Document
from estimating.models.job import Job

GOOD_FOR = timedelta(days=90)


class JobLinkQuerySet(models.QuerySet["JobLink"]):
    """Links to a job's page by whether they open."""

    def working(self, at: datetime) -> Self:
        """Return the links that open at a moment; that of a signed job does past its last day, too."""
        signed = Document.objects.filter(job=models.OuterRef("job"), acceptance__isnull=False)
        return self.filter(models.Q(expires_at__gt=at) | models.Exists(signed), withdrawn_at=None)


class JobLink(models.Model):
    """One person's link to the page of a job, on which stands every paper that this person was sent.

    The secret is made of `seed` and the site's own key, so that the same link can be sent again: see
    `estimating/client/job_page/links.py`. `expires_at` moves on with each paper.
    """

    job = models.ForeignKey(Job, models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    seed = models.CharField(max_length=64)
    secret_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    first_used_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    objects = JobLinkQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "name", "email"],
                condition=models.Q(withdrawn_at=None),
                name="one_link_of_a_job_and_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job} for {self.name}"


class ClientLinkQuerySet(models.QuerySet["ClientLink"]):
    """Links by whether they open."""

    def working(self, at: datetime) -> Self:
        """Return the links that open at a moment.

        A signed document stays readable past its link's last day, so that the signer can fetch a copy at
        any time; a withdrawn link opens nothing.
        """
        return self.filter(~_is_past(at), withdrawn_at=None)

    def with_state(self, at: datetime) -> Self:
        """Return the links, each with `is_past` where its last day is over at a moment.

        A paper on the page of its job stays there as long as that page opens.
        """
        page = models.Q(job_link__in=JobLink.objects.working(at))
        return self.annotate(is_past=_is_past(at) & ~page)


def _is_past(at: datetime) -> models.Q:
    return models.Q(expires_at__lte=at, document__acceptance__isnull=True)


class ClientLink(models.Model):
    """One document's way to one person; a new one for the same person withdraws the one before.

    It stands on the page of its job, `job_link`. One with a secret of its own was made before jobs had a
    page, and opens by that secret, too. `once` is the key of the form that made it, so that a form sent twice
    makes one link.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="links")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    job_link = models.ForeignKey(JobLink, models.PROTECT, related_name="papers", null=True)
    secret_sha256 = models.CharField(max_length=64, unique=True, blank=True, null=True)
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

    def named_sha256(self) -> str:
        """Return the hash by which the chain of events names the link: its own, else that of its page."""
        if self.secret_sha256:
            return self.secret_sha256
        assert self.job_link is not None  # one without a secret is made with its page
        return self.job_link.secret_sha256
