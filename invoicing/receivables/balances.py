"""Who owes what, from entries alone: invoices, credit notes, payments, returned payments, refunds, and
credit that was put on an invoice by hand.

billed - credited - (paid - returned) + refunded = balance. A payment goes to the invoices that it is
for, else to the oldest; what is over stays as credit on account and goes to the invoices issued after
it, oldest credit first; on an older one it is put by an entry of its own. A returned payment takes
back just what it paid. Entries are never altered.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from catalog.money.amounts import format_price
from invoicing.milestones.plan import NO_MONEY


class EntryFault(ValueError):
    """The entry can't stand; the message says in a plain sentence why and what would be right."""


class Kind(StrEnum):
    INVOICE = "invoice"
    CREDIT_NOTE = "credit note"
    PAYMENT = "payment"
    RETURN = "returned payment"
    REFUND = "refund"
    PUT = "credit put on an invoice"


@dataclass(frozen=True)
class Entry:
    """One entry of a client's account; `amount` holds tax and is above zero; a bill that a
    deposit covers, and its credit note, may be zero.

    `of` is the invoice that a credit note names, or the payment that came back. `invoices` are those a
    payment is for, or the one that credit is put on; none: the oldest first. `split` says which account
    the amount before tax belongs to, signed; none: all of it is contract income.
    """

    kind: Kind
    key: str
    on: date
    amount: Decimal
    tax: Decimal = NO_MONEY
    taxable: Decimal = NO_MONEY  # of the amount before tax
    of: str = ""
    invoices: tuple[str, ...] = ()
    due: date | None = None
    says: str = ""
    split: tuple[tuple[str, Decimal], ...] = ()

    @property
    def owed(self) -> Decimal:
        """What the entry adds to what the client owes: below zero for a payment or a credit note."""
        if self.kind == Kind.PUT:
            return NO_MONEY
        return -self.amount if self.kind in (Kind.CREDIT_NOTE, Kind.PAYMENT) else self.amount


@dataclass
class _Item:
    """Something the client owes: an invoice, or a refund of money that never came."""

    key: str
    on: date
    due: date
    total: Decimal
    tax: Decimal = NO_MONEY
    credited: Decimal = NO_MONEY
    credited_tax: Decimal = NO_MONEY
    paid_by: dict[str, Decimal] = field(default_factory=dict)  # payment -> amount

    @property
    def paid(self) -> Decimal:
        return sum(self.paid_by.values(), NO_MONEY)

    @property
    def open(self) -> Decimal:
        return self.total - self.credited - self.paid


@dataclass(frozen=True)
class Owed:
    """How one invoice stands; a refund of money that came back stands as one too."""

    key: str
    on: date
    due: date
    total: Decimal
    tax: Decimal
    credited: Decimal
    credited_tax: Decimal
    paid: Decimal
    paid_by: tuple[tuple[str, Decimal], ...]

    @property
    def open(self) -> Decimal:
        return self.total - self.credited - self.paid

    def days_late(self, today: date) -> int:
        """Days past the due date while money is open; 0 on the due date and when all is paid."""
        return max((today - self.due).days, 0) if self.open else 0


@dataclass(frozen=True)
class Account:
    """A client's account: each invoice, unused credit by payment, and the sums."""

    owed: tuple[Owed, ...]
    credit_by: tuple[tuple[str, Decimal], ...]
    billed: Decimal
    credited: Decimal
    paid: Decimal  # less what came back
    refunded: Decimal

    @property
    def credit(self) -> Decimal:
        """Money on account that no invoice has used; at most this can be refunded."""
        return sum((amount for _, amount in self.credit_by), NO_MONEY)

    @property
    def open(self) -> Decimal:
        return sum((each.open for each in self.owed), NO_MONEY)

    @property
    def balance(self) -> Decimal:
        """What the client owes in all; below zero, what the firm holds for him."""
        return self.billed - self.credited - self.paid + self.refunded

    def invoice(self, key: str) -> Owed:
        """Raises EntryFault for an invoice that isn't there."""
        for each in self.owed:
            if each.key == key:
                return each
        raise EntryFault(f"There is no invoice {key} on this account.")


def account(entries: Iterable[Entry], as_of: date | None = None) -> Account:
    """The account after these entries, or those up to and on a day. Entries of one day keep their order.

    Raises EntryFault: an amount below zero; a credit note above what is left of its invoice; a payment
    that comes back twice or not whole; a refund above the credit; a key used twice.
    """
    ledger = _Ledger()
    for entry in sorted(entries, key=lambda each: each.on):
        if as_of is None or entry.on <= as_of:
            ledger.enter(entry)
    return ledger.account()


class _Ledger:
    """Entries taken in order; the only place that matches money to invoices."""

    def __init__(self) -> None:
        self.entered: dict[str, Entry] = {}
        self.items: dict[str, _Item] = {}
        self.credit: dict[str, Decimal] = {}  # payment -> what no invoice has used
        self.refunds: dict[str, dict[str, Decimal]] = {}  # refund -> payment -> amount
        self.returned: set[str] = set()

    def enter(self, entry: Entry) -> None:
        if entry.key in self.entered:
            raise EntryFault(f"{entry.key} is entered already.")
        if entry.amount < 0 or (not entry.amount and entry.kind not in (Kind.INVOICE, Kind.CREDIT_NOTE)):
            raise EntryFault(f"{entry.key}: an amount is above zero.")
        {
            Kind.INVOICE: self._invoice,
            Kind.CREDIT_NOTE: self._credit_note,
            Kind.PAYMENT: self._payment,
            Kind.RETURN: self._return,
            Kind.REFUND: self._refund,
            Kind.PUT: self._put,
        }[entry.kind](entry)
        self.entered[entry.key] = entry

    def _invoice(self, entry: Entry) -> None:
        item = _Item(entry.key, entry.on, entry.due or entry.on, entry.amount, entry.tax)
        self.items[entry.key] = item
        meant = [key for key in self.credit if entry.key in self.entered[key].invoices]
        for payment in [*meant, *filter(self._is_free, self.credit)]:
            self._pay(payment, item)

    def _credit_note(self, entry: Entry) -> None:
        item = self.items.get(entry.of)
        if item is None:
            raise EntryFault(f"A credit note names its invoice; there is no invoice {entry.of or 'named'}.")
        left = item.total - item.credited
        if entry.amount > left:
            raise EntryFault(f"{format_price(left)} of invoice {item.key} is left to credit.")
        item.credited += entry.amount
        item.credited_tax += entry.tax
        for payment in reversed(item.paid_by):
            freed = min(item.paid_by[payment], max(-item.open, NO_MONEY))
            item.paid_by[payment] -= freed
            self.credit[payment] = self.credit.get(payment, NO_MONEY) + freed

    def _payment(self, entry: Entry) -> None:
        self.credit[entry.key] = entry.amount
        chosen = [self.items[key] for key in entry.invoices if key in self.items]
        oldest_first = sorted(self.items.values(), key=lambda item: (item.due, item.on))
        for item in chosen if entry.invoices else oldest_first:
            self._pay(entry.key, item)

    def _return(self, entry: Entry) -> None:
        payment = self.entered.get(entry.of)
        if payment is None or payment.kind != Kind.PAYMENT:
            raise EntryFault(f"There is no payment {entry.of} that could come back.")
        if entry.of in self.returned:
            raise EntryFault(f"Payment {entry.of} has come back already.")
        if entry.amount != payment.amount:
            raise EntryFault(f"Payment {entry.of} comes back whole: {format_price(payment.amount)}.")
        self.returned.add(entry.of)
        self.credit.pop(entry.of, None)
        for item in self.items.values():
            item.paid_by.pop(entry.of, None)
        for refund, sources in self.refunds.items():
            if amount := sources.pop(entry.of, NO_MONEY):
                item = self.items.setdefault(refund, _Item(refund, entry.on, entry.on, NO_MONEY))
                item.total += amount

    def _refund(self, entry: Entry) -> None:
        held = sum(self.credit.values(), NO_MONEY)
        if entry.amount > held:
            raise EntryFault(f"{format_price(held)} is held as credit: refund that or less.")
        left, sources = entry.amount, {}
        for payment, amount in self.credit.items():
            sources[payment] = min(amount, left)
            self.credit[payment] -= sources[payment]
            left -= sources[payment]
        self.refunds[entry.key] = sources

    def _put(self, entry: Entry) -> None:
        """As much of it as is held and open: an entry made later, of an earlier day, may have used it."""
        left = entry.amount
        for item in (self.items[key] for key in entry.invoices if key in self.items):
            for payment in self.credit:
                left -= self._pay(payment, item, left)

    def _is_free(self, payment: str) -> bool:
        """Whether what is left of it isn't meant for an invoice still to come."""
        return self.items.keys() >= set(self.entered[payment].invoices)

    def _pay(self, payment: str, item: _Item, most: Decimal | None = None) -> Decimal:
        """Pay the item out of what is left of the payment, at most this; returns how much."""
        held = self.credit[payment] if most is None else min(self.credit[payment], most)
        if amount := min(held, max(item.open, NO_MONEY)):
            self.credit[payment] -= amount
            item.paid_by[payment] = item.paid_by.get(payment, NO_MONEY) + amount
        return amount

    def account(self) -> Account:
        sums = dict.fromkeys(Kind, NO_MONEY)
        for entry in self.entered.values():
            sums[entry.kind] += entry.amount
        return Account(
            owed=tuple(_owed(item) for item in self.items.values()),
            credit_by=tuple((key, amount) for key, amount in self.credit.items() if amount),
            billed=sums[Kind.INVOICE],
            credited=sums[Kind.CREDIT_NOTE],
            paid=sums[Kind.PAYMENT] - sums[Kind.RETURN],
            refunded=sums[Kind.REFUND],
        )


def _owed(item: _Item) -> Owed:
    paid_by = tuple((payment, amount) for payment, amount in item.paid_by.items() if amount)
    return Owed(
        item.key,
        item.on,
        item.due,
        item.total,
        item.tax,
        item.credited,
        item.credited_tax,
        item.paid,
        paid_by,
    )
