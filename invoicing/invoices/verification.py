"""Whether an issued invoice or credit note still says one and the same in its rows, its paper and its XML."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

from catalog.money.amounts import format_price
from estimating.models import Document
from invoicing.billing.basis import read_lines, read_sums
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.milestones.plan import NO_MONEY
from invoicing.models import Billed
from invoicing.snapshots.invoice import paper_lines

_SUMS = {"GrandTotalAmount": "total", "TaxBasisTotalAmount": "before_tax", "DuePayableAmount": "due"}


def bill_faults(document: Document, paper: Mapping[str, Any]) -> Iterator[str]:
    """One plain sentence for each thing that doesn't agree."""
    basis = document.read_basis()
    sums, total = read_sums(basis), document.total.amount
    shown = sum((line.amount for line in paper_lines(paper)), NO_MONEY)
    tax = Decimal(paper["tax"]["amount"] if paper["tax"] else 0)
    if shown + tax != total:
        yield f"its lines and tax come to {format_price(shown + tax)}, not to its total."
    if sums.total != total or sums.tax != tax:
        yield f"its accounts say {format_price(sums.total)}, the paper {format_price(total)}."
    lines = read_lines(basis)
    if document.kind == Document.Kind.CREDIT_NOTE:
        lines = tuple(line.turned() for line in lines)
    if [(line.title, line.amount) for line in lines] != [
        (line.title, line.amount) for line in paper_lines(paper)
    ]:
        yield "its lines aren't those that were counted as billed."
    if not Billed.objects.filter(document=document, place=basis["place"], job=document.job_id).exists():
        yield "it hasn't the place among the bills of its job that it was issued for."
    yield from _xml_faults(document, paper)


def _xml_faults(document: Document, paper: Mapping[str, Any]) -> Iterator[str]:
    try:
        root = ElementTree.fromstring(xml_of(bytes(document.pdf)))
    except (ValueError, ElementTree.ParseError):
        yield "there is no XML in its PDF that can be read."
        return
    said = {element.tag.rpartition("}")[2]: element.text for element in root.iter()}
    for tag, name in _SUMS.items():
        if said.get(tag) != paper[name]:
            yield f"its XML says {said.get(tag)} where the paper says {paper[name]}."
