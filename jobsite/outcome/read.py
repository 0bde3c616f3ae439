"""What jobs made and what a year brought, read from the database for the rules."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Q, Sum

from catalog.models import Firm
from catalog.money.amounts import round_cents
from catalog.money.hourly_rate import Year
from estimating.changes.price import hour_price
from estimating.contract.document_amounts import document_amounts
from estimating.contract.lines import SignedBasis, contract_rules
from estimating.contract.work_lines import contract_work_lines
from estimating.documents.billing_hooks import billing
from estimating.events.states import ACCEPTED, DECLINED, state_after
from estimating.models import Document, DocumentEvent, Job
from jobsite.hours.progress import JobHours
from jobsite.hours.read import SignedWork
from jobsite.models import CallBack, ForTheJob, HoursWorked, ReceiptKept
from jobsite.outcome.job import JobOutcome, Result, job_outcome
from jobsite.outcome.year import Earned, Hours, Quote, Quotes, earned_parts, quotes_of, share_of_year
from jobsite.receipts.costs import Bought

UNPAID = (ForTheJob.QUOTING, ForTheJob.CALL_BACK, ForTheJob.WARRANTY, ForTheJob.EXTRA)


def read_outcome(job: Job, signed: SignedWork, hours: JobHours, bought: Bought) -> JobOutcome | None:
    """Return what a job made, or will make; None before it is signed. Costs two queries."""
    if not signed.bases or signed.bases[0].document is None:
        return None
    rules = contract_rules(signed.bases[0].basis)
    extra = HoursWorked.objects.filter(job=job, for_job=ForTheJob.EXTRA).aggregate(hours=Sum("hours"))
    settled = billing().settled_hours([job]) if any(change.by_the_hour for change in signed.changes) else {}
    prices = [document_amounts(basis, settled.get(basis.document)) for basis in signed.bases]
    price = sum((each.fixed.amount + each.by_the_hour.amount for each in prices), Decimal(0))
    labor_rate = rules.labor_rate
    sold_price = prices[0].fixed.amount + prices[0].by_the_hour.amount
    sold = _as_priced(sold_price, signed.bases[:1], labor_rate)
    all_signed = _as_priced(price, signed.bases, labor_rate)
    return job_outcome(
        sold,
        all_signed,
        hours,
        bought,
        labor_rate,
        hour_price(rules),
        Fraction(Decimal(extra["hours"] or 0)),
    )


@dataclass(frozen=True)
class CallBacks:
    """The call-backs of a job, what they took in hours at what one costs the firm, and what was bought."""

    rows: tuple[CallBack, ...]
    hours: Fraction
    labor: Decimal
    bought: Decimal

    @property
    def cost(self) -> Decimal:
        return self.labor + self.bought


def read_call_backs(job: Job, labor_rate: Decimal) -> CallBacks:
    """Return the call-backs of a job. Costs a query."""
    rows = tuple(CallBack.objects.filter(job=job).select_related("worked", "bought"))
    hours = sum((Fraction(row.worked.hours) for row in rows if row.worked), Fraction(0))
    bought = sum((row.bought.total for row in rows if row.bought), Decimal("0.00"))
    return CallBacks(rows, hours, round_cents(hours * Fraction(labor_rate)), bought)


def _as_priced(price: Decimal, bases: tuple[SignedBasis, ...], labor_rate: Decimal) -> Result:
    lines = contract_work_lines(bases, ())
    trips = sum(
        (
            Fraction(line["hours"])
            for basis in bases
            for line in basis.basis["lines"]
            if line["kind"] == "trips"
        ),
        Fraction(0),
    )
    hours = sum((line.hours for line in lines), trips)
    bought = sum((line.bought for line in lines), Fraction(0))
    return Result(price, hours, round_cents(hours * Fraction(labor_rate)), round_cents(bought))


@dataclass(frozen=True)
class YearSoFar:
    """A year of the firm; `parts` are empty where it has no year that its rate was worked out from."""

    year: int
    billed: Decimal
    bought: Decimal
    parts: tuple[Earned, ...]
    hours: Hours
    quotes: Quotes


def read_year(year: int, today: date) -> YearSoFar:
    """Return what a year brought. Costs about eleven queries, those of billing among them."""
    first, last = date(year, 1, 1), date(year, 12, 31)
    firm, span = Firm.current(), Q(on__gte=first, on__lte=last)
    sums = ReceiptKept.objects.filter(span).aggregate(cost=Sum("cost"), tax=Sum("tax"))
    bought = round_cents(Decimal(sums["cost"] or 0) + Decimal(sums["tax"] or 0))
    billed = billing().billed(first, last)
    kept = HoursWorked.objects.filter(span).aggregate(
        unpaid=Sum("hours", filter=Q(for_job__in=UNPAID) | Q(call_back__isnull=False)), whole=Sum("hours")
    )
    unpaid, whole = (Fraction(Decimal(kept[name] or 0)) for name in ("unpaid", "whole"))
    planned = Fraction(firm.billable_hours)
    hours = Hours(whole - unpaid, unpaid, planned, planned * share_of_year(today, year))
    own_pay, burden, overhead = firm.own_pay.amount, firm.burden.amount, firm.overhead.amount
    parts: tuple[Earned, ...] = ()
    if own_pay or burden or overhead:
        planned_year = Year(own_pay, burden, overhead, firm.profit_margin, Decimal(firm.billable_hours))
        parts = earned_parts(planned_year, billed, bought)
    return YearSoFar(year, billed, bought, parts, hours, quotes_of(read_quotes(first, last)))


def read_quotes(first: date, last: date) -> list[Quote]:
    """Return the quotes of jobs whose first estimate was made between two days. Costs three queries."""
    estimates = Document.objects.filter(kind=Document.Kind.ESTIMATE)
    of_jobs = estimates.filter(job__in=estimates.filter(dated__gte=first, dated__lte=last).values("job"))
    papers = of_jobs.order_by("issued_at", "pk").values_list(
        "pk", "job", "total", "dated", "job__requested_on", named=True
    )
    by_job: defaultdict[int, list[Any]] = defaultdict(list)
    for paper in papers:
        by_job[paper.job].append(paper)
    events = DocumentEvent.objects.filter(document__in=of_jobs.order_by().values("pk")).order_by("place")
    happened: defaultdict[int, list[str]] = defaultdict(list)
    for document, kind in events.values_list("document", "kind"):
        happened[document].append(kind)
    states = {document: state_after(kinds) for document, kinds in happened.items()}
    kept = HoursWorked.objects.filter(job__in=by_job, for_job=ForTheJob.QUOTING).order_by()
    hours = dict(kept.values_list("job").annotate(hours=Sum("hours")))
    return [
        Quote(
            of_job[-1].total,
            of_job[0].job__requested_on,
            of_job[0].dated,
            any(states.get(paper.pk) == ACCEPTED for paper in of_job),
            any(states.get(paper.pk) == DECLINED for paper in of_job),
            Fraction(Decimal(hours.get(job, 0))),
        )
        for job, of_job in by_job.items()
        if first <= of_job[0].dated <= last
    ]
