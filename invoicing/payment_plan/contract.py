"""The contract that a job is billed by, read from the documents that its client signed, or from its draft."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.utils import timezone

from catalog.models import Firm
from estimating.contract.document_amounts import TaxedAmount, goes_by_the_hour
from estimating.contract.lines import SignedBasis
from estimating.estimates.draft import read_draft
from estimating.models import Acceptance, Document, Estimate, Job
from estimating.models.acceptance import signatures_of
from estimating.snapshots.price_basis import estimate_basis
from invoicing.milestones.contract_amounts import ContractAmounts, contract_amounts
from invoicing.models import PlacedPart
from reading.prepared import keys_of


def read_contract(job: Job) -> ContractAmounts:
    """Return what was signed for a job, which costs a query; before that, what its draft comes to."""
    return read_contracts([job]).get(job.pk) or _read_draft_contract(job)


def read_contracts(jobs: Iterable[Job | int]) -> dict[int, ContractAmounts]:
    """Return what was signed, by job, for those jobs that have a signed estimate.

    Costs a query, and one more where work goes by the hour.
    """
    signatures: dict[int, list[Acceptance]] = defaultdict(list)
    for acceptance in signatures_of(keys_of(jobs)):
        signatures[acceptance.document.job_id].append(acceptance)
    bases = {job: [row.signed_basis() for row in signed] for job, signed in signatures.items()}
    by_the_hour = [job for job, rows in bases.items() if any(map(goes_by_the_hour, rows))]
    settled = read_settled_hours(by_the_hour) if by_the_hour else {}
    contracts = {job: _signed_contract(rows, bases[job], settled) for job, rows in signatures.items()}
    return {job: contract for job, contract in contracts.items() if contract}


def signed_late_percent(job: Job) -> Decimal:
    """Return the late charge that a job's signed estimate states, in percent a year. Costs a query.

    0 where it states none, and for a job that has no contract any more.
    """
    contract = read_contracts([job]).get(job.pk)
    return contract.late_percent if contract else Decimal(0)


def signed_returned_fee(job: Job) -> Decimal:
    """Return the fee for a returned check that a job's signed estimate states; 0 for none. Costs a query."""
    contract = read_contracts([job]).get(job.pk)
    return contract.returned_fee if contract else Decimal(0)


def read_settled_hours(jobs: Iterable[Job | int]) -> dict[int, TaxedAmount]:
    """Return what work by the hour counts at in the plans of jobs, by the primary key of its change order.

    That is its limit, and once it is settled what it came to. Costs a query.
    """
    parts = PlacedPart.objects.filter(by_measure=True, document__job__in=jobs)
    return {part.document_id: TaxedAmount(part.amount.amount, part.taxable.amount) for part in parts}


def _signed_contract(
    acceptances: Sequence[Acceptance], bases: Sequence[SignedBasis], settled: Mapping[int, TaxedAmount]
) -> ContractAmounts | None:
    rows = list(zip(acceptances, bases, strict=True))
    estimate = next((basis for row, basis in rows if row.document.kind == Document.Kind.ESTIMATE), None)
    if estimate is None:
        return None
    changes = [(basis, change_title(row.document)) for row, basis in rows if basis is not estimate]
    return contract_amounts(estimate, changes, is_signed=True, settled=settled)


def _read_draft_contract(job: Job) -> ContractAmounts:
    firm = Firm.current()
    estimate = Estimate.objects.filter(job=job, change=None).first()
    estimate = estimate or Estimate.begin(job, firm, timezone.localdate())
    return draft_contract(estimate_basis(read_draft(estimate, firm, "first")))


def draft_contract(basis: Mapping[str, Any]) -> ContractAmounts:
    """Return what an estimate would come to if it were signed as it is, without options."""
    return contract_amounts(SignedBasis(0, "Draft", basis), (), is_signed=False)


def change_title(document: Document) -> str:
    """Name a change order: "Change order 2, Rotten subfloor"."""
    change = getattr(document.estimate, "change", None)
    return f"{document}, {change.title}" if change else str(document)
