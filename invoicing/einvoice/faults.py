"""The faults that keep an invoice from being a valid EN 16931 document, found before it is written."""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from decimal import Decimal

from catalog.money.amounts import round_cents
from invoicing.einvoice.model import EInvoice, Tax, TaxCategory, invoice_totals

# Characters that XML 1.0 can't hold, escaped or not.
_UNWRITABLE = re.compile("[^\t\n\r -\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_COUNTRY, _CURRENCY = re.compile("[A-Z]{2}"), re.compile("[A-Z]{3}")


class UnfitInvoice(ValueError):
    """The invoice can't be written; the message has every sentence of `faults`."""


def refuse_faults(invoice: EInvoice) -> None:
    """Raise UnfitInvoice when the invoice has faults."""
    if sentences := faults(invoice):
        raise UnfitInvoice(" ".join(sentences))


def faults(invoice: EInvoice) -> list[str]:
    """Return every fault as a sentence that says what is missing, with the standard's rule.

    An invoice without faults is valid.
    """
    return [*_parties(invoice), *_header(invoice), *_lines(invoice), *_taxes(invoice), *_characters(invoice)]


def _parties(invoice: EInvoice) -> Iterator[str]:
    for party, who in ((invoice.seller, "firm"), (invoice.buyer, "client")):
        if not party.name.strip():
            yield f"The {who} needs a name (BR-6, BR-7)."
        if not _COUNTRY.fullmatch(party.address.country):
            yield f"The {who}'s address needs a country of two letters, such as US (BR-9, BR-11)."
    if not invoice.seller.legal_id.strip():
        yield "The firm needs a license, registration or company number (BR-CO-26)."
    if invoice.site and not _COUNTRY.fullmatch(invoice.site.country):
        yield "The site's address needs a country of two letters, such as US (BR-57)."


def _header(invoice: EInvoice) -> Iterator[str]:
    if not invoice.number.strip():
        yield "The invoice needs a number (BR-2)."
    if not _CURRENCY.fullmatch(invoice.currency):
        yield "The currency is a code of three letters, such as USD (BR-5)."
    if invoice.is_credit and invoice.corrects is None:
        yield "A credit note names the invoice that it corrects."
    if invoice.corrects and not invoice.corrects.number.strip():
        yield "The corrected invoice needs its number (BR-55)."
    totals = invoice_totals(invoice)
    if totals.due > 0 and invoice.due is None and not invoice.terms.strip():
        yield "Money is due, so a due date or terms of payment must be stated (BR-CO-25)."
    if totals.with_tax < 0:
        yield "The document comes to less than nothing: make it a credit note or an invoice instead."
    adjusted = (adjustment.amount for adjustment in invoice.adjustments)
    for amount in (invoice.paid, invoice.rounding, *adjusted):
        if amount != round_cents(amount):
            yield f"{amount} isn't in whole cents (BR-DEC)."
    for adjustment in invoice.adjustments:
        if adjustment.amount < 0 or not adjustment.reason.strip():
            yield "An allowance or charge is zero or more and has a reason (BR-33, BR-38)."
    if invoice.pay_by and invoice.pay_by.code in ("30", "58") and not invoice.pay_by.account.strip():
        yield "A transfer needs the account that it goes to (BR-61)."


def _lines(invoice: EInvoice) -> Iterator[str]:
    if not invoice.lines:
        yield "An invoice needs at least one line (BR-16)."
    for number, line in enumerate(invoice.lines, start=1):
        if not line.name.strip():
            yield f"Line {number} needs a name (BR-25)."
        if line.price < 0:
            yield f"Line {number}: a price can't be below zero; make the quantity negative (BR-27)."
        if not line.unit.strip():
            yield f"Line {number} needs a unit code (BR-23)."


def _taxes(invoice: EInvoice) -> Iterator[str]:
    taxes = dict.fromkeys(line.tax for line in invoice.lines)
    taxes |= dict.fromkeys(adjustment.tax for adjustment in invoice.adjustments)
    categories = {tax.category for tax in taxes}
    for tax in taxes:
        yield from _tax(tax)
    if TaxCategory.OUTSIDE in categories and len(categories) > 1:
        yield "What is outside the tax can't stand beside other categories: use a rate of zero (BR-O-11)."
    if len({(tax.category, tax.percent) for tax in taxes}) < len(taxes):
        yield "One tax category and rate has two reasons: give each category one (BG-23)."
    if categories - {TaxCategory.OUTSIDE} and not invoice.seller.tax_id.strip():
        yield "The firm needs its sales tax permit number to charge tax (BR-S-02, BR-Z-02, BR-E-02)."


def _tax(tax: Tax) -> Iterator[str]:
    if tax.category == TaxCategory.STANDARD and not Decimal(0) < tax.percent <= 100:
        yield "A tax rate is above 0 and at most 100 % (BR-S-05)."
    if tax.category != TaxCategory.STANDARD and tax.percent:
        yield f"Category {tax.category} has no rate (BR-Z-05, BR-E-05, BR-O-05)."
    if tax.category in (TaxCategory.EXEMPT, TaxCategory.OUTSIDE) and not tax.reason.strip():
        yield "What isn't taxed needs the reason (BR-E-10, BR-O-10)."


def _characters(invoice: EInvoice) -> Iterator[str]:
    for text in _texts(invoice):
        if _UNWRITABLE.search(text):
            yield f"{_UNWRITABLE.sub('?', text)[:40]} holds a character that no document can show: retype it."


def _texts(value: object) -> Iterator[str]:
    """Yield every text anywhere in a dataclass."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _texts(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _texts(getattr(value, field.name))
