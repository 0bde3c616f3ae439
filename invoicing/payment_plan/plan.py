"""The plan of payments of a job as it stands in the database, summed to what was signed."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from catalog.models import Firm
from estimating.contract.lines import SignedPaper
from estimating.estimates.draft import read_draft
from estimating.models import Acceptance, ChangeOrder, Document, Estimate, Job
from estimating.snapshots.price_basis import estimate_basis
from invoicing.billing.draft import BillLine, check_redrawn, left_to_bill
from invoicing.ledger.accounts import Books
from invoicing.ledger.history import billed_lines
from invoicing.milestones import plan as rules
from invoicing.milestones.contract_amounts import Agreed, agreed_on, change_key, changes_of
from invoicing.milestones.plan import NO_MONEY, ChangePart, Plan, PlanFault, SignedChange
from invoicing.milestones.templates import Step
from invoicing.models import Milestone, Pattern, PatternStep, PaymentPlan, PlacedPart, PlannedChange
from invoicing.models.plan import ChangesGo

OWN_CONDITION = "The work of {document} is done."


@dataclass(frozen=True)
class DrawnPlan:
    """A job's plan with what it is made of. Where it can't stand, `fault` says why in a plain sentence and
    `plan` is None."""

    kept: PaymentPlan
    rows: tuple[Milestone, ...]
    agreed: Agreed
    history: tuple[BillLine, ...]
    plan: Plan | None
    fault: str = ""

    @property
    def left(self) -> dict[str, Decimal]:
        """What each milestone has left to bill, by its key; nothing while the plan can't stand."""
        return left_to_bill(self.plan, self.history) if self.plan else {}


def agreed_of(job: Job) -> Agreed:
    """What was signed for a job, which costs a query; before that, what its draft comes to."""
    return signed_of([job]).get(job.pk) or _draft_of(job)


def signed_of(jobs: Iterable[Job]) -> dict[int, Agreed]:
    """What was signed, by job, of those jobs that have a signed estimate. Costs a query."""
    papers: dict[int, list[Acceptance]] = defaultdict(list)
    rows = (
        Acceptance.objects.uncanceled()
        .filter(document__job__in=jobs)
        .select_related("document__estimate__change")
        .defer("document__pdf", "document__snapshot")
        .order_by("document__kind", "document__number")
    )
    for row in rows:
        papers[row.document.job_id].append(row)
    return {job: agreed for job, signed in papers.items() if (agreed := _signed(signed))}


def _signed(rows: Sequence[Acceptance]) -> Agreed | None:
    first = next((each for each in rows if each.document.kind == Document.Kind.ESTIMATE), None)
    if first is None:
        return None
    changes = [(signed_paper(each), change_title(each.document)) for each in rows if each is not first]
    return agreed_on(signed_paper(first), changes, is_signed=True)


def _draft_of(job: Job) -> Agreed:
    firm = Firm.current()
    estimate = Estimate.objects.filter(job=job, change=None).first()
    estimate = estimate or Estimate.begin(job, firm, timezone.localdate())
    return agreed_in_draft(estimate_basis(read_draft(estimate, firm, "first")))


def agreed_in_draft(basis: Mapping[str, object]) -> Agreed:
    """What an estimate would come to if it were signed as it stands, without options."""
    return agreed_on(SignedPaper(0, "Draft", basis), (), is_signed=False)


def signed_paper(acceptance: Acceptance) -> SignedPaper:
    document = acceptance.document
    places = [each["place"] - 1 for each in acceptance.read_record()["options"]]
    return SignedPaper(document.pk, str(document), document.read_basis(), places)


def change_title(document: Document) -> str:
    """ "Change order 2, Rotten subfloor" """
    change = getattr(document.estimate, "change", None)
    return f"{document}, {change.title}" if change else str(document)


def read_plan(job: Job, agreed: Agreed | None = None) -> DrawnPlan | None:
    """The job's plan, summed to what was signed; None before one is drawn. The number of queries doesn't
    grow with its milestones."""
    kept = PaymentPlan.objects.filter(job=job).first()
    if kept is None:
        return None
    kept.job = job
    return _drawn(kept, agreed or agreed_of(job), billed_lines(job), _parts_of(kept))


def read_plans(jobs: Iterable[Job], books: Books) -> dict[int, DrawnPlan]:
    """The plans of signed jobs, by job, as `read_plan` reads one; `books` hold the jobs' bills. Four queries,
    however many jobs there are."""
    plans = PaymentPlan.objects.filter(job__in=jobs).select_related("job__client")
    kept = {plan.job_id: plan for plan in plans.prefetch_related("milestones")}
    parts: dict[int, list[PlacedPart]] = defaultdict(list)
    for part in PlacedPart.objects.filter(milestone__plan__in=kept.values()).select_related("milestone"):
        parts[part.milestone.plan_id].append(part)
    return {
        job: _drawn(kept[job], agreed, books.billed_lines(kept[job].job), parts[kept[job].pk])
        for job, agreed in signed_of(kept).items()
    }


def _drawn(
    kept: PaymentPlan, agreed: Agreed, history: tuple[BillLine, ...], parts: Iterable[PlacedPart]
) -> DrawnPlan:
    rows, parts = _in_force(kept.milestones.all(), parts, agreed, history)
    try:
        return DrawnPlan(kept, rows, agreed, history, summed(kept, rows, agreed, parts))
    except PlanFault as fault:
        return DrawnPlan(kept, rows, agreed, history, None, str(fault))


def _parts_of(kept: PaymentPlan) -> Iterable[PlacedPart]:
    return PlacedPart.objects.filter(milestone__plan=kept)


def _in_force(
    rows: Iterable[Milestone], parts: Iterable[PlacedPart], agreed: Agreed, history: Iterable[BillLine]
) -> tuple[tuple[Milestone, ...], tuple[PlacedPart, ...]]:
    """The milestones and placed parts of what is signed: those of changes that were canceled count no
    more, unless something was billed of the line."""
    signed = {paper.document for paper in agreed.papers}
    billed = {line.milestone for line in history}
    kept = (row for row in rows if row.change_id is None or row.change_id in signed or row.key in billed)
    return tuple(kept), tuple(part for part in parts if part.document_id in signed)


def summed(kept: PaymentPlan, rows: Sequence[Milestone], agreed: Agreed, parts: Iterable[PlacedPart]) -> Plan:
    """The plan that these rows make of what was signed. Raises PlanFault where it can't stand."""
    terms = [row.term() for row in rows]
    plan = rules.draw_plan(agreed.amount, terms, agreed.taxable, kept.retainage, kept.deposit.amount)
    placed = [
        ChangePart(
            change_key(part.document_id, part.by_measure),
            f"{part.milestone_id}",
            part.amount.amount,
            part.taxable.amount,
        )
        for part in parts
    ]
    changes = tuple(_settled(change, placed) for change in agreed.changes)
    return replace(plan, changes=changes, parts=tuple(placed))


def _settled(change: SignedChange, parts: Sequence[ChangePart]) -> SignedChange:
    """A change billed by measure that has ended stands at what it came to, and not at its limit."""
    mine = [part for part in parts if part.change == change.key]
    if not (change.by_measure and mine):
        return change
    amount = sum((part.amount for part in mine), NO_MONEY)
    taxable = sum((part.taxable for part in mine), NO_MONEY)
    return replace(change, amount=amount, taxable=taxable)


def check_rows(drawn: DrawnPlan, rows: Sequence[Milestone], kept: PaymentPlan | None = None) -> None:
    """Raise PlanFault where these rows, in place of the plan's own, can't stand: they don't sum to the
    contract, or leave less than was billed."""
    _, parts = _in_force(rows, _parts_of(drawn.kept), drawn.agreed, drawn.history)
    check_redrawn(summed(kept or drawn.kept, rows, drawn.agreed, parts), drawn.history)


def draw(job: Job, steps: Sequence[Step], pattern: Pattern | None = None) -> PaymentPlan:
    """Keep a new plan of these steps, with the changes that are signed already placed in it.

    Raises PlanFault where the steps can't sum to what was signed.
    """
    agreed = agreed_of(job)
    rules.milestone_amounts(agreed.amount, [step.term(f"{place}") for place, step in enumerate(steps)])
    with transaction.atomic():
        kept = PaymentPlan.objects.create(job=job)
        if pattern:
            kept.retainage_percent, kept.changes_go = pattern.retainage_percent, pattern.changes_go
            kept.save()
        for place, step in enumerate(steps):
            Milestone.objects.create(plan=kept, position=place, **vars(step))
        place_signed_changes(job)
    return kept


def steps_of(pattern: Pattern) -> list[Step]:
    return [_step(each) for each in pattern.steps.all()]


def _step(row: Milestone | PatternStep) -> Step:
    amount = None if row.amount is None else row.amount.amount
    return Step(row.name, row.condition, row.not_covered, row.share_percent, amount, row.is_deposit)


def keep_pattern(drawn: DrawnPlan, name: str) -> Pattern:
    """Keep the plan's milestones under a name, without those of single changes."""
    pattern = Pattern.objects.create(
        name=name, retainage_percent=drawn.kept.retainage_percent, changes_go=drawn.kept.changes_go
    )
    rows = [row for row in drawn.rows if row.change_id is None]
    for place, row in enumerate(rows):
        PatternStep.objects.create(pattern=pattern, position=place, **vars(_step(row)))
    return pattern


def place_signed_changes(job: Job) -> None:
    """Give every signed change its place in the job's plan; those placed already stay. Call in a
    transaction. Without a plan nothing is done: drawing one places them."""
    if PaymentPlan.objects.select_for_update().filter(job=job).first() is None:
        return
    agreed = agreed_of(job)
    placed = set(PlacedPart.objects.filter(milestone__plan__job=job).values_list("document_id", flat=True))
    waiting = [paper for paper in agreed.papers[1:] if paper.document not in placed]
    if not waiting:
        return
    keys = {change_key(paper.document, measured) for paper in waiting for measured in (False, True)}
    known = replace(agreed, changes=tuple(each for each in agreed.changes if each.key not in keys))
    drawn = read_plan(job, known)
    documents = Document.objects.select_related("estimate__change").in_bulk(
        [each.document for each in waiting]
    )
    for paper in waiting:
        drawn = _place(drawn, documents[paper.document], paper)


def _place(drawn: DrawnPlan, document: Document, paper: SignedPaper) -> DrawnPlan:
    """The plan with one more change in it, kept in the database."""
    way = goes_of(getattr(document.estimate, "change", None), drawn.kept)
    for change in changes_of(paper, change_title(document)):
        parts = printed_parts(drawn, change, paper)
        if parts is None:
            parts = parts_of(drawn, change, way)
        if not parts:
            drawn, own = _with_own_line(drawn, document)
            parts = (ChangePart(change.key, own.key, change.amount, change.taxable),)
        PlacedPart.objects.bulk_create(
            PlacedPart(
                document=document,
                by_measure=change.by_measure,
                milestone_id=int(part.milestone),
                amount=part.amount,
                taxable=part.taxable,
            )
            for part in parts
        )
        if drawn.plan:
            plan = replace(
                drawn.plan, changes=(*drawn.plan.changes, change), parts=(*drawn.plan.parts, *parts)
            )
            drawn = replace(drawn, plan=plan)
    return drawn


def goes_of(change: ChangeOrder | None, kept: PaymentPlan) -> str:
    """Where a change's money is to go: its own way, or else the plan's. Costs a query."""
    own = PlannedChange.objects.filter(change=change).first() if change else None
    return own.goes if own else kept.changes_go


def parts_of(drawn: DrawnPlan, change: SignedChange, way: str) -> tuple[ChangePart, ...]:
    """Where a change would go by this way; nothing where it needs a line of its own."""
    places = {ChangesGo.SPREAD: rules.place_spread, ChangesGo.LAST: rules.place_last}
    if drawn.plan is None or way not in places:
        return ()
    # A deposit was asked for before anything could change.
    left = {key: rest for key, rest in drawn.left.items() if not drawn.plan.milestone(key).is_deposit}
    try:
        return places[way](drawn.plan, change, left).parts[len(drawn.plan.parts) :]
    except PlanFault:
        return ()


def printed_parts(
    drawn: DrawnPlan, change: SignedChange, paper: SignedPaper
) -> tuple[ChangePart, ...] | None:
    """The places that the signed paper names, none where it gives the change a line of its own. None where
    it names nothing, or milestones that are gone or have no room for a credit any more."""
    if "plan" not in paper.basis:
        return None
    parts = tuple(
        ChangePart(change.key, part["milestone"], Decimal(part["amount"]), Decimal(part["taxable"]))
        for part in paper.basis["plan"]
        if part["by_measure"] == change.by_measure
    )
    left = drawn.left
    fits = all(part.milestone in left and left[part.milestone] + part.amount >= 0 for part in parts)
    return parts if fits else None


def _with_own_line(drawn: DrawnPlan, document: Document) -> tuple[DrawnPlan, Milestone]:
    """A line at the end of the plan for one change, made once."""
    own = next((row for row in drawn.rows if row.change_id == document.pk), None)
    if own:
        return drawn, own
    own = Milestone.objects.create(
        plan=drawn.kept,
        position=len(drawn.rows),
        name=change_title(document)[:80],
        condition=OWN_CONDITION.format(document=document),
        amount=NO_MONEY,
        change=document,
    )
    plan = drawn.plan
    if plan:
        line = rules.Milestone(own.key, own.name, own.condition, NO_MONEY)
        plan = replace(plan, milestones=(*plan.milestones, line))
    return replace(drawn, rows=(*drawn.rows, own), plan=plan), own
