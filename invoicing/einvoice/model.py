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

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.billing.draft import BillLine
from invoicing.milestones.plan import NO_MONEY

NOT_TAXED = "Not subject to sales tax"


class Category(StrEnum):
    """The codes of UNTDID 5305 that the standard calls VAT category (BT-118, BT-151)."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    OUTSIDE = "O"


@dataclass(frozen=True)
class Tax:
    """A category with its rate in percent; `reason` says why E or O isn't taxed."""

    category: Category
    percent: Decimal = Decimal(0)
    reason: str = ""


OUTSIDE = Tax(Category.OUTSIDE, reason=NOT_TAXED)
ZERO = Tax(Category.ZERO)


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
class Party:
    """Seller or buyer. `legal_id` is the license or company number, `tax_id` the sales tax permit."""

    name: str
    address: Address
    legal_id: str = ""
    tax_id: str = ""
    contact: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True)
class Line:
    """An invoice line (BG-25). The price is never below zero: what is taken off has a quantity below.

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
        """Net amount (BT-131), rounded half-up to the cent before anything is summed."""
        return round_cents(Fraction(self.quantity) * Fraction(self.price))


@dataclass(frozen=True)
class Adjustment:
    """An allowance (BG-20) or charge (BG-21) on the whole document; `amount` is zero or above."""

    amount: Decimal
    reason: str
    tax: Tax
    is_charge: bool = False

    @property
    def added(self) -> Decimal:
        return self.amount if self.is_charge else -self.amount


@dataclass(frozen=True)
class Means:
    """How to pay (BG-16) by its code in UNTDID 4461: 10 cash, 20 check, 30 transfer, 48 card.

    A document has one code; `words` can say more ways.
    """

    code: str
    words: str = ""
    account: str = ""


@dataclass(frozen=True)
class Corrected:
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
class Invoice:
    """An invoice or credit note; a credit note's amounts are above zero too.

    `credited_before` is the tax breakdown of earlier credit notes on the same invoice: together they
    round its tax once, so that they never give back a cent more than it charged. `cents` is what the tax
    differs from its rate on its base, so that the bills of a contract come to the tax that was signed.
    Either can put the tax a cent or two off BR-CO-17, which the official rules accept.
    """

    number: str
    issued: date
    seller: Party
    buyer: Party
    lines: tuple[Line, ...]
    adjustments: tuple[Adjustment, ...] = ()
    is_credit: bool = False
    currency: str = "USD"
    due: date | None = None
    terms: str = ""
    note: str = ""
    corrects: Corrected | None = None
    contract: str = ""
    site: Address | None = None  # where the work was done (BG-15), if not at the buyer's address
    finished: date | None = None  # actual delivery date (BT-72)
    pay_by: Means | None = None
    paid: Decimal = NO_MONEY  # BT-113
    rounding: Decimal = NO_MONEY  # BT-114
    credited_before: tuple[TaxGroup, ...] = ()
    cents: Decimal = NO_MONEY


@dataclass(frozen=True)
class Totals:
    """The document's totals (BG-22), each to the cent."""

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


def totals(invoice: Invoice) -> Totals:
    """The totals by BR-CO-10 to BR-CO-17: lines rounded first, tax once for each rate on its base."""
    lines = sum((line.amount for line in invoice.lines), NO_MONEY)
    allowances = sum((each.amount for each in invoice.adjustments if not each.is_charge), NO_MONEY)
    charges = sum((each.amount for each in invoice.adjustments if each.is_charge), NO_MONEY)
    before_tax = lines - allowances + charges
    groups = tuple(_groups(invoice))
    tax = sum((group.amount for group in groups), NO_MONEY)
    with_tax = before_tax + tax
    return Totals(
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


def _groups(invoice: Invoice) -> Iterable[TaxGroup]:
    bases: dict[Tax, Decimal] = {}
    for line in invoice.lines:
        bases[line.tax] = bases.get(line.tax, NO_MONEY) + line.amount
    for each in invoice.adjustments:
        bases[each.tax] = bases.get(each.tax, NO_MONEY) + each.added
    for tax, base in bases.items():
        before = [group for group in invoice.credited_before if group.tax == tax]
        whole = base + sum((group.base for group in before), NO_MONEY)
        amount = round_cents(Fraction(whole) * Fraction(tax.percent) / 100)
        amount += invoice.cents if tax.category == Category.STANDARD else NO_MONEY
        yield TaxGroup(tax, base, amount - sum((group.amount for group in before), NO_MONEY))


def taxed_lines(bill: Iterable[BillLine], tax_percent: Decimal, is_credit: bool = False) -> tuple[Line, ...]:
    """The lines of a bill, or of a credit note in the history's sign, with their tax.

    A line that is taxed in part becomes two. Without anything taxed, all is outside the scope.
    """
    lines = [line.turned() if is_credit else line for line in bill]
    taxed = Tax(Category.STANDARD, tax_percent)
    if not tax_percent or not any(line.taxable for line in lines):
        return tuple(_line(line.title, line.amount, OUTSIDE) for line in lines)
    return tuple(
        _line(f"{line.title}{words}" if line.amount - amount else line.title, amount, tax)
        for line in lines
        for amount, tax, words in (
            (line.taxable, taxed, ", taxed part"),
            (line.amount - line.taxable, ZERO, ", part not taxed"),
        )
        if amount
    )


def _line(name: str, amount: Decimal, tax: Tax) -> Line:
    return Line(name, abs(amount), tax, Decimal(-1 if amount < 0 else 1))
