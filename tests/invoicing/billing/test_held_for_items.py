"""What stays held for a punch list, on bills: in whatever order items, bills, changes and the end come."""

from contextlib import suppress
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from closing.punch_list.items import ListItem, Whose, fault_of_worth, held_for, why_not_over
from invoicing.billing.credit_note import draft_credit
from invoicing.billing.draft import CannotBill, draft_bill, draft_deposit, draft_release
from invoicing.billing.lines import BillLine, BillLineKind, total
from invoicing.billing.status import billing_status
from invoicing.milestones.plan import NO_MONEY, MilestoneTerm, Plan, SignedChange, draw_plan
from tests.invoicing.kitchen import place_alone

SIGNED, DONE = Decimal("1000.00"), date(2026, 3, 2)
TERMS = (
    MilestoneTerm("A", "Deposit", "Signed", Fraction(1, 10), is_deposit=True),
    MilestoneTerm("B", "Half", "Half is done", Fraction(1, 2)),
    MilestoneTerm("C", "Punch list done", "All is done"),
)


def plan_with(retainage: Fraction) -> Plan:
    return draw_plan(SIGNED, TERMS, taxable=Decimal("400.00"), retainage=retainage)


def kinds(lines: tuple[BillLine, ...]) -> list[tuple[str, Decimal]]:
    return [(line.kind, line.amount) for line in lines]


def test_the_last_bill_leaves_what_the_open_items_are_worth_out_of_its_retainage_first() -> None:
    plan = plan_with(Fraction(1, 10))
    first = draft_bill(plan, (), ["A", "B"])
    last = draft_bill(plan, first.lines, ["C"], for_items=Decimal("30.00"))
    assert kinds(last.lines) == [
        (BillLineKind.MILESTONE, Decimal("400.00")),
        (BillLineKind.RELEASED, Decimal("20.00")),
    ]
    assert last.left_after == Decimal("30.00")
    more = draft_bill(plan, first.lines, ["C"], for_items=Decimal("90.00"))
    assert kinds(more.lines) == [
        (BillLineKind.MILESTONE, Decimal("400.00")),
        (BillLineKind.HELD, Decimal("-40.00")),
    ]
    assert more.left_after == Decimal("90.00")
    assert more.lines[-1].taxable == Decimal("-16.00")


def test_what_is_held_for_items_is_released_once_they_are_done_and_not_before() -> None:
    plan = plan_with(Fraction(0))
    lines = draft_bill(plan, (), ["A", "B", "C"], for_items=Decimal("75.00")).lines
    with pytest.raises(CannotBill, match="open items of the punch list"):
        draft_release(plan, lines, for_items=Decimal("75.00"))
    assert draft_release(plan, lines, for_items=Decimal("25.00")).amount == Decimal("50.00")
    assert draft_release(plan, lines).left_after == NO_MONEY


def test_a_bill_that_would_ask_for_nothing_but_what_is_held_is_refused() -> None:
    plan = plan_with(Fraction(0))
    lines = draft_bill(plan, (), ["A", "B"]).lines
    with pytest.raises(CannotBill, match="held back for the open items"):
        draft_bill(plan, lines, ["C"], for_items=Decimal("400.00"))


def test_with_a_deposit_kept_for_later_no_more_is_held_than_the_items_are_worth() -> None:
    plan = replace(plan_with(Fraction(0)), deposit=Decimal("100.00"))
    lines = (*draft_deposit(plan, ()).lines, *draft_bill(plan, (), ["A", "B"], deposit=NO_MONEY).lines)
    with pytest.raises(CannotBill, match="beyond the contract sum"):
        draft_bill(plan, lines, ["C"], deposit=NO_MONEY, for_items=Decimal("30.00"))
    assert draft_bill(plan, lines, ["C"], for_items=Decimal("30.00")).left_after == Decimal("30.00")


def test_a_credit_note_on_a_bill_that_held_for_items_gives_both_back() -> None:
    plan = plan_with(Fraction(0))
    bill = draft_bill(plan, (), ["A", "B", "C"], for_items=Decimal("75.00"))
    credit = draft_credit(plan, bill.lines, bill.lines, (), None, False)
    assert billing_status(plan, (*bill.lines, *credit.lines)).held == NO_MONEY
    assert total((*bill.lines, *credit.lines)) == NO_MONEY


class EndOfAJob(RuleBasedStateMachine):
    """A list, a schedule and its bills; what is signed and asked for is kept apart from the rules."""

    @initialize(percent=st.sampled_from((0, 5, 10)))
    def begin(self, percent: int) -> None:
        self.plan = plan_with(Fraction(percent, 100))
        self.items: list[ListItem] = []
        self.history: tuple[BillLine, ...] = ()
        self.signed, self.asked, self.is_over = SIGNED, NO_MONEY, False
        self.left_at_end: frozenset[int] = frozenset()

    @property
    def status_left(self) -> Decimal:
        return billing_status(self.plan, self.history).left

    @property
    def held(self) -> Decimal:
        return held_for(self.items, self.status_left)

    @rule(cents=st.none() | st.integers(0, 60000), whose=st.sampled_from(Whose))
    def note(self, cents: int | None, whose: Whose) -> None:
        if self.is_over or len(self.items) > 8:
            return
        worth = None if cents is None or whose != Whose.SCOPE else Decimal(cents) / 100
        if worth is None or not fault_of_worth(worth, self.items, self.status_left):
            self.items.append(ListItem(len(self.items), "Seen", whose, worth))

    @rule(at=st.integers(0, 8))
    def finish(self, at: int) -> None:
        if self.items and (item := self.items[at % len(self.items)]).in_scope:
            self.items[item.key] = replace(item, done_on=item.done_on or DONE)

    @rule(at=st.integers(0, 8), cents=st.integers(1, 20000), takes_off=st.booleans())
    def answer_a_wish(self, at: int, cents: int, takes_off: bool) -> None:
        wishes = [item for item in self.items if item.whose == Whose.WISH and not item.has_change]
        if not wishes or self.is_over:
            return
        item = wishes[at % len(wishes)]
        if takes_off:
            self.items[item.key] = replace(item, answer="Declined")
            return
        amount = Decimal(cents) / 100
        change = SignedChange(f"CO-{item.key}", "A wish", amount)
        self.plan = place_alone(self.plan, change, "A wish", "It is done")
        self.signed += amount
        self.items[item.key] = replace(item, has_change=True, is_signed=True)

    @rule(which=st.sets(st.sampled_from("ABC"), min_size=1), wishes=st.booleans())
    def bill(self, which: set[str], wishes: bool) -> None:
        changes = [change.key for change in self.plan.changes] if wishes else []
        before = self.held
        try:
            bill = draft_bill(
                self.plan, self.history, [*sorted(which), *changes], for_items=sum_of(self.items)
            )
        except CannotBill:
            return
        assert bill.amount > 0 or not before
        self._keep(bill.lines, bill.amount)

    @rule(cents=st.none() | st.integers(1, 20000))
    def release(self, cents: int | None) -> None:
        amount = None if cents is None else Decimal(cents) / 100
        try:
            bill = draft_release(self.plan, self.history, amount, for_items=sum_of(self.items))
        except CannotBill:
            return
        self._keep(bill.lines, bill.amount)

    def _keep(self, lines: tuple[BillLine, ...], amount: Decimal) -> None:
        held = self.held
        self.history += lines
        self.asked += amount
        assert self.status_left >= held  # no bill asks for what is held for items

    @rule()
    def sign_the_end(self) -> None:
        if not self.is_over and not why_not_over(self.items):
            self.is_over = True
            self.left_at_end = frozenset(item.key for item in self.items if item.is_left)

    @invariant()
    def sums_agree_to_the_cent(self) -> None:
        if not hasattr(self, "plan"):
            return
        status = billing_status(self.plan, self.history)
        assert self.plan.contract_sum == self.signed
        assert status.billed == self.asked == total(self.history)
        assert status.billed + status.left == self.signed
        assert 0 <= self.held <= min(sum_of(self.items), max(status.left, NO_MONEY))
        assert status.held >= 0
        if self.is_over:
            assert {item.key for item in self.items if item.is_left} <= self.left_at_end
            assert all(item.worth is not None for item in self.items if item.is_left)

    def teardown(self) -> None:
        """Once all is done, all that was signed can be asked for, and no more."""
        if not hasattr(self, "plan"):
            return
        self.items = [replace(item, done_on=DONE) for item in self.items]
        keys = [milestone.key for milestone in self.plan.milestones]
        with suppress(CannotBill):  # all of the work is billed
            bill = draft_bill(self.plan, self.history, keys)
            self._keep(bill.lines, bill.amount)
        if self.status_left:
            bill = draft_release(self.plan, self.history)
            self._keep(bill.lines, bill.amount)
        assert self.asked == self.signed


def sum_of(items: list[ListItem]) -> Decimal:
    """What the items are worth, added here again."""
    return sum((item.worth for item in items if item.worth and item.in_scope and not item.done_on), NO_MONEY)


EndOfAJob.TestCase.settings = settings(max_examples=60, stateful_step_count=20)
TestEndOfAJob = EndOfAJob.TestCase
