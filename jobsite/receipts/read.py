"""Receipts, miles and ticks of jobs, read from the database for the rules."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import Case, F, QuerySet, Sum, When

from catalog.money.amounts import round_cents
from catalog.phases import Phase
from estimating.contract.on_hand import with_stock
from estimating.models import Estimate, Job
from jobsite.hours.read import SignedWork
from jobsite.models import BoughtMaterial, Mileage, ReceiptKept, ReceiptLine
from jobsite.receipts.costs import Bought, bought_of
from jobsite.receipts.needs import material_needs
from jobsite.receipts.prices import PriceOffer, price_offer
from jobsite.receipts.shopping import Received, ShoppingLine, shopping_lines
from reading.prepared import keys_of, prepared

NOTHING_SIGNED = SignedWork()


def read_bought(job: Job, signed: SignedWork) -> Bought:
    """Return what was bought for a job against what its price holds. Costs two queries."""
    return read_bought_of([job], {job.pk: signed})[job.pk]


def read_bought_of(jobs: Sequence[Job], signed: Mapping[int, SignedWork]) -> dict[int, Bought]:
    """Return what was bought for jobs, by job. Costs two queries, however many jobs there are."""
    spent: defaultdict[int, Decimal] = defaultdict(Decimal)
    of_changes: defaultdict[int, defaultdict[int, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for job, document, cost, tax in _spent(keys_of(jobs)):
        amount = round_cents(Decimal(cost) + Decimal(tax))
        spent[job] += amount
        if document:
            of_changes[job][document] += amount
    charged = _charged_to_materials(jobs)
    return {
        job.pk: bought_of(
            signed.get(job.pk, NOTHING_SIGNED).lines,
            material_needs(signed.get(job.pk, NOTHING_SIGNED).bases),
            charged.get(job.pk, {}),
            of_changes.get(job.pk, {}),
            round_cents(spent[job.pk]),
            Phase.choices,
            job.closed,
        )
        for job in jobs
    }


def _charged_to_materials(jobs: Sequence[Job]) -> dict[int, dict[str, Decimal]]:
    """Return what receipts charge to materials, with tax, by job and code; those of a change left out."""
    sums: defaultdict[int, defaultdict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    for job, of_change, code, amount, cost, tax in _material_lines(keys_of(jobs)):
        if of_change is None:
            sums[job][code] += amount + amount * tax / cost if cost else amount
    return {
        job: {code: round_cents(amount) for code, amount in by_code.items()} for job, by_code in sums.items()
    }


@prepared
def _spent(jobs: Collection[int]) -> QuerySet[ReceiptKept, Any]:
    sums = ReceiptKept.objects.filter(job__in=jobs).order_by().values_list("job", "document")
    return sums.annotate(cost_sum=Sum("cost"), tax_sum=Sum("tax"))


@prepared
def _material_lines(jobs: Collection[int]) -> QuerySet[ReceiptLine, Any]:
    # Of changes, too: asked for those without one, SQLite would begin at every receipt that has none.
    lines = ReceiptLine.objects.filter(receipt__job__in=jobs, material__isnull=False).order_by()
    of_receipt = ("receipt__job", "receipt__document")
    return lines.values_list(*of_receipt, "material__code", "amount", "receipt__cost", "receipt__tax")


_HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True)
class Miles:
    """Miles driven and what they come to at the rates that were typed, each row to the cent."""

    miles: Decimal
    cost: Decimal


def mileage_cost(row: Mileage) -> Decimal:
    """Return what a row of miles comes to."""
    return round_cents(Fraction(row.miles) * Fraction(row.rate))


def read_miles(job: Job) -> Miles:
    """Return the miles of a job. Costs a query."""
    rows = list(Mileage.objects.filter(job=job))
    return Miles(sum((row.miles for row in rows), Decimal(0)), sum(map(mileage_cost, rows), Decimal("0.00")))


def read_received(job: Job) -> dict[str, Received]:
    """Return what of each material is on the lines of a job's receipts, by its code. Costs a query.

    Where the amount is below zero, the packages went back.
    """
    came = Case(When(amount__gte=0, then=F("quantity")), default=-F("quantity"))
    sums = (
        ReceiptLine.objects.filter(receipt__job=job, material__isnull=False)
        .order_by()
        .values_list("material__code")
        .annotate(count=Sum(came), paid=Sum("amount"))
    )
    return {
        code: Received(Decimal(count).quantize(_HUNDREDTH), round_cents(Decimal(paid)))
        for code, count, paid in sums
    }


def read_shopping(job: Job, signed: SignedWork) -> list[ShoppingLine]:
    """Return the shopping list of what is signed, less what is on hand. Costs three queries."""
    ticked = set(BoughtMaterial.objects.filter(job=job).values_list("code", flat=True))
    bases = with_stock([basis.basis for basis in signed.bases], Estimate.on_hand_for(job))
    return shopping_lines(bases, ticked, read_received(job))


def offers(lines: Iterable[ReceiptLine]) -> Mapping[int, PriceOffer]:
    """Return the new prices that lines show and that wait for an answer, by the primary key of the line.

    The lines come with their receipt, package and material.
    """
    found = {}
    for line in lines:
        package = line.package
        if package is None or line.price_answered:
            continue
        offer = price_offer(
            str(package),
            package.price.amount,
            package.priced_on,
            line.amount.amount,
            line.quantity,
            line.receipt.on,
        )
        if offer:
            found[line.pk] = offer
    return found
