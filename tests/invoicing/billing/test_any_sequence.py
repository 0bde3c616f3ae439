"""Over any sequence of changes, bills, credits, payments, returns and refunds, every sum ties.

One job of one client, taxed in part, with retainage and a deposit, billed through the rules and entered
as the firm would; the machine's own sums are kept apart from the rules' and compared after each step.
"""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from invoicing.billing.credit_note import PROPORTIONAL_KINDS, draft_credit
from invoicing.billing.draft import Bill, CannotBill, EarnedSoFar, draft_bill, draft_deposit, draft_release
from invoicing.billing.lines import BillLine
from invoicing.billing.status import billing_status, left_to_bill
from invoicing.einvoice.model import TaxGroup, invoice_totals, taxed_lines
from invoicing.milestones.change_placement import (
    place_last,
    place_spread,
    place_with,
    settle_time_and_material,
)
from invoicing.milestones.plan import MilestoneTerm, PlanFault, SignedChange, draw_plan
from invoicing.receivables.aging import aged_balance
from invoicing.receivables.balances import AccountEntry, EntryFault, EntryKind, account_after
from invoicing.receivables.journal import RECEIVABLE, journal, split_by_account
from invoicing.receivables.sales_tax import Period, tax_by_month, tax_by_period
from invoicing.receivables.statement import account_statement
from tests.invoicing.einvoices import invoice as document
from tests.invoicing.kitchen import place_alone

START = date(2026, 1, 5)
PERCENT = Decimal("8.25")
amounts = st.integers(1, 400_000).map(lambda cents: Decimal(cents) / 100)
pick = st.integers(0, 10_000)


class Job(RuleBasedStateMachine):
    """A job from its plan to its last payment."""

    def __init__(self) -> None:
        super().__init__()
        self.today = START
        self.entries: list[AccountEntry] = []
        self.invoices: dict[str, tuple[BillLine, ...]] = {}
        self.credits: dict[str, list[BillLine]] = {}
        self.taxes: dict[str, tuple[TaxGroup, ...]] = {}
        self.history: list[BillLine] = []
        self.earned: dict[str, Decimal] = {}
        self.signed = Decimal(0)
        self.balance = Decimal(0)

    @initialize(
        total=amounts,
        shares=st.lists(st.integers(1, 9), min_size=1, max_size=5),
        held=st.sampled_from([0, 5, 10]),
        deposit=st.sampled_from([0, 10, 30]),
        taxed=st.sampled_from([0, 40, 100]),
    )
    def draw(self, total: Decimal, shares: list[int], held: int, deposit: int, taxed: int) -> None:
        terms = [
            MilestoneTerm(f"M{n}", f"M{n}", "Seen", Fraction(share, sum(shares)))
            for n, share in enumerate(shares)
        ]
        self.plan = draw_plan(
            total,
            terms,
            taxable=Decimal(int(total * taxed)) / 100,
            retainage=Fraction(held, 100),
            deposit=Decimal(int(total * deposit)) / 100,
        )
        self.signed = total

    @rule(days=st.integers(0, 40))
    def wait(self, days: int) -> None:
        self.today += timedelta(days=days)

    @rule(
        amount=amounts,
        deduct=st.booleans(),
        where=st.sampled_from(["alone", "spread", "last", "with"]),
        at=pick,
        taxed=st.sampled_from([0, 50, 100]),
    )
    def sign(self, amount: Decimal, deduct: bool, where: str, at: int, taxed: int) -> None:
        """A signed change; a deduction that leaves the contract billed beyond is credited at once."""
        limits = sum(change.amount for change in self.plan.changes if change.is_time_and_material)
        amount = -min(amount, self.plan.contract_sum - limits) if deduct else amount
        taxable = Decimal(int(amount * taxed)) / 100
        change = SignedChange(f"CO-{len(self.plan.changes)}", "Change", amount, taxable)
        left = left_to_bill(self.plan, self.history)
        places = {
            "alone": lambda: place_alone(self.plan, change, "Change", "Seen"),
            "spread": lambda: place_spread(self.plan, change, left),
            "last": lambda: place_last(self.plan, change, left),
            "with": lambda: place_with(self.plan, change, list(left)[at % len(left)], left),
        }
        try:
            self.plan = places[where]()
        except PlanFault:
            self.plan = places["alone"]()
        self.signed += amount
        self.credit_what_is_beyond()

    @rule(limit=amounts)
    def sign_time_and_material(self, limit: Decimal) -> None:
        change = SignedChange(
            f"CO-{len(self.plan.changes)}", "Hours", limit, limit, is_time_and_material=True
        )
        self.plan = place_alone(self.plan, change, "Hours", "Seen")
        self.earned[change.key] = Decimal(0)
        self.signed += limit

    @precondition(lambda self: self.earned)
    @rule(at=pick, amount=amounts)
    def work_by_the_hour(self, at: int, amount: Decimal) -> None:
        self.earned[list(self.earned)[at % len(self.earned)]] += amount

    @precondition(lambda self: self.earned)
    @rule(at=pick)
    def end_hours(self, at: int) -> None:
        """What was worked, or was billed, is the change's sum from now on."""
        key = list(self.earned)[at % len(self.earned)]
        billed = sum((line.amount for line in self.history if line.change == key), Decimal("0.00"))
        limit = self.plan.change(key).amount
        reached = max(min(self.earned[key], limit), billed)
        self.plan = settle_time_and_material(self.plan, key, reached, Decimal("0.00"), billed)
        self.signed += self.plan.change(key).amount - limit
        self.credit_what_is_beyond()

    def credit_what_is_beyond(self) -> None:
        """Whole invoices, latest first, until no more is billed than the contract has come to.

        Twice over, since work can't be credited before the invoice that released its retainage.
        """
        for key in [*reversed(self.invoices)] * 2:
            if billing_status(self.plan, self.history).over_contract:
                self.credit(key, None)

    @rule(at=pick, two=st.booleans())
    def bill(self, at: int, two: bool) -> None:
        keys = [milestone.key for milestone in self.plan.milestones]
        reached = [keys[at % len(keys)], *keys[: int(two)]]
        earned = {key: EarnedSoFar(amount) for key, amount in self.earned.items()}
        self.issue(lambda: draft_bill(self.plan, self.history, reached, earned))

    @rule()
    def ask_deposit(self) -> None:
        self.issue(lambda: draft_deposit(self.plan, self.history))

    @rule()
    def release(self) -> None:
        self.issue(lambda: draft_release(self.plan, self.history))

    def issue(self, draft: Callable[[], Bill]) -> None:
        try:
            bill = draft()
        except CannotBill:
            return
        sums = invoice_totals(document(*taxed_lines(bill.lines, PERCENT)))
        assert sums.before_tax == bill.amount
        if sums.with_tax < 0:  # deductions are taxed and the work isn't: a credit note, by hand
            return
        key = f"I-{len(self.invoices)}"
        self.invoices[key], self.credits[key] = bill.lines, []
        self.history += bill.lines
        self.enter(
            AccountEntry(
                EntryKind.INVOICE,
                key,
                self.today,
                sums.with_tax,
                tax=sums.tax,
                taxable=bill.taxable,
                due=self.today + timedelta(days=5),
                split=split_by_account(bill.lines),
            )
        )

    @precondition(lambda self: self.invoices)
    @rule(at=pick, part=st.none() | st.fractions(0, 1, max_denominator=20))
    def credit_invoice(self, at: int, part: Fraction | None) -> None:
        self.credit(list(self.invoices)[at % len(self.invoices)], part)

    def credit(self, key: str, part: Fraction | None) -> None:
        lines = self.invoices[key]
        chosen = part and {
            line.key: Decimal(int(part * int(line.amount * 100))) / 100
            for line in lines
            if line.kind not in PROPORTIONAL_KINDS
        }
        try:
            note = draft_credit(self.plan, self.history, lines, self.credits[key], chosen or None)
        except CannotBill:
            return
        before = self.taxes.get(key, ())
        sums = invoice_totals(
            document(*taxed_lines(note.lines, PERCENT, is_credit=True), credited_before=before)
        )
        entry = AccountEntry(
            EntryKind.CREDIT_NOTE,
            f"C-{len(self.entries)}",
            self.today,
            sums.with_tax,
            tax=sums.tax,
            taxable=-note.taxable,
            refers_to=key,
            split=split_by_account(note.lines),
        )
        if sums.with_tax < 0 or not self.enter(entry):
            return
        self.credits[key] += note.lines
        self.taxes[key] = before + sums.groups
        self.history += note.lines

    @rule(amount=amounts, chosen=st.booleans(), at=pick)
    def pay(self, amount: Decimal, chosen: bool, at: int) -> None:
        keys = list(self.invoices)
        invoices = (keys[at % len(keys)],) if chosen and keys else ()
        self.enter_money(EntryKind.PAYMENT, "P", amount, invoices=invoices)

    @rule(at=pick)
    def send_back(self, at: int) -> None:
        payments = [entry for entry in self.entries if entry.kind == EntryKind.PAYMENT]
        if payments:
            payment = payments[at % len(payments)]
            self.enter_money(EntryKind.RETURN, "X", payment.amount, refers_to=payment.key)

    @rule(amount=amounts)
    def refund(self, amount: Decimal) -> None:
        self.enter_money(EntryKind.REFUND, "R", amount)

    @precondition(lambda self: self.invoices)
    @rule(amount=amounts, at=pick)
    def apply_credit(self, amount: Decimal, at: int) -> None:
        key = list(self.invoices)[at % len(self.invoices)]
        self.enter_money(EntryKind.CREDIT_APPLIED, "U", amount, invoices=(key,))

    def enter_money(
        self,
        kind: EntryKind,
        letter: str,
        amount: Decimal,
        refers_to: str = "",
        invoices: tuple[str, ...] = (),
    ) -> None:
        key = f"{letter}-{len(self.entries)}"
        self.enter(AccountEntry(kind, key, self.today, amount, refers_to=refers_to, invoices=invoices))

    def enter(self, entry: AccountEntry) -> bool:
        try:
            account_after([*self.entries, entry])
        except EntryFault:
            return False
        self.entries.append(entry)
        if entry.kind != EntryKind.CREDIT_APPLIED:
            takes_off = entry.kind in (EntryKind.PAYMENT, EntryKind.CREDIT_NOTE)
            self.balance += -entry.amount if takes_off else entry.amount
        return True

    @invariant()
    def milestones_sum_to_the_contract(self) -> None:
        if self.signed:
            total = sum(self.plan.amount(milestone.key) for milestone in self.plan.milestones)
            assert total == self.plan.contract_sum == self.signed

    @invariant()
    def billed_never_exceeds_the_contract(self) -> None:
        if self.signed:
            state = billing_status(self.plan, self.history)
            assert state.billed <= self.plan.contract_sum
            assert state.work <= self.plan.contract_sum
            assert state.billed == sum(line.amount for line in self.history)
            assert min(state.held, state.deposit_left) >= 0

    @invariant()
    def what_is_owed_is_billed_less_credited_less_paid(self) -> None:
        state = account_after(self.entries)
        assert state.balance == self.balance
        assert state.open - state.credit == self.balance
        assert all(invoice.open >= 0 and invoice.paid >= 0 for invoice in state.receivables)
        assert all(amount > 0 for _, amount in state.credit_by_payment)

    @invariant()
    def ages_and_statement_come_to_the_balance(self) -> None:
        assert aged_balance(account_after(self.entries), self.today).balance == self.balance
        assert account_statement(self.entries, START, self.today)[-1].balance == self.balance

    @invariant()
    def the_journal_balances(self) -> None:
        lines = journal(self.entries)
        for entry in self.entries:
            mine = [line for line in lines if line.entry == entry.key]
            assert sum(line.debit for line in mine) == sum(line.credit for line in mine)
        receivable = sum(line.debit - line.credit for line in lines if line.account == RECEIVABLE)
        assert receivable == self.balance

    def teardown(self) -> None:
        rows = tax_by_period(tax_by_month(self.entries), Period.MONTH, START, self.today)
        signs = {EntryKind.INVOICE: 1, EntryKind.CREDIT_NOTE: -1}
        assert sum(row.tax for row in rows) == sum(signs.get(e.kind, 0) * e.tax for e in self.entries)
        assert sum(row.billed for row in rows) == sum(line.amount for line in self.history)


TestAnySequence = Job.TestCase
TestAnySequence.settings = settings(max_examples=100, stateful_step_count=25, deadline=None)
