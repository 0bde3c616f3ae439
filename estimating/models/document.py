"""Issued papers: each as it was handed over, kept for good, and what happened to it since.

The database refuses to change or delete these rows: estimating/document_guard.py.
"""

import json
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Self

from django.db import models, transaction
from django.urls import reverse
from djmoney.models.fields import MoneyField

from estimating.events import states
from estimating.events.chain import FIRST_PREVIOUS, Link, canonical, digest, hash_of
from estimating.models.estimate import Estimate
from estimating.models.job import Job

EVENTS = "events"


class NotAllowed(ValueError):
    """What is to be recorded can't follow what happened; the message says so in a plain sentence."""


class Counter(models.Model):
    """The last number taken of a series. Its row is the lock under which the next one is taken."""

    series = models.CharField(max_length=40, primary_key=True)
    last = models.PositiveBigIntegerField()

    def __str__(self) -> str:
        return f"{self.series}: {self.last}"

    @classmethod
    def upcoming(cls, series: str, first: int = 1) -> int:
        """The number that would be taken next, without taking it."""
        last = cls.objects.filter(pk=series).values_list("last", flat=True).first()
        return first if last is None else last + 1

    @classmethod
    def take(cls, series: str, first: int = 1) -> int:
        """The next number, inside a transaction: others wait for its end, and it is taken only if the
        transaction commits, so that no number is ever left out. Of several series that of the events is
        taken last, or two transactions could wait for each other."""
        if not transaction.get_connection().in_atomic_block:
            raise transaction.TransactionManagementError("A number is taken inside a transaction.")
        counter, _ = cls.objects.select_for_update().get_or_create(pk=series, defaults={"last": first - 1})
        counter.last += 1
        counter.save(update_fields=["last"])
        return counter.last


class DocumentQuerySet(models.QuerySet):
    def for_list(self) -> Self:
        """Newest first, with what happened, without the long texts. This costs two queries."""
        return self.defer("pdf", "snapshot", "basis").prefetch_related("events").order_by("-issued_at", "-pk")

    def in_force(self, kind: str, job: Job) -> "Document | None":
        """The document of a kind that no later one of the job supersedes."""
        return self.filter(kind=kind, job=job, superseded_by=None).order_by("-pk").first()


class DocumentManager(models.Manager.from_queryset(DocumentQuerySet)):
    """Leaves the PDF in the database until `document.pdf` is asked for, which then costs a query."""

    def get_queryset(self) -> DocumentQuerySet:
        return super().get_queryset().defer("pdf")


class Document(models.Model):
    """A paper that was issued. `snapshot` is all that it shows; `basis` is what stands behind its sums,
    for the firm alone. Both are canonical JSON."""

    class Kind(models.TextChoices):
        ESTIMATE = "estimate", "Estimate"
        CHANGE_ORDER = "change_order", "Change order"
        INVOICE = "invoice", "Invoice"
        CREDIT_NOTE = "credit_note", "Credit note"
        RECEIPT = "receipt", "Receipt"

    kind = models.CharField(max_length=12, choices=Kind)
    series = models.CharField(max_length=40)
    number = models.PositiveIntegerField()
    job = models.ForeignKey(Job, models.PROTECT, related_name="documents")
    estimate = models.ForeignKey(Estimate, models.PROTECT, related_name="documents", null=True)
    supersedes = models.OneToOneField("self", models.PROTECT, related_name="superseded_by", null=True)
    issue_key = models.CharField(max_length=64, unique=True)
    snapshot = models.TextField()
    snapshot_sha256 = models.CharField(max_length=64)
    basis = models.TextField()
    basis_sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)
    issued_at = models.DateTimeField()
    dated = models.DateField()
    valid_to = models.DateField(null=True)
    total = MoneyField(max_digits=14, decimal_places=2)

    objects = DocumentManager()

    class Meta:
        base_manager_name = "objects"
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["series", "number"], name="one_document_of_a_number"),
            models.CheckConstraint(
                condition=models.Q(series__startswith=models.F("kind")), name="a_series_is_of_one_kind"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("document", args=[self.pk])

    @property
    def asks_for_answer(self) -> bool:
        """Whether the client signs or declines it; a bill he only reads and pays."""
        return self.kind in (self.Kind.ESTIMATE, self.Kind.CHANGE_ORDER)

    @classmethod
    def series_of(cls, kind: str, job: Job) -> str:
        """Within what a kind is numbered: change orders within their job, all else within the firm."""
        return f"{kind} {job.pk}" if kind == cls.Kind.CHANGE_ORDER else kind

    def read_snapshot(self) -> dict[str, Any]:
        return json.loads(self.snapshot)

    def read_basis(self) -> dict[str, Any]:
        return json.loads(self.basis)

    def pdf_is_whole(self) -> bool:
        """Whether the stored PDF still has the digest that it was issued with."""
        return digest(bytes(self.pdf)) == self.pdf_sha256

    def happened(self) -> list[str]:
        """Kinds of its events in their order. Costs a query where they weren't fetched before."""
        return [event.kind for event in self.events.all()]

    def state(self) -> str:
        """The state that its events led to."""
        return states.state_after(self.happened())

    def standing(self, today: date) -> str:
        """The state as of a day: past its last day, what nobody answered has expired."""
        return states.standing(self.state(), self.last_day(), today)

    def extended_to(self) -> date | None:
        """The day to which the firm extended it last; None where it didn't."""
        return self.last_day() if self._said(states.EXTENDED) else None

    def last_day(self) -> date | None:
        """The last day on which it can be signed: the printed one, or a later one that the firm said.
        Costs a query where its events weren't fetched before."""
        extended = [each for each in self.events.all() if each.kind == states.EXTENDED]
        return states.last_day(self.valid_to, [(each.kind, each.read_data()) for each in extended])

    def cancel_by(self) -> date | None:
        """The day to whose end what was signed can be canceled; None where it isn't signed or can't."""
        last = self._said(states.ACCEPTED).get("cancel_by")
        return date.fromisoformat(last) if last else None

    def declined_because(self) -> str:
        """Why the client declined it, in the client's words; empty where that didn't happen."""
        return self._said(states.DECLINED).get("reason", "")

    def was_canceled(self) -> bool:
        """Whether what was signed was canceled, whatever replaced it since."""
        return states.CANCELED in self.happened()

    def canceled_on(self) -> date | None:
        """The day on which the client canceled what was signed."""
        day = self._said(states.CANCELED).get("on")
        return date.fromisoformat(day) if day else None

    def _said(self, kind: str) -> dict[str, Any]:
        """What its event of a kind says. Costs a query where the events weren't fetched before."""
        return next((event.read_data() for event in self.events.all() if event.kind == kind), {})

    def record(self, kind: str, at: datetime, data: Mapping[str, Any] | None = None) -> "DocumentEvent":
        """Put an event at the end of the firm's chain. Call in a transaction, which then is the only one
        that writes events. Raises NotAllowed where the event can't follow what happened."""
        place = Counter.take(EVENTS)
        state = states.state_after(self.events.order_by("place").values_list("kind", flat=True))
        if kind in states.ANSWERS and not self.asks_for_answer:
            raise NotAllowed(f"{self} isn't signed: it is paid, or taken back by a credit note.")
        if not states.may_follow(state, kind):
            raise NotAllowed(f"{self} was {state}: it can't be {kind} any more.")
        last = DocumentEvent.objects.order_by("-place").first()
        link = Link(
            place=place,
            document=self.pk,
            kind=kind,
            at=at,
            data=canonical(data or {}),
            previous_hash=last.hash if last else FIRST_PREVIOUS,
        )
        return DocumentEvent.objects.create(
            document=self,
            place=link.place,
            kind=link.kind,
            at=link.at,
            data=link.data,
            previous_hash=link.previous_hash,
            hash=hash_of(link),
        )


class DocumentEvent(models.Model):
    """Something that happened to a document: a link of the one chain of the firm."""

    class Kind(models.TextChoices):
        ISSUED = states.ISSUED, "Issued"
        SENT = states.SENT, "Sent"
        OPENED = states.OPENED, "Opened"
        ACCEPTED = states.ACCEPTED, "Accepted"
        DECLINED = states.DECLINED, "Declined"
        QUESTION = states.QUESTION, "Asked"
        ANSWERED = states.ANSWERED, "Answered"
        UNLINKED = states.UNLINKED, "Link withdrawn"
        COPIED = states.COPIED, "Signed copy kept"
        EXPIRED = states.EXPIRED, "Expired"
        EXTENDED = states.EXTENDED, "Extended"
        WITHDRAWN = states.WITHDRAWN, "Withdrawn"
        SUPERSEDED = states.SUPERSEDED, "Replaced"
        CANCELED = states.CANCELED, "Canceled"

    document = models.ForeignKey(Document, models.PROTECT, related_name="events")
    place = models.PositiveBigIntegerField(unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    at = models.DateTimeField()
    data = models.TextField()
    previous_hash = models.CharField(max_length=64, unique=True)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["place"]

    def __str__(self) -> str:
        return f"{self.place}: {self.get_kind_display()}"

    def read_data(self) -> dict[str, Any]:
        return json.loads(self.data)

    def link(self) -> Link:
        return Link(
            self.place, self.document_id, self.kind, self.at, self.data, self.previous_hash, self.hash
        )
