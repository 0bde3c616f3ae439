"""Signatures, kept for good. The database refuses to change or delete these rows."""

import json
from collections.abc import Collection
from typing import Any, Self

from django.db import models

from catalog.fields.model import MoneyField
from estimating.contract.contract_sum import SignedDocument
from estimating.contract.document_amounts import TaxedAmount, document_amounts
from estimating.contract.lines import SignedBasis
from estimating.events.chain import digest
from estimating.events.states import CANCELED
from estimating.models.client_link import ClientLink
from estimating.models.document import Document
from estimating.models.job import Job
from reading.prepared import prepared

CONTRACT_KINDS = (Document.Kind.ESTIMATE, Document.Kind.CHANGE_ORDER)


class AcceptanceQuerySet(models.QuerySet["Acceptance"]):
    """Signatures that bind, and the documents that they sign."""

    def uncanceled(self) -> Self:
        """Return the signatures that make the contract: of estimates and changes that weren't canceled.

        That of a certificate of completion is `ends`.
        """
        return self.filter(document__kind__in=CONTRACT_KINDS).exclude(document__events__kind=CANCELED)

    def ends(self) -> Self:
        """Return the signatures under certificates of completion, which end the work of their jobs."""
        return self.filter(document__kind=Document.Kind.COMPLETION)

    def binding(self, job: Job) -> Self:
        """Return the signatures of a job's documents that weren't canceled."""
        return self.uncanceled().filter(document__job=job)


class Acceptance(models.Model):
    """The signature of a document; `record` is canonical JSON of who signed what, when, where and how.

    A change in which the firm gives something up stands by the firm's word alone; `name` is then the firm's.
    """

    class Way(models.TextChoices):
        PAGE = "page", "On the client's page"
        PAPER = "paper", "On paper"
        GIVEN = "given", "Given by the firm"
        HERE = "here", "On the contractor's device"

    document = models.OneToOneField(Document, models.PROTECT, related_name="acceptance")
    link = models.ForeignKey(ClientLink, models.PROTECT, related_name="acceptances", null=True)
    way = models.CharField(max_length=5, choices=Way)
    name = models.CharField(max_length=120)
    at = models.DateTimeField()
    signed_on = models.DateField()
    total = MoneyField(max_digits=14, decimal_places=2)
    record = models.TextField()
    record_sha256 = models.CharField(max_length=64)
    event_hash = models.CharField(max_length=64)

    objects = AcceptanceQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.document}, signed by {self.name}"

    def read_record(self) -> dict[str, Any]:
        """Return the record as a dict."""
        record: dict[str, Any] = json.loads(self.record)
        return record

    def signed_basis(self) -> SignedBasis:
        """Return the basis of the signed document; the record of a signature counts options from 1."""
        document = self.document
        positions = [option["place"] - 1 for option in self.read_record()["options"]]
        return SignedBasis(document.pk, str(document), document.read_basis(), positions)

    def as_signed(self, basis: SignedBasis, settled: TaxedAmount | None = None) -> SignedDocument:
        """Return the signed document for the rules of the contract sum.

        `settled` is what its work by the hour came to. Costs queries where document, estimate and change
        weren't fetched before.
        """
        document, amounts = self.document, document_amounts(basis, settled)
        change = getattr(document.estimate, "change", None)
        return SignedDocument(
            document.kind,
            document.number,
            self.total.amount,
            self.signed_on,
            change.title if change else "",
            amounts.signed_tax,
            amounts.settlement,
            is_given=self.way == self.Way.GIVEN,
        )


class SignedCopy(models.Model):
    """The signed copy: a PDF of the document's pages and the page of the record, drawn once."""

    acceptance = models.OneToOneField(Acceptance, models.PROTECT, related_name="copy")
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"Copy of {self.acceptance}"

    def is_whole(self) -> bool:
        """Return whether the stored PDF still has its digest."""
        return digest(bytes(self.pdf)) == self.pdf_sha256


class Scan(models.Model):
    """The photo or scan of a signature on paper, as it was cleaned and kept.

    With a signature on the contractor's device, that of a written waiver of the right to cancel.
    """

    acceptance = models.OneToOneField(Acceptance, models.PROTECT, related_name="scan")
    content = models.BinaryField()
    content_type = models.CharField(max_length=40)
    sha256 = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"Scan of {self.acceptance}"

    def is_whole(self) -> bool:
        """Return whether the stored file still has its digest."""
        return digest(bytes(self.content)) == self.sha256


@prepared
def signatures_of(jobs: Collection[int]) -> models.QuerySet[Acceptance]:
    """Return the signatures that make the contracts of jobs, with documents, estimates and changes."""
    return (
        Acceptance.objects.uncanceled()
        .filter(document__job__in=jobs)
        .select_related("document__estimate__change")
        .defer("document__pdf", "document__snapshot")
        .order_by("document__kind", "document__number")
    )
