"""Reads a change order that is being written, and what was signed for its job, from the database."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.boards.layouts import Effort
from estimating.changes.price import (
    AllowanceChoice,
    DeletedWork,
    GivenUp,
    LumpSumLine,
    OwnerFurnished,
    Part,
    PricedChange,
    UnitPriceLine,
    price_change,
)
from estimating.contract.contract_sum import Contract, contract_sum
from estimating.contract.document_amounts import goes_by_the_hour
from estimating.contract.lines import (
    ContractAllowance,
    ContractLine,
    ContractRules,
    SignedBasis,
    contract_allowances,
    contract_lines,
    contract_rules,
)
from estimating.contract.unit_prices import FOUND, OPTION, UnitPrice, unit_prices
from estimating.documents.billing_hooks import billing
from estimating.estimates.draft import Draft, policy_of, read_draft
from estimating.events import states
from estimating.models import Acceptance, ChangeLine, ChangeOrder, Document, Estimate, Job
from reading.prepared import prepared


@dataclass(frozen=True)
class SignedJob:
    """What a job's client signed.

    `estimate` is the signed estimate; `contract` the contract sum with its steps; `rules` what changes are
    priced by; `lines` and `allowances` what the sum is made of; `days` the working days that the job takes,
    signed changes included; `prices` the unit prices outside the sum.
    """

    estimate: Document
    contract: Contract
    rules: ContractRules
    lines: tuple[ContractLine, ...]
    allowances: tuple[ContractAllowance, ...]
    days: int
    prices: tuple[UnitPrice, ...] = ()

    def line(self, document: int, key: str) -> ContractLine:
        """Return the contract line of a document's primary key and a key in its basis."""
        return next(line for line in self.lines if line.place == (document, key))

    def price_at(self, document: int, key: str) -> UnitPrice:
        """Return the unit price of a document's primary key and a key in its basis."""
        return next(price for price in self.prices if price.place == (document, key))

    @property
    def conditions(self) -> tuple[UnitPrice, ...]:
        """The unit prices of hidden conditions."""
        return tuple(price for price in self.prices if price.kind == FOUND)

    @property
    def options_left(self) -> tuple[UnitPrice, ...]:
        """The options that nothing signed has taken yet."""
        return tuple(price for price in self.prices if price.kind == OPTION and not price.used)

    def left_to_settle(self) -> tuple[ContractAllowance, ...]:
        """Return the allowances that no signed change has settled."""
        return tuple(allowance for allowance in self.allowances if not allowance.line.settled)


@dataclass(frozen=True)
class ChangeDraft:
    """A change that is being written, with its work and its price.

    `problems` are sentences about what must be answered before it can be issued.
    """

    change: ChangeOrder
    signed: SignedJob
    work: Draft
    priced: PricedChange
    problems: tuple[str, ...]

    @property
    def after(self) -> Decimal:
        """The contract sum once the change is signed."""
        return self.signed.contract.total + self.priced.total

    @property
    def days_after(self) -> int:
        """The working days that the job takes once the change is signed."""
        return self.signed.days + self.change.days

    @property
    def charges_our_error(self) -> bool:
        """Whether the client would pay more for an error of the firm."""
        return self.change.reason == ChangeOrder.Reason.OURS and self.priced.total > 0


def signed_job(job: Job) -> SignedJob | None:
    """Return what was signed for a job; None before its estimate is signed.

    Costs a query, and one more where work goes by the hour.
    """
    acceptances = _signatures(job.pk)
    estimates = (row for row in acceptances if row.document.kind == Document.Kind.ESTIMATE)
    estimate = next(estimates, None)
    if estimate is None:
        return None
    acceptances.sort(key=lambda acceptance: acceptance is not estimate)
    bases = [acceptance.signed_basis() for acceptance in acceptances]
    lines = contract_lines(bases)
    basis = bases[0].basis
    return SignedJob(
        estimate=estimate.document,
        contract=_contract_sum(job, acceptances, bases),
        rules=contract_rules(basis),
        lines=lines,
        allowances=contract_allowances(bases, lines),
        days=basis["working_days"] + sum(change.basis.get("days", 0) for change in bases[1:]),
        prices=unit_prices(bases),
    )


def _contract_sum(job: Job, acceptances: Iterable[Acceptance], bases: Sequence[SignedBasis]) -> Contract:
    """Return the contract sum. Costs a query where work goes by the hour."""
    settled = billing().settled_hours([job]) if any(map(goes_by_the_hour, bases)) else {}
    return contract_sum(
        acceptance.as_signed(basis, settled.get(basis.document))
        for acceptance, basis in zip(acceptances, bases, strict=True)
    )


def waiting_changes(job: Job) -> list[Document]:
    """Return the issued change orders that can still be signed, the oldest first. Costs two queries."""
    return [document for document in _change_orders(job.pk) if document.state() in states.OPEN]


@prepared
def _signatures(job: int) -> QuerySet[Acceptance]:
    rows = Acceptance.objects.uncanceled().filter(document__job=job)
    rows = rows.select_related("document__estimate__change").defer("document__pdf", "document__snapshot")
    return rows.order_by("document__kind", "document__number")


@prepared
def _change_orders(job: int) -> QuerySet[Document]:
    issued = Document.objects.filter(job=job, kind=Document.Kind.CHANGE_ORDER).for_list()
    return issued.select_related("estimate__change").order_by("number")


def read_added_work(change: ChangeOrder, signed: SignedJob, firm: Firm, effort: Effort = "best") -> Draft:
    """Return the work that a change adds, priced by the tax and the terms of the signed contract."""
    policy = policy_of(change.estimate, change.job)
    rules = signed.rules
    ruled = replace(policy, tax_policy=rules.tax_policy, tax_rate=rules.tax_rate, changes=rules.terms)
    return read_draft(change.estimate, firm, effort, ruled)


def draft_of(estimate: Estimate, firm: Firm, effort: Effort = "best") -> Draft:
    """Return the draft of an estimate; of a change's estimate, the work that the change adds."""
    change: ChangeOrder | None = getattr(estimate, "change", None)
    signed = signed_job(change.job) if change else None
    if change is None or signed is None:
        return read_draft(estimate, firm, effort)
    return read_added_work(change, signed, firm, effort)


def read_change(change: ChangeOrder, signed: SignedJob, firm: Firm, today: date) -> ChangeDraft:
    """Return the change priced as of a day. The number of queries doesn't grow with its lines."""
    work = read_added_work(change, signed, firm)
    lines = list(change.lines.all())
    at_most = {str(pk) for pk in change.time_and_material.values_list("pk", flat=True)}
    priced = price_change(
        signed.rules,
        [line for line in work.priced.lines if line.kind == "work"],
        [_part(line, signed, today) for line in lines],
        at_most,
        our_error=change.reason == ChangeOrder.Reason.OURS,
    )
    problems = (*work.take_off.problems, *_line_problems(lines, signed, today))
    return ChangeDraft(change, signed, work, priced, problems)


def row_key(line: ChangeLine) -> str:
    """Return the key that the row of a change's line has in its price and its basis."""
    return f"line-{line.pk}"


def _part(line: ChangeLine, signed: SignedJob, today: date) -> Part:
    """Return a line of a change as the rules price it."""
    key, amount = row_key(line), line.amount.amount
    if line.kind == ChangeLine.Kind.AGREED:
        return LumpSumLine(key, line.title, line.quantity, line.unit, amount)
    if line.kind == ChangeLine.Kind.GIVEN_UP:
        return GivenUp(key, line.title, amount, line.taxable.amount)
    document = line.document_id
    assert document is not None  # all but a lump sum name the line or the unit price that they go by
    if line.kind in (ChangeLine.Kind.FOUND, ChangeLine.Kind.OPTION):
        return UnitPriceLine(key, signed.price_at(document, line.key), line.quantity)
    contract_line = signed.line(document, line.key)
    if line.kind == ChangeLine.Kind.TAKEN_OUT:
        return DeletedWork(key, contract_line)
    if line.kind == ChangeLine.Kind.PART_OUT:
        return DeletedWork(key, contract_line, amount)
    if line.kind == ChangeLine.Kind.BROUGHT:
        return OwnerFurnished(key, line.title, contract_line, amount)
    allowance = next(held for held in signed.allowances if held.line.place == contract_line.place)
    return AllowanceChoice(key, line.title, allowance, amount, allowance.late(today))


def open_lines(change: ChangeOrder, signed: SignedJob) -> list[ContractLine]:
    """Return the contract lines that neither a signed change nor this one has settled. Costs a query."""
    settled = set(change.lines.values_list("document_id", "key"))
    return [line for line in signed.lines if not line.settled and line.left and line.place not in settled]


def open_work_lines(change: ChangeOrder, signed: SignedJob) -> list[ContractLine]:
    """Return the open contract lines that hold work, and so material that the client could bring."""
    return [line for line in open_lines(change, signed) if line.kind != "allowance"]


def _line_problems(lines: list[ChangeLine], signed: SignedJob, today: date) -> Iterator[str]:
    """Yield a sentence for each line that what was signed no longer allows."""
    for line in lines:
        if not line.document_id:
            continue
        if line.kind in (ChangeLine.Kind.FOUND, ChangeLine.Kind.OPTION):
            price = signed.price_at(line.document_id, line.key)
            if reason := price.why_not(line.quantity, today):
                yield reason
            continue
        contract_line = signed.line(line.document_id, line.key)
        if contract_line.settled:
            yield f"{contract_line.title} was settled by a signed change already. Remove it from this one."
        elif line.kind == ChangeLine.Kind.PART_OUT and line.amount.amount >= contract_line.left:
            yield (
                f"{contract_line.title}: {format_price(contract_line.left)} is left of it. Take all of it "
                "out, or less than that."
            )
        elif line.kind == ChangeLine.Kind.BROUGHT:
            (row,) = price_change(signed.rules, (), [_part(line, signed, today)]).rows
            if -row.price > contract_line.left:
                yield (
                    f"{line.title}: the credit of {format_price(-row.price)} is more than is left of "
                    f"{contract_line.title}, {format_price(contract_line.left)}."
                )


def contract_page(job: Job) -> dict[str, Any]:
    """Return the context of the contract on the page of a job's documents; empty before it is signed.

    Its keys are `signed`, the SignedJob, `waiting`, the changes that can still be signed, and
    `being_written`, the changes that no document of these was issued from.
    """
    signed = signed_job(job)
    if signed is None:
        return {}
    waiting = waiting_changes(job)
    settled = {step.signed.number for step in signed.contract.steps[1:]}
    closed = Document.objects.filter(
        job=job,
        kind=Document.Kind.CHANGE_ORDER,
        number__in=settled | {document.number for document in waiting},
    )
    return {
        "signed": signed,
        "waiting": waiting,
        "being_written": job.changes.exclude(estimate__in=closed.values("estimate")),
    }
