"""In whatever order choices, changes, items, bills, waivers and call-backs come, the sums agree.

The contract sum, what is billed and what is held are kept here beside the project's own rules, in whole
cents, and the chain of what happened is checked after every step.
"""

from contextlib import suppress
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from hypothesis.stateful import run_state_machine_as_test as run

from catalog.models import Firm
from closing.models import PunchListItem
from closing.punch_list.items import Whose
from closing.punch_list.read import read_list
from closing.punch_list.write import close_item, open_again, wish_to_change
from estimating.changes.draft import signed_job
from estimating.documents.issue import CannotIssue, issue
from estimating.models import Allowance, ChangeOrder, Document, Job, JobLink
from estimating.verification.documents import faults
from invoicing.billing.draft import CannotBill
from invoicing.billing.lien_waiver import CannotWaive, WaiverKind
from invoicing.invoices.job_billing import read_job_billing
from invoicing.invoices.lien_waivers import waivable_money, waiver_to_issue
from invoicing.ledger.accounts import job_balance, read_books
from invoicing.models import Milestone, PaymentPlan
from invoicing.payment_plan.templates import create_plan
from jobsite.choices.choosing import CannotChoose, choose, read_choices, remove_or_withdraw
from jobsite.models import CallBack, Choice
from tests.closing.lists import end_job, seen
from tests.estimating.issuing import AT, DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import agreed, sign_on_paper, signed_change
from tests.factories import make_firm
from tests.invoicing.bills import BILLING_FIRM, THIRDS, billed
from tests.invoicing.money_rows import pay

pick = st.integers(0, 7)


def cents(amount: Decimal) -> int:
    return int(amount * 100)


class EndOfAJob(RuleBasedStateMachine):
    """One floor with an allowance of $100.00 at cost, which is $120.00 of the price."""

    def __init__(self) -> None:
        super().__init__()
        self.database = TestCase()
        self.database.setup_example()  # type: ignore[no-untyped-call] # the library has no annotation

    def teardown(self) -> None:
        self.database.teardown_example(None)  # type: ignore[no-untyped-call] # as above

    @initialize(held=st.sampled_from([0, 10]))
    def sign(self, held: int) -> None:
        make_firm(detail="line", warranty_months=12, **BILLING_FIRM)
        estimate = painted_floor()
        Allowance.objects.create(estimate=estimate, name="Finish", amount=Decimal("100.00"), decide_by=DAY)
        paper = issue_now(estimate)
        sign_on_paper(paper)
        self.job: Job = paper.job
        create_plan(self.job, THIRDS)
        PaymentPlan.objects.update(retainage_percent=Decimal(held), changes_go="own")
        self.contract, self.billed, self.paid = 196_80 + 120_00, 0, 0
        self.worth: dict[int, int] = {}  # of the open items in the scope
        self.waits: list[tuple[ChangeOrder, int]] = []  # changes of choices, not signed yet
        self.is_over = False
        signed = signed_job(self.job)
        assert signed
        (allowance,) = signed.allowances
        self.choice = Choice.objects.create(
            job=self.job,
            what="Finish",
            document_id=allowance.line.document,
            key=allowance.line.key,
            shown_at=AT,
        )
        for title, cost in (("Satin", 100), ("Gloss", 150), ("Matte", 70)):
            self.choice.offers.create(title=title, cost=Decimal(cost))
        far = timezone.now() + timedelta(days=90)
        self.page = JobLink.objects.create(
            job=self.job, name="Dean", seed="s", secret_sha256="s", made_at=AT, expires_at=far
        )

    @rule(which=st.sampled_from([("Satin", 0), ("Gloss", 60_00), ("Matte", -36_00)]))
    def choose_one(self, which: tuple[str, int]) -> None:
        signed = signed_job(self.job)
        assert signed
        (found,) = read_choices(self.job, signed)
        offer = next(row.offer.key for row in found.offers if row.offer.title == which[0])
        try:
            made = choose(self.choice.pk, self.page, offer, "Dean", found.shown, AT)
        except CannotChoose:
            assert found.made or found.choice.withdrawn_at
            return
        assert (made.change is not None) == bool(which[1])
        if made.change:
            self.waits.append((made.change, which[1]))

    @rule()
    def withdraw_the_choice(self) -> None:
        with suppress(CannotChoose):
            remove_or_withdraw(self.choice.pk, AT)

    @precondition(lambda self: self.waits)
    @rule()
    def sign_the_choice(self) -> None:
        change, amount = self.waits.pop()
        signed_change(change)
        self.contract += amount

    @precondition(lambda self: not self.is_over)
    @rule(worth=st.none() | st.integers(0, 20_00), whose=st.sampled_from(Whose))
    def note(self, worth: int | None, whose: Whose) -> None:
        in_scope = whose == Whose.SCOPE
        held = f"{Decimal(worth or 0) / 100}" if in_scope and worth is not None else None
        item = seen(self.job, whose=whose.value, worth=held)
        if in_scope:
            self.worth[item.pk] = worth or 0

    @rule(at=pick)
    def close(self, at: int) -> None:
        if keys := list(self.worth):
            item = PunchListItem.objects.get(pk=keys[at % len(keys)])
            assert close_item(item, DAY)
            assert not close_item(item, DAY)
            del self.worth[item.pk]

    @precondition(lambda self: not self.is_over)
    @rule()
    def open_one_again(self) -> None:
        if item := PunchListItem.objects.filter(whose="scope", done_on__isnull=False).first():
            open_again(item)
            self.worth[item.pk] = cents(item.worth.amount) if item.worth else 0

    @precondition(lambda self: not self.is_over)
    @rule(price=st.none() | st.integers(1, 50_00))
    def answer_a_wish(self, price: int | None) -> None:
        item = PunchListItem.objects.filter(whose="wish", change=None, answer="").first()
        signed = signed_job(self.job)
        if item is None or signed is None:
            return
        if price is None:
            PunchListItem.objects.filter(pk=item.pk).update(answer="Not in the price.")
            return
        change = wish_to_change(item, signed, Firm.current(), DAY)
        agreed(change, "A shelf", "1", "", f"{Decimal(price) / 100}")
        signed_change(change)
        self.contract += price
        self.worth[item.pk] = 0

    @rule(at=pick)
    def bill(self, at: int) -> None:
        names = list(Milestone.objects.filter(plan__job=self.job).values_list("name", flat=True))
        try:
            invoice = billed(self.job, names[at % len(names)])
        except (CannotBill, CannotIssue, ValueError):
            return
        self.billed += cents(invoice.total.amount)

    @rule()
    def pay_what_is_open(self) -> None:
        if still := self.billed - self.paid:
            pay(self.job, f"{Decimal(still) / 100}", on=DAY)
            self.paid = self.billed

    @rule(kind=st.sampled_from(WaiverKind))
    def waive(self, kind: WaiverKind) -> None:
        invoice = Document.objects.filter(job=self.job, kind=Document.Kind.INVOICE).last()
        if invoice is None:
            return
        billing = read_job_billing(self.job)
        assert billing
        money = waivable_money(invoice, billing, DAY)
        try:
            unissued = waiver_to_issue(invoice, kind, money, Firm.current(), through=DAY, today=DAY)
        except CannotWaive:
            return
        said = cents(issue(unissued, AT).total.amount)
        assert 0 < said <= (self.billed - self.paid if kind.is_conditional else self.paid)
        assert not kind.is_final or self.billed == self.contract

    @precondition(lambda self: not self.is_over)
    @rule()
    def end(self) -> None:
        try:
            end_job(self.job)
        except CannotIssue:
            return
        self.is_over = True

    @precondition(lambda self: self.is_over)
    @rule()
    def call_back(self) -> None:
        CallBack.objects.create(job=self.job, on=DAY, says="The door sticks again")

    @invariant()
    def all_agree(self) -> None:
        if not hasattr(self, "is_over"):
            return
        signed = signed_job(self.job)
        assert signed
        assert cents(signed.contract.total) == self.contract
        listed = read_list(self.job)
        left = self.contract - self.billed
        assert cents(listed.to_ask) == left
        assert cents(listed.held) == max(min(sum(self.worth.values()), left), 0)
        assert bool(listed.end) == self.is_over
        balance = job_balance(read_books(self.job.client), self.job, DAY)
        assert (cents(balance.billed), cents(balance.paid)) == (self.billed, self.paid)
        assert list(faults()) == []


EXAMPLES = settings(
    max_examples=6,
    stateful_step_count=16,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@pytest.mark.django_db
def test_contract_sum_held_money_and_history_agree_in_whatever_order() -> None:
    run(EndOfAJob, settings=EXAMPLES)
