"""Everything that an invoice, a credit note or a receipt shows, as plain text that JSON can keep; and the
EN 16931 invoice read back from it, so that the paper and the XML inside it can't differ.

Amounts on the paper are above zero where they are asked for, and on a credit note where they are given back.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words, list_in_words, money, nonblank_lines
from estimating.snapshots.wording import DocumentParty
from invoicing.billing.draft import Bill, BillLine, Kind
from invoicing.einvoice.model import (
    Category,
    Corrected,
    Invoice,
    Means,
    Tax,
    TaxGroup,
    Totals,
    taxed_lines,
    totals,
)
from invoicing.einvoice.model import Party as TradeParty
from invoicing.milestones.plan import NO_MONEY
from invoicing.snapshots.postal_address import postal

# UNTDID 4461: the means isn't one of the list; the words say which.
AS_THE_WORDS_SAY = "1"
_NOT_WORK = (Kind.HELD, Kind.DEPOSIT_APPLIED)


@dataclass(frozen=True)
class Head:
    """Who bills whom, for which job, and how it is paid. `contract` names the signed estimate; `says` are
    sentences for lines by their milestone or change; `tax_percent` is 0 where no tax is charged."""

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
    late: str = ""
    note: str = ""
    says: Mapping[str, str] = field(default_factory=dict)
    signed_changes: int = 0


@dataclass(frozen=True)
class Before:
    """Money of the client before this bill: paid on the job so far, and credit that pays this bill."""

    paid: Decimal = NO_MONEY
    credit: Decimal = NO_MONEY


def invoice_snapshot(
    bill: Bill, head: Head, before: Before = Before(), cents: Decimal = NO_MONEY
) -> dict[str, Any]:
    """The invoice without its number. `before.credit` is used as far as the bill goes; `cents` settle the
    tax with the last bill."""
    shown = {
        **_shown("invoice", bill.lines, head),
        "due_on": head.due.isoformat() if head.due else "",
        "how_to_pay": nonblank_lines(head.how_to_pay),
        "late": head.late,
        "contract": _standing(bill, head),
        "paid_before": money(before.paid),
        "cents": money(cents),
    }
    whole = totals(einvoice_of(shown)).with_tax
    summed = _summed({**shown, "credit": money(min(before.credit, whole))})
    return {**summed, "first_line": _asks(summed, bill.lines, head)}


def credit_snapshot(
    bill: Bill, head: Head, invoice: Mapping[str, Any], earlier: Sequence[Mapping[str, Any]] = ()
) -> dict[str, Any]:
    """The credit note for an invoice, both as snapshots; `earlier` are the earlier ones on it. What they
    and this one take back together rounds the tax once, so never more than the invoice charged."""
    lines = tuple(line.turned() for line in bill.lines)
    name = f"Invoice {invoice['number']}"
    taxed = [group for each in earlier for group in each["taxed"]]
    whole = _whole(invoice, earlier, lines)
    shown = {
        **_shown("credit_note", lines, replace(head, tax_percent=Decimal(invoice["tax_percent"]))),
        "contract": _standing(bill, head),
        "corrects": {"number": name, "dated": invoice["dated"]},
        "credited_before": taxed,
        "cents": invoice["cents"] if whole else "0.00",
    }
    summed = _summed(shown)
    left = "All of it is taken back now." if whole else "The rest of it stands."
    first = f"This takes back {format_price(Decimal(summed['total']))} of {name.lower()}. {left}"
    return {**summed, "first_line": first}


def receipt_snapshot(
    invoice: Mapping[str, Any],
    payments: Sequence[tuple[date, str, Decimal]],
    credited: Decimal = NO_MONEY,
) -> dict[str, Any]:
    """The paid invoice as a receipt, with what paid it: the day, how, and how much of it went there."""
    return {
        **invoice,
        "kind": "receipt",
        "title": f"Receipt for {invoice['title'][0].lower()}{invoice['title'][1:]}",
        "first_line": f"Invoice {invoice['number']} is paid in full. Thank you.",
        "payments": [
            {"on": on.isoformat(), "how": how, "amount": money(amount)} for on, how, amount in payments
        ],
        "credited": money(credited),
    }


def _shown(kind: str, lines: Sequence[BillLine], head: Head) -> dict[str, Any]:
    label = "Invoice" if kind == "invoice" else "Credit note"
    return {
        "kind": kind,
        "paper": head.paper_size,
        "title": f"{label}: {head.job}",
        "firm": {**head.firm.for_snapshot(), "tax_permit": head.tax_permit},
        "client": head.client.for_snapshot(),
        "job": {"name": head.job, "address": nonblank_lines(head.address)},
        "state": head.state,
        "dated": head.dated.isoformat(),
        "lines": [_line(line, head) for line in lines],
        "tax_percent": f"{head.tax_percent if any(line.taxable for line in lines) else 0}",
        "agreed": head.contract,
        "note": nonblank_lines(head.note),
    }


def _line(line: BillLine, head: Head) -> dict[str, str]:
    return {
        "kind": line.kind.value,
        "title": line.title,
        "says": head.says.get(line.change or line.milestone, "") if line.kind not in _NOT_WORK else "",
        "amount": money(line.amount),
        "taxable": money(line.taxable),
    }


def _standing(bill: Bill, head: Head) -> dict[str, str]:
    """How the contract stands with this paper, before tax: billed before and after, and left."""
    before = bill.before
    held = before.held - sum(
        (line.amount for line in bill.lines if line.kind in (Kind.HELD, Kind.RELEASED)), NO_MONEY
    )
    changes = f", with {head.signed_changes} signed change{'s' * (head.signed_changes > 1)}"
    return {
        "label": f"{head.contract or 'Contract'}{changes if head.signed_changes else ''}",
        "sum": money(before.contract_sum),
        "before": money(before.billed),
        "this": money(bill.of_contract),
        "left": money(bill.left_after),
        "held": money(held),
    }


def _summed(shown: Mapping[str, Any]) -> dict[str, Any]:
    """With the totals of the standard, and the tax as the paper says it."""
    sums = totals(einvoice_of(shown))
    taxed = [group for group in sums.groups if group.tax.category == Category.STANDARD]
    return {
        **shown,
        "taxed": [{"base": money(each.base), "amount": money(each.amount)} for each in taxed],
        "before_tax": money(sums.before_tax),
        "tax": _tax(sums, shown),
        "total": money(sums.with_tax),
        "due": money(sums.due),
    }


def _tax(sums: Totals, shown: Mapping[str, Any]) -> dict[str, str]:
    percent, permit = shown["tax_percent"], shown["firm"]["tax_permit"]
    if not Decimal(percent):
        return {}
    base = sum((each.base for each in sums.groups if each.tax.category == Category.STANDARD), NO_MONEY)
    on = "on all of it" if base == sums.before_tax else f"on the taxed part, {format_price(base)}"
    rate = _rate(percent)
    number = f" (permit {permit})" if permit else ""
    if cents := Decimal(shown["cents"]):
        adds = "and" if cents > 0 else "less"
        number += f", {adds} {format_price(abs(cents))} for the rounding of earlier bills"
    return {"label": f"Sales tax, {rate} {on}{number}", "amount": money(sums.tax)}


def _rate(percent: str) -> str:
    """A rate with the decimals that it has: "6.875%"."""
    text = f"{Decimal(percent):f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) + "%"


def _asks(shown: Mapping[str, Any], lines: Sequence[BillLine], head: Head) -> str:
    titles = list(dict.fromkeys(line.title for line in lines if line.kind not in _NOT_WORK))
    what = f"This bill is for: {list_in_words(titles)}."
    due = Decimal(shown["due"])
    if due <= 0:
        return f"{what} Nothing is left to pay on it."
    by = f" by {day_in_words(head.due)}" if head.due else ""
    return f"{what} Please pay {format_price(due)}{by}."


def _whole(
    invoice: Mapping[str, Any], earlier: Sequence[Mapping[str, Any]], lines: Sequence[BillLine]
) -> bool:
    """Whether nothing of the invoice is left after a credit note of these lines."""
    back = sum((line.amount for line in lines), NO_MONEY)
    back += sum((Decimal(each["before_tax"]) for each in earlier), NO_MONEY)
    return back == Decimal(invoice["before_tax"])


def einvoice_of(shown: Mapping[str, Any]) -> Invoice:
    """The invoice or credit note of the standard that says what this paper says; a receipt's is paid."""
    kind, number = shown["kind"], shown.get("number", "to come")
    is_credit = kind == "credit_note"
    percent = Decimal(shown["tax_percent"])
    site = postal(shown["job"]["address"], shown["state"])
    buyer = _trade_party(shown["client"], shown["state"])
    due, corrects = shown.get("due_on"), shown.get("corrects")
    payments = (Decimal(each["amount"]) for each in shown.get("payments", ()))
    paid = sum(payments, Decimal(shown.get("credit", "0.00")))
    return Invoice(
        number=f"{'Credit note' if is_credit else 'Invoice'} {number}",
        issued=date.fromisoformat(shown["dated"]),
        seller=_trade_party(shown["firm"]),
        buyer=buyer,
        lines=taxed_lines(paper_lines(shown), percent),
        is_credit=is_credit,
        due=date.fromisoformat(due) if due else None,
        terms="Taken off what you owe." if is_credit else shown.get("late", ""),
        note=" ".join(shown["note"]),
        corrects=Corrected(corrects["number"], date.fromisoformat(corrects["dated"])) if corrects else None,
        contract=shown["agreed"],
        site=site if site != buyer.address else None,
        pay_by=_means(shown),
        paid=paid,
        cents=Decimal(shown["cents"]),
        credited_before=tuple(
            TaxGroup(Tax(Category.STANDARD, percent), Decimal(each["base"]), Decimal(each["amount"]))
            for each in shown.get("credited_before", ())
        ),
    )


def _trade_party(named: Mapping[str, Any], state: str = "") -> TradeParty:
    return TradeParty(
        named["name"],
        postal(named["address"], state),
        legal_id=named["licence"],
        tax_id=named.get("tax_permit", ""),
        contact=named["owner"],
        phone=named["phone"],
        email=named["email"],
    )


def paper_lines(shown: Mapping[str, Any]) -> list[BillLine]:
    """The lines of a paper, with the sign that they have on it."""
    return [
        BillLine(Kind(line["kind"]), line["title"], Decimal(line["amount"]), Decimal(line["taxable"]))
        for line in shown["lines"]
    ]


def _means(shown: Mapping[str, Any]) -> Means | None:
    words = "; ".join(shown.get("how_to_pay", ()))
    return Means(AS_THE_WORDS_SAY, words) if words else None
