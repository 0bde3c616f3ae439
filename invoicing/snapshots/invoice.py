"""The snapshots of invoices, credit notes and receipts: all that they print, as values that JSON can keep.

Amounts are above zero where they are asked for and, on a credit note, where they are given back. The keys
are frozen with every issued document and must stay as they are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, inside_sentence, list_in_words, money, nonblank_lines
from estimating.snapshots.estimate import photos_for_snapshot
from estimating.snapshots.wording import DocumentParty
from invoicing.billing.credit_note import PROPORTIONAL_KINDS
from invoicing.billing.draft import Bill
from invoicing.billing.lines import RETAINAGE_KINDS, BillLine, total
from invoicing.einvoice.model import InvoiceTotals, TaxCategory, invoice_totals
from invoicing.einvoice.xml import number
from invoicing.milestones.plan import NO_MONEY, sum_money
from invoicing.snapshots.einvoice import einvoice_of


@dataclass(frozen=True)
class DayEntry:
    """Hours or a receipt of a day, with its price."""

    on: date
    what: str
    price: Decimal


@dataclass(frozen=True)
class EnteredChange:
    """A change billed by hours and receipts: what was entered so far, and how much of it can be billed."""

    title: str
    entries: Sequence[DayEntry]
    billable: Decimal


@dataclass(frozen=True)
class BillHeader:
    """Who bills whom, for which job, and how it is paid.

    `contract` names the signed estimate. `line_texts` are sentences for lines, by their milestone or
    change; `entered` is what lies behind a line, by its change. `photos`, captions with JPEG in base 64, show
    the milestones met. `tax_percent` is 0 where no tax is charged.
    """

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    dated: date
    due: date | None = None
    paper_size: str = "letter"
    state: str = ""
    tax_permit: str = ""
    tax_percent: Decimal = Decimal(0)
    contract: str = ""
    how_to_pay: str = ""
    pay_link: str = ""
    late: str = ""
    note: str = ""
    line_texts: Mapping[str, str] = field(default_factory=dict)
    entered: Mapping[str, EnteredChange] = field(default_factory=dict)
    photos: Sequence[tuple[str, str]] = ()
    signed_changes: int = 0


@dataclass(frozen=True)
class OpenInvoice:
    """An earlier invoice of the job with money open."""

    name: str
    due: date
    open: Decimal


@dataclass(frozen=True)
class PaidBefore:
    """The client's money before this bill.

    `paid` is what was paid on the job so far, `credit` what can pay this bill, `open` the earlier invoices
    with money open.
    """

    paid: Decimal = NO_MONEY
    credit: Decimal = NO_MONEY
    open: Sequence[OpenInvoice] = ()


def invoice_snapshot(
    bill: Bill,
    header: BillHeader,
    before: PaidBefore = PaidBefore(),
    tax_correction: Decimal = NO_MONEY,
) -> dict[str, Any]:
    """Return the snapshot of an invoice, without its number.

    Credit is used as far as the bill goes. `tax_correction` is added to the tax of the last bill.
    """
    snapshot = {
        **_shared_values("invoice", bill.lines, header),
        "due_on": header.due.isoformat() if header.due else "",
        "how_to_pay": nonblank_lines(header.how_to_pay),
        **({"pay_link": header.pay_link} if header.pay_link else {}),
        "late": header.late,
        "contract": _contract_status(bill, header),
        "paid_before": money(before.paid),
        "cents": money(tax_correction),
        **_by_day(bill.lines, header),
        **({"photos": photos_for_snapshot(header.photos)} if header.photos else {}),
    }
    with_tax = invoice_totals(einvoice_of(snapshot)).with_tax
    used = min(before.credit, with_tax)
    if left := before.credit - used:
        snapshot["credit_left"] = money(left)
    summed = _with_totals({**snapshot, "credit": money(used)})
    first_line = _invoice_first_line(summed, bill.lines, header)
    return {**summed, "first_line": first_line, **_open_before(summed, before)}


def credit_snapshot(
    bill: Bill, header: BillHeader, invoice: Mapping[str, Any], earlier: Sequence[Mapping[str, Any]] = ()
) -> dict[str, Any]:
    """Return the snapshot of a credit note on an invoice, without its number.

    `invoice` and the `earlier` credit notes on it are snapshots. The tax of all the credit notes is rounded
    once, so that they never give back more than the invoice charged.
    """
    lines = tuple(line.negated() for line in bill.lines)
    name = f"Invoice {invoice['number']}"
    is_whole = _takes_back_the_rest(invoice, earlier, lines)
    snapshot = {
        **_shared_values("credit_note", lines, replace(header, tax_percent=Decimal(invoice["tax_percent"]))),
        "contract": _contract_status(bill, header),
        "corrects": {"number": name, "dated": invoice["dated"]},
        "credited_before": [group for note in earlier for group in note["taxed"]],
        "cents": invoice["cents"] if is_whole else "0.00",
    }
    summed = _with_totals(snapshot)
    rest = "All of it is credited now." if is_whole else "The rest of it stands."
    first = f"This credits {format_price(Decimal(summed['total']))} of {inside_sentence(name)}. {rest}"
    return {**summed, "first_line": first}


def receipt_snapshot(
    invoice: Mapping[str, Any],
    payments: Sequence[tuple[date, str, Decimal]],
    credited: Decimal = NO_MONEY,
) -> dict[str, Any]:
    """Return a paid invoice as a receipt.

    `payments` are what paid it: the day, how, and how much of the payment went to this invoice.
    """
    return {
        **invoice,
        "kind": "receipt",
        "title": f"Receipt for {inside_sentence(invoice['title'])}",
        "first_line": f"Invoice {invoice['number']} is paid in full. Thank you.",
        "payments": [
            {"on": on.isoformat(), "how": how, "amount": money(amount)} for on, how, amount in payments
        ],
        "credited": money(credited),
    }


def _shared_values(kind: str, lines: Sequence[BillLine], header: BillHeader) -> dict[str, Any]:
    """Return what invoices and credit notes have in common."""
    label = "Invoice" if kind == "invoice" else "Credit note"
    return {
        "kind": kind,
        "paper": header.paper_size,
        "title": f"{label}: {header.job}",
        "firm": {**header.firm.for_snapshot(), "tax_permit": header.tax_permit},
        "client": header.client.for_snapshot(),
        "job": {"name": header.job, "address": nonblank_lines(header.address)},
        "state": header.state,
        "dated": header.dated.isoformat(),
        "lines": [_line(line, header) for line in lines],
        "tax_percent": f"{header.tax_percent if any(line.taxable for line in lines) else 0}",
        "agreed": header.contract,
        "note": nonblank_lines(header.note),
    }


def _line(line: BillLine, header: BillHeader) -> dict[str, str]:
    has_text = line.kind not in PROPORTIONAL_KINDS
    return {
        "kind": line.kind.value,
        "title": line.title,
        "says": header.line_texts.get(line.change or line.milestone, "") if has_text else "",
        "amount": money(line.amount),
        "taxable": money(line.taxable),
    }


def _by_day(lines: Sequence[BillLine], header: BillHeader) -> dict[str, Any]:
    """Return the hours and receipts behind the lines, day by day; empty where none is billed by them."""
    changes = dict.fromkeys(line.change for line in lines if line.change in header.entered)
    shown = []
    for key in changes:
        change = header.entered[key]
        now = total(line for line in lines if line.change == key)
        entered = sum_money(entry.price for entry in change.entries)
        shown.append(
            {
                "title": change.title,
                "rows": [
                    {"on": entry.on.isoformat(), "what": entry.what, "amount": money(entry.price)}
                    for entry in change.entries
                ],
                "total": money(entered),
                "over_limit": money(entered - change.billable),
                "before": money(change.billable - now),
                "now": money(now),
            }
        )
    return {"by_day": shown} if shown else {}


def _open_before(snapshot: Mapping[str, Any], before: PaidBefore) -> dict[str, Any]:
    """Return what is open of earlier invoices, and with this bill; empty where nothing is."""
    if not before.open:
        return {}
    rows = [{"name": row.name, "due_on": row.due.isoformat(), "open": money(row.open)} for row in before.open]
    whole = Decimal(snapshot["due"]) + sum_money(row.open for row in before.open)
    return {"open_before": {"rows": rows, "total": money(whole)}}


def _contract_status(bill: Bill, header: BillHeader) -> dict[str, str]:
    """Return how the contract stands with this bill, before tax: billed before and now, and left."""
    before = bill.before
    held = before.held - total(line for line in bill.lines if line.kind in RETAINAGE_KINDS)
    changes = f", with {header.signed_changes} change{'s' * (header.signed_changes > 1)}"
    return {
        "label": f"{header.contract or 'Contract'}{changes if header.signed_changes else ''}",
        "sum": money(before.contract_sum),
        "before": money(before.billed),
        "this": money(bill.contract_amount),
        "left": money(bill.left_after),
        "held": money(held),
    }


def _with_totals(snapshot: Mapping[str, Any]) -> dict[str, Any]:
    """Return a snapshot with the totals of its e-invoice, and the sales tax as it is printed."""
    totals = invoice_totals(einvoice_of(snapshot))
    taxed = [group for group in totals.groups if group.tax.category == TaxCategory.STANDARD]
    return {
        **snapshot,
        "taxed": [{"base": money(group.base), "amount": money(group.amount)} for group in taxed],
        "before_tax": money(totals.before_tax),
        "tax": _sales_tax(totals, snapshot),
        "total": money(totals.with_tax),
        "due": money(totals.due),
    }


def _sales_tax(totals: InvoiceTotals, snapshot: Mapping[str, Any]) -> dict[str, str]:
    """Return the line of the sales tax, with the rate, what it is on, and the permit; empty without tax."""
    percent, permit = Decimal(snapshot["tax_percent"]), snapshot["firm"]["tax_permit"]
    if not percent:
        return {}
    base = sum_money(group.base for group in totals.groups if group.tax.category == TaxCategory.STANDARD)
    on = "on all of it" if base == totals.before_tax else f"on the taxed part, {format_price(base)}"
    label = f"Sales tax, {number(percent)}% {on}"
    if permit:
        label += f" (permit {permit})"
    if cents := Decimal(snapshot["cents"]):
        adds = "and" if cents > 0 else "less"
        label += f", {adds} {format_price(abs(cents))} for the rounding of earlier bills"
    return {"label": label, "amount": money(totals.tax)}


def _invoice_first_line(snapshot: Mapping[str, Any], lines: Sequence[BillLine], header: BillHeader) -> str:
    titles = list(dict.fromkeys(line.title for line in lines if line.kind not in PROPORTIONAL_KINDS))
    subject = f"This bill is for: {list_in_words(titles)}."
    due = Decimal(snapshot["due"])
    if due <= 0:
        return f"{subject} Nothing is left to pay on it."
    by = f" by {day_in_words(header.due)}" if header.due else ""
    return f"{subject} Please pay {format_price(due)}{by}."


def _takes_back_the_rest(
    invoice: Mapping[str, Any], earlier: Sequence[Mapping[str, Any]], lines: Sequence[BillLine]
) -> bool:
    """Return whether a credit note of these lines leaves nothing of the invoice."""
    credited = total(lines) + sum_money(Decimal(note["before_tax"]) for note in earlier)
    return credited == Decimal(invoice["before_tax"])
