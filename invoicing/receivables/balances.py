"""A client's account: what each invoice has open and the credit on account, from the entries alone.

The entries are invoices, credit notes, payments, returned payments, refunds, and credit that was applied
to an invoice by hand. They are never altered.

balance = billed - credited - (paid - returned) + refunded

A payment goes to the invoices that it names, else to the oldest. What is over stays as credit on the
account and goes to the invoices issued later, oldest credit first; on an older invoice it is applied by an
entry of its own. A returned payment opens again just what it had paid.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from itertools import groupby

from catalog.money.amounts import format_price
from invoicing.milestones.plan import NO_MONEY, sum_money


class EntryFault(ValueError):
    """The account can't take the entry; the message says why in a plain sentence and what would be right."""


class EntryKind(StrEnum):
    """What an entry is. CREDIT_APPLIED puts credit of the account on an invoice."""

    INVOICE = "invoice"
    CREDIT_NOTE = "credit note"
    PAYMENT = "payment"
    RETURN = "returned payment"
    REFUND = "refund"
    CREDIT_APPLIED = "credit put on an invoice"


@dataclass(frozen=True)
class AccountEntry:
    """An entry of a client's account.

    `amount` includes sales tax. It is above zero, except that an invoice which a deposit covers, and its
    credit note, may be zero. `refers_to` is the invoice that a credit note names, or the payment that came
    back. `invoices` are those that a payment is for, or the one that credit is applied to; none: the oldest
    first. `split` divides the amount before tax, with its sign, over the accounts of the journal; none: all
    of it is contract income.
    """

    kind: EntryKind
    key: str
    on: date
    amount: Decimal
    tax: Decimal = NO_MONEY
    taxable: Decimal = NO_MONEY  # of the amount before tax
    refers_to: str = ""
    invoices: tuple[str, ...] = ()
    due: date | None = None
    description: str = ""
    split: tuple[tuple[str, Decimal], ...] = ()

    @property
    def balance_change(self) -> Decimal:
        """What the entry adds to what the client owes; below zero for a payment or a credit note."""
        if self.kind == EntryKind.CREDIT_APPLIED:
            return NO_MONEY
        if self.kind in (EntryKind.CREDIT_NOTE, EntryKind.PAYMENT):
            return -self.amount
        return self.amount

    @property
    def title(self) -> str:
        """The description or, without one, the kind of the entry."""
        return self.description or self.kind.capitalize()


@dataclass
class _OpenItem:
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
        return sum_money(self.paid_by.values())

    @property
    def open(self) -> Decimal:
        return self.total - self.credited - self.paid


@dataclass(frozen=True)
class Receivable:
    """An invoice with what is credited and paid of it, sales tax included.

    A refund of a payment that came back afterwards is a receivable too. `paid_by` says how much of which
    payment went here.
    """

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
        """Return the days past the due date; 0 up to the due date, and when nothing is open."""
        return max((today - self.due).days, 0) if self.open else 0


@dataclass(frozen=True)
class ClientAccount:
    """A client's account: its receivables, its unused credit by payment, and its sums."""

    receivables: tuple[Receivable, ...]
    credit_by_payment: tuple[tuple[str, Decimal], ...]
    billed: Decimal
    credited: Decimal
    paid: Decimal  # less what came back
    refunded: Decimal

    @property
    def credit(self) -> Decimal:
        """Money that came in and that no invoice has used; at most this can be refunded."""
        return sum_money(amount for _, amount in self.credit_by_payment)

    @property
    def open(self) -> Decimal:
        """What is asked for and not paid, before credit is taken off."""
        return sum_money(receivable.open for receivable in self.receivables)

    @property
    def balance(self) -> Decimal:
        """What the client owes in all; below zero, what the firm holds for him."""
        return self.billed - self.credited - self.paid + self.refunded

    def invoice(self, key: str) -> Receivable:
        """Return the receivable of an invoice. Raises EntryFault for one that isn't on the account."""
        for receivable in self.receivables:
            if receivable.key == key:
                return receivable
        raise EntryFault(f"There is no invoice {key} on this account.")


def account_after(entries: Iterable[AccountEntry], as_of: date | None = None) -> ClientAccount:
    """Return the account after all entries or, with `as_of`, after those up to and on that day.

    Entries count by date; those of one day keep their order. Raises EntryFault for an amount below zero, a
    credit note above what is left of its invoice, a payment that comes back twice or not whole, a refund
    above the credit, and a key used twice.
    """
    ledger = _Ledger()
    for entry in sorted(entries, key=lambda entry: entry.on):
        if as_of is None or entry.on <= as_of:
            ledger.enter(entry)
    return ledger.account()


def accounts_by_month(entries: Iterable[AccountEntry]) -> Iterator[tuple[date, ClientAccount]]:
    """Yield the account after each month that has an entry, with the first day of that month. Raises as
    `account_after`."""
    ledger = _Ledger()
    in_order = sorted(entries, key=lambda entry: entry.on)
    for month, of_month in groupby(in_order, key=lambda entry: entry.on.replace(day=1)):
        for entry in of_month:
            ledger.enter(entry)
        yield month, ledger.account()


class _Ledger:
    """Takes entries in order and matches money to invoices; nothing else does that."""

    def __init__(self) -> None:
        self.entered: dict[str, AccountEntry] = {}
        self.items: dict[str, _OpenItem] = {}
        self.credit: dict[str, Decimal] = {}  # payment -> what no invoice has used
        self.refunds: dict[str, dict[str, Decimal]] = {}  # refund -> payment -> amount
        self.returned: set[str] = set()

    def enter(self, entry: AccountEntry) -> None:
        """Take one entry. Raises EntryFault where the account can't hold it."""
        if entry.key in self.entered:
            raise EntryFault(f"{entry.key} is entered already.")
        if entry.amount < 0 or (
            not entry.amount and entry.kind not in (EntryKind.INVOICE, EntryKind.CREDIT_NOTE)
        ):
            raise EntryFault(f"{entry.key}: an amount is above zero.")
        {
            EntryKind.INVOICE: self._invoice,
            EntryKind.CREDIT_NOTE: self._credit_note,
            EntryKind.PAYMENT: self._payment,
            EntryKind.RETURN: self._return,
            EntryKind.REFUND: self._refund,
            EntryKind.CREDIT_APPLIED: self._apply_credit,
        }[entry.kind](entry)
        self.entered[entry.key] = entry

    def _invoice(self, entry: AccountEntry) -> None:
        """Add an invoice, paid by credit that was meant for it and then by other credit."""
        item = _OpenItem(entry.key, entry.on, entry.due or entry.on, entry.amount, entry.tax)
        self.items[entry.key] = item
        meant = [key for key in self.credit if entry.key in self.entered[key].invoices]
        for payment in [*meant, *filter(self._is_free, self.credit)]:
            self._pay(payment, item)

    def _credit_note(self, entry: AccountEntry) -> None:
        """Credit an invoice; what was paid beyond the rest of it becomes credit, latest payment first."""
        item = self.items.get(entry.refers_to)
        if item is None:
            named = entry.refers_to or "named"
            raise EntryFault(f"A credit note names its invoice; there is no invoice {named}.")
        left = item.total - item.credited
        if entry.amount > left:
            raise EntryFault(f"{format_price(left)} of invoice {item.key} is left to credit.")
        item.credited += entry.amount
        item.credited_tax += entry.tax
        for payment in reversed(item.paid_by):
            freed = min(item.paid_by[payment], max(-item.open, NO_MONEY))
            item.paid_by[payment] -= freed
            self.credit[payment] = self.credit.get(payment, NO_MONEY) + freed

    def _payment(self, entry: AccountEntry) -> None:
        """Pay the invoices that the payment names, else the oldest; what is over stays as credit."""
        self.credit[entry.key] = entry.amount
        chosen = [self.items[key] for key in entry.invoices if key in self.items]
        oldest_first = sorted(self.items.values(), key=lambda item: (item.due, item.on))
        for item in chosen if entry.invoices else oldest_first:
            self._pay(entry.key, item)

    def _return(self, entry: AccountEntry) -> None:
        """Take a payment back from all that it paid; what was refunded of it is owed again."""
        key = entry.refers_to
        payment = self.entered.get(key)
        if payment is None or payment.kind != EntryKind.PAYMENT:
            raise EntryFault(f"There is no payment {key} that could come back.")
        if key in self.returned:
            raise EntryFault(f"Payment {key} has come back already.")
        if entry.amount != payment.amount:
            raise EntryFault(f"Payment {key} comes back whole: {format_price(payment.amount)}.")
        self.returned.add(key)
        self.credit.pop(key, None)
        for item in self.items.values():
            item.paid_by.pop(key, None)
        for refund, sources in self.refunds.items():
            if amount := sources.pop(key, NO_MONEY):
                item = self.items.setdefault(refund, _OpenItem(refund, entry.on, entry.on, NO_MONEY))
                item.total += amount

    def _refund(self, entry: AccountEntry) -> None:
        """Give credit back, oldest payment first."""
        held = sum_money(self.credit.values())
        if entry.amount > held:
            raise EntryFault(f"The credit on account is {format_price(held)}: refund that or less.")
        left, sources = entry.amount, dict[str, Decimal]()
        for payment, amount in self.credit.items():
            sources[payment] = min(amount, left)
            self.credit[payment] -= sources[payment]
            left -= sources[payment]
        self.refunds[entry.key] = sources

    def _apply_credit(self, entry: AccountEntry) -> None:
        """Pay an invoice out of credit, as far as credit is held and the invoice open.

        An entry made later, of an earlier day, may have used some of it.
        """
        left = entry.amount
        for item in (self.items[key] for key in entry.invoices if key in self.items):
            for payment in self.credit:
                left -= self._pay(payment, item, left)

    def _is_free(self, payment: str) -> bool:
        """Return whether credit of a payment can go to any invoice: none that it names is still to come."""
        return self.items.keys() >= set(self.entered[payment].invoices)

    def _pay(self, payment: str, item: _OpenItem, most: Decimal | None = None) -> Decimal:
        """Pay an item out of the credit of a payment, with `most` at most that; return how much it was."""
        held = self.credit[payment] if most is None else min(self.credit[payment], most)
        if not held:  # most payments of an old account: what is open needn't be summed up
            return NO_MONEY
        if amount := min(held, max(item.open, NO_MONEY)):
            self.credit[payment] -= amount
            item.paid_by[payment] = item.paid_by.get(payment, NO_MONEY) + amount
        return amount

    def account(self) -> ClientAccount:
        """Return the account after the entries taken so far."""
        sums = dict.fromkeys(EntryKind, NO_MONEY)
        for entry in self.entered.values():
            sums[entry.kind] += entry.amount
        return ClientAccount(
            receivables=tuple(_receivable(item) for item in self.items.values()),
            credit_by_payment=tuple((payment, amount) for payment, amount in self.credit.items() if amount),
            billed=sums[EntryKind.INVOICE],
            credited=sums[EntryKind.CREDIT_NOTE],
            paid=sums[EntryKind.PAYMENT] - sums[EntryKind.RETURN],
            refunded=sums[EntryKind.REFUND],
        )


def _receivable(item: _OpenItem) -> Receivable:
    return Receivable(
        key=item.key,
        on=item.on,
        due=item.due,
        total=item.total,
        tax=item.tax,
        credited=item.credited,
        credited_tax=item.credited_tax,
        paid=item.paid,
        paid_by=tuple((payment, amount) for payment, amount in item.paid_by.items() if amount),
    )
