"""Whether prices outside the sums are as signed: of hidden conditions, and what changes used of them."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import format_price, round_cents
from estimating.changes.draft import signed_job
from estimating.database.tolerant import continue_after_unreadable
from estimating.models import Document, Job


def unit_price_faults(
    document: Document, snapshot: Mapping[str, Any], basis: Mapping[str, Any]
) -> Iterator[str]:
    """Yield a plain sentence for each price outside the sum that isn't as it was issued or signed."""
    shown = [(condition["name"], condition["price"]) for condition in snapshot.get("if_found", ())]
    kept = [(condition["title"], condition["price"]) for condition in basis.get("if_found", ())]
    if shown != kept:
        yield "the prices of what may be found aren't those kept behind it."
    if document.kind != Document.Kind.CHANGE_ORDER:
        return
    printed = [row["price"] for row in snapshot["prices"]]
    if printed != [line["price"] for line in basis["lines"]]:
        yield "the printed rows aren't those kept behind it."
    for line in basis["lines"]:
        if line.get("by_key"):
            yield from _line_faults(document, line)


def _line_faults(document: Document, line: Mapping[str, Any]) -> Iterator[str]:
    """Check a line of a change against the unit price or option that it names."""
    signed = Document.objects.filter(pk=line["by_document"], job=document.job_id).first()
    prices = signed.read_basis() if signed else {}
    rows = (*prices.get("if_found", ()), *prices.get("options", ()))
    price = next((row for row in rows if row["key"] == line["by_key"]), None)
    if price is None:
        yield f"{line['title']} goes by a price that this job never had."
        return
    quantity = Fraction(line["quantity"])
    wanted = round_cents(quantity * Fraction(price["price"]))
    if Decimal(line["price"]) != wanted:
        yield f"{line['title']} is charged {line['price']}; by its signed price it is {format_price(wanted)}."
    if quantity < Fraction(price.get("least", "0")):
        yield f"{line['title']} counts less than the least that was signed."
    if quantity > Fraction(price.get("most", "1")):
        yield f"{line['title']} goes beyond the limit that was signed."


def limit_faults() -> Iterator[str]:
    """Yield a plain sentence for each signed limit that signed changes together went beyond."""
    changed = Job.objects.filter(documents__kind=Document.Kind.CHANGE_ORDER).distinct().order_by("pk")
    for job in changed:
        for fault in continue_after_unreadable(_beyond_limits(job), "what was signed"):
            yield f"Job {job.pk}: {fault}"


def _beyond_limits(job: Job) -> Iterator[str]:
    signed = signed_job(job)
    for price in signed.prices if signed else ():
        if price.left < 0:
            yield f"signed changes took more of {price.title} than was signed."
