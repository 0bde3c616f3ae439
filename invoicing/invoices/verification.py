"""Whether an issued bill still says the same in its rows, its snapshot and the XML inside its PDF."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

from catalog.money.amounts import format_price
from estimating.models import Document
from invoicing.billing.basis import read_lines, read_sums
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.milestones.plan import sum_money
from invoicing.models import Billed
from invoicing.snapshots.einvoice import snapshot_lines

_SUMS = {"GrandTotalAmount": "total", "TaxBasisTotalAmount": "before_tax", "DuePayableAmount": "due"}


def bill_faults(document: Document, snapshot: Mapping[str, Any]) -> Iterator[str]:
    """Yield a plain sentence for each thing in which they differ. Costs two queries."""
    basis = document.read_basis()
    sums, total = read_sums(basis), document.total.amount
    shown = snapshot_lines(snapshot)
    lines_sum = sum_money(line.amount for line in shown)
    tax = Decimal(snapshot["tax"]["amount"] if snapshot["tax"] else 0)
    if lines_sum + tax != total:
        yield f"its lines and tax come to {format_price(lines_sum + tax)}, not to its total."
    if sums.total != total or sums.tax != tax:
        yield f"its accounts say {format_price(sums.total)}, the paper {format_price(total)}."
    counted = read_lines(basis)
    if document.kind == Document.Kind.CREDIT_NOTE:
        counted = tuple(line.negated() for line in counted)
    if [(line.title, line.amount) for line in counted] != [(line.title, line.amount) for line in shown]:
        yield "its lines aren't those that were counted as billed."
    if not Billed.objects.filter(document=document, place=basis["place"], job=document.job_id).exists():
        yield "it hasn't the place among the bills of its job that it was issued for."
    yield from _xml_faults(document, snapshot)


def _xml_faults(document: Document, snapshot: Mapping[str, Any]) -> Iterator[str]:
    try:
        root = ElementTree.fromstring(xml_of(bytes(document.pdf)))
    except (ValueError, ElementTree.ParseError):
        yield "there is no XML in its PDF that can be read."
        return
    texts = {element.tag.rpartition("}")[2]: element.text for element in root.iter()}
    for tag, key in _SUMS.items():
        if texts.get(tag) != snapshot[key]:
            yield f"its XML says {texts.get(tag)} where the paper says {snapshot[key]}."
