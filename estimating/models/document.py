"""Issued documents: each as it was handed over, kept for good, and what happened to it since.

The database refuses to change or delete these rows: estimating/documents/write_protection.py.
"""

import json
from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any, ClassVar, Self

from django.db import models, transaction
from django.urls import reverse

from catalog.fields.model import MoneyField
from estimating.events import states
from estimating.events.chain import FIRST_PREVIOUS, Link, canonical, digest, hash_of
from estimating.models.estimate import Estimate
from estimating.models.job import Job
from reading.prepared import prepared, put_on

EVENTS = "events"


class NotAllowed(ValueError):
    """The event can't follow what happened to the document; the message says so in a plain sentence."""


class Counter(models.Model):
    """The last number taken of a series. Its row is the lock under which the next number is taken."""

    series = models.CharField(max_length=40, primary_key=True)
    last = models.PositiveBigIntegerField()

    def __str__(self) -> str:
        return f"{self.series}: {self.last}"

    @classmethod
    def upcoming(cls, series: str, first: int = 1) -> int:
        """Return the number that would be taken next, without taking it."""
        last = cls.objects.filter(pk=series).values_list("last", flat=True).first()
        return first if last is None else last + 1

    @classmethod
    def take(cls, series: str, first: int = 1) -> int:
        """Take the next number, inside a transaction.

        Others wait for the end of the transaction, and the number is taken only if it commits, so that no
        number is ever left out. Take a number of several series in one order, that of the events last, or
        two transactions could wait for each other. Raises TransactionManagementError outside a transaction.
        """
        if not transaction.get_connection().in_atomic_block:
            raise transaction.TransactionManagementError("A number is taken inside a transaction.")
        counter, _ = cls.objects.select_for_update().get_or_create(pk=series, defaults={"last": first - 1})
        counter.last += 1
        counter.save(update_fields=["last"])
        return counter.last


class DocumentQuerySet(models.QuerySet["Document"]):
    """Documents for lists, and the one of a job that counts."""

    def for_list(self) -> Self:
        """Return the documents newest first with their events, without the long texts. Costs two queries."""
        return self.defer("pdf", "snapshot", "basis").prefetch_related("events").order_by("-issued_at", "-pk")

    def in_force(self, kind: str, job: Job) -> "Document | None":
        """Return the job's document of a kind that no later one supersedes; None where there is none."""
        return self.filter(kind=kind, job=job, superseded_by=None).order_by("-pk").first()


_DocumentManager = models.Manager.from_queryset(DocumentQuerySet)


class DocumentManager(_DocumentManager["Document"]):
    """Leaves the PDF in the database until `document.pdf` is read, which then costs a query."""

    def get_queryset(self) -> DocumentQuerySet:
        documents = super().get_queryset()
        assert isinstance(documents, DocumentQuerySet)  # made from it; the checker knows any queryset only
        return documents.defer("pdf")


class Document(models.Model):
    """A document that was issued.

    `snapshot` is all that it shows, `basis` what its sums are made of, for the firm alone; both are
    canonical JSON. `prefix` stands before its printed number, so that an invoice isn't taken for an estimate;
    papers issued before there was one print none. `dated` is its printed date. `issue_key` tells one document
    issued twice from two.
    """

    class Kind(models.TextChoices):
        ESTIMATE = "estimate", "Estimate"
        CHANGE_ORDER = "change_order", "Change order"
        INVOICE = "invoice", "Invoice"
        CREDIT_NOTE = "credit_note", "Credit note"
        RECEIPT = "receipt", "Receipt"
        STATEMENT = "statement", "Statement"
        COMPLETION = "completion", "Certificate of completion"
        WAIVER = "waiver", "Lien waiver"

    kind = models.CharField(max_length=12, choices=Kind)
    series = models.CharField(max_length=40)
    prefix = models.CharField(max_length=4, blank=True, default="", db_default="")
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

    objects: ClassVar[DocumentManager] = DocumentManager()

    class Meta:
        base_manager_name = "objects"
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["series", "number"], name="one_document_of_a_number"),
            models.CheckConstraint(
                condition=models.Q(series__startswith=models.F("kind")), name="a_series_is_of_one_kind"
            ),
        ]
        indexes = [
            # With all that a search for them asks: SQLite reads through a row's PDF to what stands after it.
            models.Index(
                fields=["issued_at", "id", "job", "kind", "number", "dated"], name="documents_newest_first"
            ),
            models.Index(fields=["job", "issued_at", "kind", "dated", "number"], name="documents_of_a_job"),
            models.Index(fields=["dated", "kind", "job", "issued_at"], name="documents_by_date"),
        ]

    def __str__(self) -> str:
        return f"{_KIND_LABELS.get(self.kind, self.kind)} {self.printed_number}"

    def get_absolute_url(self) -> str:
        return reverse("document", args=[self.pk])

    @property
    def printed_number(self) -> str:
        return f"{self.prefix}{self.number}"

    @property
    def asks_for_answer(self) -> bool:
        """Whether the client signs or declines the document; a bill is only read and paid."""
        return self.kind in (self.Kind.ESTIMATE, self.Kind.CHANGE_ORDER, self.Kind.COMPLETION)

    @property
    def has_sum(self) -> bool:
        """Whether it comes to a sum; a certificate of completion says what is done, not what it costs."""
        return self.kind != self.Kind.COMPLETION

    @classmethod
    def series_of(cls, kind: str, job: Job) -> str:
        """Return the series that numbers a kind: change orders within their job, all else in the firm."""
        return f"{kind} {job.pk}" if kind == cls.Kind.CHANGE_ORDER else kind

    def read_snapshot(self) -> dict[str, Any]:
        """Return the snapshot as a dict."""
        snapshot: dict[str, Any] = json.loads(self.snapshot)
        return snapshot

    def read_basis(self) -> dict[str, Any]:
        """Return the basis as a dict."""
        basis: dict[str, Any] = json.loads(self.basis)
        return basis

    def pdf_is_whole(self) -> bool:
        """Return whether the stored PDF still has the digest that it was issued with."""
        return digest(bytes(self.pdf)) == self.pdf_sha256

    def event_kinds(self) -> list[str]:
        """Return the kinds of its events in order. Costs a query where they weren't fetched before."""
        return [event.kind for event in self.events.all()]

    def state(self) -> str:
        """Return the state that its events led to."""
        return states.state_after(self.event_kinds())

    def state_as_of(self, today: date) -> str:
        """Return the state as of a day: a document that nobody answered expires after its last day."""
        return states.state_as_of(self.state(), self.last_day(), today)

    def extended_to(self) -> date | None:
        """Return the day to which the firm extended it last; None where it didn't."""
        return self.last_day() if self._event_data(states.EXTENDED) else None

    def last_day(self) -> date | None:
        """Return the last day to sign: the printed one, or a later one that the firm set.

        Costs a query where its events weren't fetched before.
        """
        extensions = [event for event in self.events.all() if event.kind == states.EXTENDED]
        return states.last_day(self.valid_to, [(event.kind, event.read_data()) for event in extensions])

    def cancel_by(self) -> date | None:
        """Return the day at whose end the right to cancel the signed document ends; None without one."""
        last = self._event_data(states.ACCEPTED).get("cancel_by")
        return date.fromisoformat(last) if last else None

    def declined_because(self) -> str:
        """Return why the client declined it, in the client's words; empty where that didn't happen."""
        reason: str = self._event_data(states.DECLINED).get("reason", "")
        return reason

    def was_canceled(self) -> bool:
        """Return whether the signed document was canceled, whatever replaced it since."""
        return states.CANCELED in self.event_kinds()

    def canceled_on(self) -> date | None:
        """Return the day on which the client canceled the signed document; None where that didn't happen."""
        day = self._event_data(states.CANCELED).get("on")
        return date.fromisoformat(day) if day else None

    def _event_data(self, kind: str) -> dict[str, Any]:
        """Return the facts of its first event of a kind; empty where there is none.

        Costs a query where the events weren't fetched before.
        """
        return next((event.read_data() for event in self.events.all() if event.kind == kind), {})

    def record(self, kind: str, at: datetime, data: Mapping[str, Any] | None = None) -> "DocumentEvent":
        """Put an event at the end of the firm's chain.

        Call in a transaction, which then is the only one that writes events. Raises NotAllowed where the
        event can't follow what happened.
        """
        place = Counter.take(EVENTS)
        state = states.state_after(self.events.order_by("place").values_list("kind", flat=True))
        if kind in states.ANSWERS and not self.asks_for_answer:
            raise NotAllowed(f"{self} isn't signed: it is paid, or credited by a credit note.")
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


_KIND_LABELS = dict(Document.Kind.choices)  # quicker than Django's look-up, in lists of thousands


class DocumentEvent(models.Model):
    """Something that happened to a document: a link of the one chain of the firm, at its `place`."""

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
        DATES = states.DATES, "Days told"
        CHOSEN = states.CHOSEN, "Chosen"
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
        indexes = [models.Index(fields=["kind", "document"], name="events_of_a_kind")]

    def __str__(self) -> str:
        return f"{self.place}: {self.get_kind_display()}"

    def read_data(self) -> dict[str, Any]:
        """Return the facts of the event as a dict."""
        data: dict[str, Any] = json.loads(self.data)
        return data

    def link(self) -> Link:
        """Return the event for the rules of the chain."""
        return Link(
            self.place, self.document_id, self.kind, self.at, self.data, self.previous_hash, self.hash
        )


def with_events(documents: list[Document]) -> list[Document]:
    """Return documents with their events, which costs a query where there are any documents."""
    keys = {document.pk for document in documents}
    put_on(documents, EVENTS, _events_of(keys), "document")
    return documents


@prepared
def _events_of(documents: Collection[int]) -> models.QuerySet[DocumentEvent]:
    return DocumentEvent.objects.filter(document__in=documents)
