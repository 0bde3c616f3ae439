"""A change order as it stands in the database, by the contract that was signed."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.boards.layouts import Effort
from estimating.changes.price import (
    AgreedPrice,
    AtSignedPrice,
    BroughtByClient,
    Choice,
    Part,
    PricedChange,
    TakenOut,
    price_change,
)
from estimating.contract.contract_sum import ESTIMATE, Contract, contract_sum
from estimating.contract.lines import (
    ContractAllowance,
    ContractLine,
    ContractRules,
    SignedPaper,
    contract_allowances,
    contract_lines,
    contract_rules,
)
from estimating.contract.unit_prices import FOUND, SignedPrice, signed_prices
from estimating.estimates.draft import Draft, policy_of, read_draft
from estimating.events import states
from estimating.models import Acceptance, ChangeLine, ChangeOrder, Document, Estimate, Job

AT_SIGNED_PRICE = (ChangeLine.Kind.FOUND, ChangeLine.Kind.OPTION)


@dataclass(frozen=True)
class SignedJob:
    """What a job's client signed: the sum with its chain, the lines that it is made of, the rules that
    changes go by, the prices signed outside the sum, and how many working days it takes."""

    estimate: Document
    contract: Contract
    rules: ContractRules
    lines: tuple[ContractLine, ...]
    allowances: tuple[ContractAllowance, ...]
    days: int
    prices: tuple[SignedPrice, ...] = ()

    def line(self, document: int, key: str) -> ContractLine:
        return next(line for line in self.lines if line.place == (document, key))

    def price_at(self, document: int, key: str) -> SignedPrice:
        return next(each for each in self.prices if each.place == (document, key))

    @property
    def conditions(self) -> tuple[SignedPrice, ...]:
        return tuple(each for each in self.prices if each.kind == FOUND)

    @property
    def options_left(self) -> tuple[SignedPrice, ...]:
        return tuple(each for each in self.prices if each.kind != FOUND and not each.used)

    def left_to_settle(self) -> tuple[ContractAllowance, ...]:
        return tuple(each for each in self.allowances if not each.line.settled)


@dataclass(frozen=True)
class ChangeDraft:
    """A change with what it comes to. `problems` stand in its way, in plain sentences."""

    change: ChangeOrder
    signed: SignedJob
    work: Draft
    priced: PricedChange
    problems: tuple[str, ...]

    @property
    def after(self) -> Decimal:
        return self.signed.contract.total + self.priced.total


def signed_job(job: Job) -> SignedJob | None:
    """What was signed for a job; None before its estimate is. This costs a query."""
    rows = Acceptance.objects.binding(job).select_related("document__estimate__change")
    signed = list(
        rows.defer("document__pdf", "document__snapshot").order_by("document__kind", "document__number")
    )
    first = next((each for each in signed if each.document.kind == ESTIMATE), None)
    if first is None:
        return None
    signed.sort(key=lambda each: each is not first)
    papers = [_paper(each) for each in signed]
    lines = contract_lines(papers)
    basis = papers[0].basis
    return SignedJob(
        estimate=first.document,
        contract=contract_sum(each.as_signed() for each in signed),
        rules=contract_rules(basis),
        lines=lines,
        allowances=contract_allowances(papers, lines),
        days=basis["working_days"] + sum(paper.basis.get("days", 0) for paper in papers[1:]),
        prices=signed_prices(papers),
    )


def _paper(acceptance: Acceptance) -> SignedPaper:
    options = acceptance.read_record()["options"]
    document = acceptance.document
    return SignedPaper(
        document.pk, str(document), document.read_basis(), [each["place"] - 1 for each in options]
    )


def waiting_changes(job: Job) -> list[Document]:
    """Change orders that were issued and could still be signed, the oldest first. This costs two queries."""
    issued = Document.objects.filter(job=job, kind=Document.Kind.CHANGE_ORDER).for_list()
    issued = issued.select_related("estimate__change").order_by("number")
    return [each for each in issued if each.state() in states.OPEN]


def begin_change(change: ChangeOrder, signed: SignedJob, firm: Firm, today: date) -> None:
    """Keep a new change, with an estimate for the work that it adds. Call in a transaction."""
    rules = signed.rules
    estimate = Estimate.blank(change.job, firm, today)
    estimate.labor_rate, estimate.labor_markup = rules.labor_rate, rules.labor
    estimate.material_markup = estimate.equipment_markup = estimate.subcontract_markup = rules.terms.markup
    estimate.contingency_percent = estimate.minimum_charge = Decimal(0)
    estimate.runs, estimate.visit_hours = 0, Decimal(0)
    estimate.detail, estimate.scope_by = "line", Estimate.ScopeBy.WORK
    estimate.assumptions = estimate.exclusions = estimate.terms = ""
    estimate.save()
    change.estimate = estimate
    change.save()


def work_of_change(change: ChangeOrder, signed: SignedJob, firm: Firm, effort: Effort = "best") -> Draft:
    """The work that a change adds, priced by the signed contract, tax and all."""
    policy = policy_of(change.estimate, change.job)
    rules = signed.rules
    ruled = replace(policy, tax_policy=rules.tax_policy, tax_rate=rules.tax_rate, changes=rules.terms)
    return read_draft(change.estimate, firm, effort, ruled)


def draft_of(estimate: Estimate, firm: Firm, effort: Effort = "best") -> Draft:
    """The draft of an estimate, or of the work of a change."""
    change: ChangeOrder | None = getattr(estimate, "change", None)
    signed = signed_job(change.job) if change else None
    if change is None or signed is None:
        return read_draft(estimate, firm, effort)
    return work_of_change(change, signed, firm, effort)


def read_change(change: ChangeOrder, signed: SignedJob, firm: Firm, today: date) -> ChangeDraft:
    """The change as it stands on a day. The number of queries doesn't grow with its lines."""
    work = work_of_change(change, signed, firm)
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


def _part(line: ChangeLine, signed: SignedJob, today: date) -> Part:
    key, amount = f"line-{line.pk}", line.amount.amount
    if line.kind in AT_SIGNED_PRICE:
        return AtSignedPrice(key, signed.price_at(line.document_id, line.key), line.quantity)
    if line.kind == ChangeLine.Kind.AGREED:
        return AgreedPrice(key, line.title, line.quantity, line.unit, amount)
    refers = signed.line(line.document_id, line.key)
    if line.kind == ChangeLine.Kind.TAKEN_OUT:
        return TakenOut(key, refers)
    if line.kind == ChangeLine.Kind.BROUGHT:
        return BroughtByClient(key, line.title, refers, amount)
    allowance = next(each for each in signed.allowances if each.line.place == refers.place)
    return Choice(key, line.title, allowance, amount, allowance.late(today))


def _line_problems(lines: list[ChangeLine], signed: SignedJob, today: date) -> Iterator[str]:
    for line in lines:
        if not line.document_id:
            continue
        if line.kind in AT_SIGNED_PRICE:
            price = signed.price_at(line.document_id, line.key)
            if reason := price.why_not(line.quantity, today):
                yield reason
            continue
        refers = signed.line(line.document_id, line.key)
        if refers.settled:
            yield f"{refers.title} was settled by a signed change already. Take it off this one."
        elif line.kind == ChangeLine.Kind.BROUGHT:
            (row,) = price_change(signed.rules, (), [_part(line, signed, today)]).rows
            if -row.price > refers.left:
                yield (
                    f"{line.title}: the credit of {format_price(-row.price)} is more than is left of "
                    f"{refers.title}, {format_price(refers.left)}."
                )


def contract_page(job: Job) -> dict[str, Any]:
    """What the job's papers show of its contract; nothing before the estimate is signed."""
    signed = signed_job(job)
    if signed is None:
        return {}
    waiting = waiting_changes(job)
    settled = {step.signed.number for step in signed.contract.steps[1:]}
    closed = Document.objects.filter(
        job=job, kind=Document.Kind.CHANGE_ORDER, number__in=settled | {each.number for each in waiting}
    )
    return {
        "signed": signed,
        "waiting": waiting,
        "being_written": job.changes.exclude(estimate__in=closed.values("estimate")),
    }
