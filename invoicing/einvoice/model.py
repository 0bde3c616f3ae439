"""The semantic model of EN 16931 as far as a one-person firm fills it, with its totals.

Numbers such as BT-106 are the standard's business terms, BR-CO-10 its rules. The standard knows only
value added tax, so U.S. sales tax is written as its "VAT": category S at the sales tax rate, with the
sales tax permit as the seller's tax registration (BT-32) and the license or company number as legal
registration (BT-30), one of which BR-CO-26 asks for since there is no VAT number. What is not taxed is
category O, outside the scope of the tax, when nothing on the document is taxed: that needs no permit,
which a firm that pays tax at the store may not have. O may not stand beside another category (BR-O-11),
so beside taxed lines it is Z, a rate of zero. E, exempt, is for a client with a certificate, which is
its reason.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.billing.lines import BillLine
from invoicing.milestones.plan import NO_MONEY, sum_money

NOT_TAXED = "Not subject to sales tax"


class TaxCategory(StrEnum):
    """The codes of UNTDID 5305 that the standard calls VAT category (BT-118, BT-151)."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    OUTSIDE = "O"


@dataclass(frozen=True)
class Tax:
    """A tax category with its rate in percent; `reason` says why E or O isn't taxed."""

    category: TaxCategory
    percent: Decimal = Decimal(0)
    reason: str = ""


OUTSIDE = Tax(TaxCategory.OUTSIDE, reason=NOT_TAXED)
ZERO = Tax(TaxCategory.ZERO)


@dataclass(frozen=True)
class Address:
    """A postal address (BG-5, BG-8, BG-15); `region` is the state, `country` the ISO 3166 code."""

    line: str = ""
    second_line: str = ""
    city: str = ""
    postcode: str = ""
    region: str = ""
    country: str = "US"


@dataclass(frozen=True)
class TradeParty:
    """Seller or buyer. `legal_id` is the license or company number, `tax_id` the sales tax permit."""

    name: str
    address: Address
    legal_id: str = ""
    tax_id: str = ""
    contact: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True)
class InvoiceLine:
    """An invoice line (BG-25).

    The price is never below zero: a line that takes something off has a quantity below zero.

    `unit` is a code of UN/ECE Recommendation 20: LS lump sum, HUR hour, EA each, FTK square foot.
    """

    name: str
    price: Decimal
    tax: Tax
    quantity: Decimal = Decimal(1)
    unit: str = "LS"
    description: str = ""

    @property
    def amount(self) -> Decimal:
        """The net amount (BT-131), rounded half-up to the cent before anything is summed."""
        return round_cents(Fraction(self.quantity) * Fraction(self.price))


@dataclass(frozen=True)
class Adjustment:
    """An allowance (BG-20) or charge (BG-21) on the whole document; `amount` is zero or above."""

    amount: Decimal
    reason: str
    tax: Tax
    is_charge: bool = False

    @property
    def signed_amount(self) -> Decimal:
        """The amount as it changes the total: below zero for an allowance."""
        return self.amount if self.is_charge else -self.amount


@dataclass(frozen=True)
class PaymentMeans:
    """How to pay (BG-16) by its code in UNTDID 4461: 10 cash, 20 check, 30 transfer, 48 card.

    A document has one code; `text` can say more ways.
    """

    code: str
    text: str = ""
    account: str = ""


@dataclass(frozen=True)
class CorrectedInvoice:
    """The invoice that a credit note names (BG-3)."""

    number: str
    issued: date


@dataclass(frozen=True)
class TaxGroup:
    """The breakdown of one category and rate (BG-23)."""

    tax: Tax
    base: Decimal  # BT-116
    amount: Decimal  # BT-117


@dataclass(frozen=True)
class EInvoice:
    """An invoice or credit note; a credit note's amounts are above zero too.

    `credited_before` is the tax breakdown of earlier credit notes on the same invoice: together they
    round its tax once, so that they never give back a cent more than it charged. `tax_correction` is what
    the tax differs from its rate on its base, so that the bills of a contract come to the tax that was
    signed. Either can put the tax a cent or two off BR-CO-17, which the official rules accept.
    """

    number: str
    issued: date
    seller: TradeParty
    buyer: TradeParty
    lines: tuple[InvoiceLine, ...]
    adjustments: tuple[Adjustment, ...] = ()
    is_credit: bool = False
    currency: str = "USD"
    due: date | None = None
    terms: str = ""
    note: str = ""
    corrects: CorrectedInvoice | None = None
    contract: str = ""
    site: Address | None = None  # where the work was done (BG-15), if not at the buyer's address
    finished: date | None = None  # actual delivery date (BT-72)
    pay_by: PaymentMeans | None = None
    paid: Decimal = NO_MONEY  # BT-113
    rounding: Decimal = NO_MONEY  # BT-114
    credited_before: tuple[TaxGroup, ...] = ()
    tax_correction: Decimal = NO_MONEY


@dataclass(frozen=True)
class InvoiceTotals:
    """The totals of the document (BG-22), each to the cent."""

    lines: Decimal  # BT-106
    allowances: Decimal  # BT-107
    charges: Decimal  # BT-108
    before_tax: Decimal  # BT-109
    tax: Decimal  # BT-110
    with_tax: Decimal  # BT-112
    paid: Decimal  # BT-113
    rounding: Decimal  # BT-114
    due: Decimal  # BT-115
    groups: tuple[TaxGroup, ...]


def invoice_totals(invoice: EInvoice) -> InvoiceTotals:
    """Sum up by BR-CO-10 to BR-CO-17: lines are rounded first, tax once for each rate on its base."""
    lines = sum_money(line.amount for line in invoice.lines)
    allowances = sum_money(item.amount for item in invoice.adjustments if not item.is_charge)
    charges = sum_money(item.amount for item in invoice.adjustments if item.is_charge)
    before_tax = lines - allowances + charges
    groups = tuple(_groups(invoice))
    tax = sum_money(group.amount for group in groups)
    with_tax = before_tax + tax
    return InvoiceTotals(
        lines=lines,
        allowances=allowances,
        charges=charges,
        before_tax=before_tax,
        tax=tax,
        with_tax=with_tax,
        paid=invoice.paid,
        rounding=invoice.rounding,
        due=with_tax - invoice.paid + invoice.rounding,
        groups=groups,
    )


def _groups(invoice: EInvoice) -> Iterator[TaxGroup]:
    """Yield the breakdown by category and rate, less what earlier credit notes gave back of each."""
    bases: dict[Tax, Decimal] = {}
    for line in invoice.lines:
        bases[line.tax] = bases.get(line.tax, NO_MONEY) + line.amount
    for adjustment in invoice.adjustments:
        bases[adjustment.tax] = bases.get(adjustment.tax, NO_MONEY) + adjustment.signed_amount
    for tax, base in bases.items():
        before = [group for group in invoice.credited_before if group.tax == tax]
        whole = base + sum_money(group.base for group in before)
        amount = round_cents(Fraction(whole) * Fraction(tax.percent) / 100)
        if tax.category == TaxCategory.STANDARD:
            amount += invoice.tax_correction
        yield TaxGroup(tax, base, amount - sum_money(group.amount for group in before))


def taxed_lines(
    bill: Iterable[BillLine], tax_percent: Decimal, is_credit: bool = False
) -> tuple[InvoiceLine, ...]:
    """Return the lines of a bill, or of a credit note with the sign that it has in the history.

    A line that is taxed in part becomes two. Without anything taxed, all is outside the scope of the tax.
    """
    lines = [line.negated() if is_credit else line for line in bill]
    taxed = Tax(TaxCategory.STANDARD, tax_percent)
    if not tax_percent or not any(line.taxable for line in lines):
        return tuple(_line(line.title, line.amount, OUTSIDE) for line in lines)
    return tuple(
        _line(f"{line.title}{suffix}" if line.amount - amount else line.title, amount, tax)
        for line in lines
        for amount, tax, suffix in (
            (line.taxable, taxed, ", taxed part"),
            (line.amount - line.taxable, ZERO, ", part not taxed"),
        )
        if amount
    )


def _line(name: str, amount: Decimal, tax: Tax) -> InvoiceLine:
    return InvoiceLine(name, abs(amount), tax, Decimal(-1 if amount < 0 else 1))
