"""The same as test_any_sequence.py, through the database: signed changes, bills, credit notes, payments,
payments taken back and refunds of two clients, in any sequence, with the sums kept apart from the rules'.

The papers are issued as the pages issue them; only their PDF isn't drawn.
"""

import contextlib
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from estimating.changes.issue import issue_change, prepare_change
from estimating.documents import issue as issuing
from estimating.documents.issue import CannotIssue
from estimating.models import Client, Document, Job
from invoicing.billing.status import billing_status
from invoicing.bookkeeping.csv_files import Span, journal_table
from invoicing.invoices.issue import issue_bill, issue_credit
from invoicing.ledger.accounts import Books, job_balance, read_books
from invoicing.ledger.history import billed_lines
from invoicing.ledger.kept_sums import faults, read_job_books
from invoicing.models import Milestone, Payment
from invoicing.payment_plan.templates import create_plan
from invoicing.payments.record import apply_credit, record_payment, record_refund, void_payment
from invoicing.payments.summary import read_figures, read_firm_accounts
from invoicing.receivables.aging import aged_balance
from invoicing.receivables.balances import EntryFault
from tests.estimating.issuing import AT, DAY, another_floor, issue_now
from tests.estimating.signed_kitchen import agreed, make_change, sign_on_paper
from tests.factories import make_client, make_firm
from tests.invoicing.bills import THIRDS, draft, plan_of, ready, ready_credit, signed_floor
from tests.invoicing.money_rows import balance_of, moved


class Firm:
    """Two clients with a signed floor each, billed by plan; `signed` are their contracts before tax."""

    def __init__(self, retainage: int) -> None:
        self.today = DAY
        plan = {"retainage_percent": Decimal(retainage)}
        first = signed_floor(plan=plan, tax_policy="everything", tax_percent=8)
        floor = another_floor(first.estimates.get())
        floor.job.client = make_client(name="Ines Varga")
        floor.job.save()
        document = issue_now(floor)
        sign_on_paper(document)
        create_plan(document.job, THIRDS)
        # The second has a supply run of two hours at $84.00 besides.
        self.signed = {first: Decimal("196.80"), document.job: Decimal("364.80")}

    def job(self, at: int) -> Job:
        return list(self.signed)[at % 2]

    def sign_a_change(self, at: int, amount: Decimal) -> None:
        job = self.job(at)
        change = make_change(job, f"Change {at}")
        agreed(change, "More", "1", "each", f"{amount}")
        paper = prepare_change(change, make_firm(), DAY)
        sign_on_paper(issue_change(change, paper, AT))
        self.signed[job] += amount

    def bill(self, at: int, amount: Decimal) -> None:
        job = self.job(at)
        names = list(Milestone.objects.filter(plan__job=job).values_list("name", flat=True))
        begun = draft(job, names[at % len(names)])
        issue_bill(begun, ready(begun, self.today), AT)

    def credit(self, at: int, amount: Decimal) -> None:
        invoices = Document.objects.filter(kind=Document.Kind.INVOICE).order_by("pk")
        if invoices:
            invoice = invoices[at % len(invoices)]
            issue_credit(invoice, ready_credit(invoice, on=self.today), AT)

    def pay(self, at: int, amount: Decimal) -> None:
        job = self.job(at)
        invoices = Document.objects.filter(kind=Document.Kind.INVOICE, job__client=job.client)
        record_payment(job.client, moved(f"{amount}", self.today, job), list(invoices[: at % 3]), AT)

    def send_back(self, at: int, amount: Decimal) -> None:
        payments = Payment.objects.filter(kind=Payment.Kind.PAYMENT).order_by("pk")
        if payments:
            void_payment(payments[at % len(payments)], self.today, "bank", "", moved("1").once, AT)

    def give_back(self, at: int, amount: Decimal) -> None:
        job = self.job(at)
        record_refund(job.client, moved(f"{amount}", self.today, job), AT)

    def put_credit(self, at: int, amount: Decimal) -> None:
        job = self.job(at)
        invoices = Document.objects.filter(kind=Document.Kind.INVOICE, job__client=job.client)
        if invoices:
            apply_credit(job.client, invoices[at % len(invoices)], self.today, moved("1").once, AT)

    def check(self) -> None:
        self.check_contracts()
        books = read_books(*Client.objects.all())
        self.check_job_books(books)
        for client in Client.objects.all():
            account = books.account_of(client.pk)
            assert account.balance == balance_of(client)
            assert aged_balance(account, self.today).balance == account.balance
        figures = read_figures(read_firm_accounts(), self.today)
        found = {name: figure.amount for name, figure in figures.items()}
        assert found["billed"] - found["paid"] == found["open"] - found["credit"]
        assert found["open"] == sum(account.open for account in books.accounts.values())
        assert list(faults()) == []
        rows = journal_table(Span(date.min, date.max)).rows
        debit, credit = (sum((Decimal(row[column] or 0) for row in rows), Decimal(0)) for column in (3, 4))
        assert debit == credit

    def check_job_books(self, whole: Books) -> None:
        """What is read for a job alone says of it what the whole account says."""
        for job in self.signed:
            light = read_job_books([job])
            found, wanted = (job_balance(books, job, self.today) for books in (light, whole))
            for name in ("billed", "credited", "paid", "open", "credit"):
                assert getattr(found, name) == getattr(wanted, name), name
            late_found, late = (
                [(item.key, item.open, item.due) for item in balance.owed if item.days_late(self.today)]
                for balance in (found, wanted)
            )
            assert sorted(late_found) == sorted(late)
            assert {row.pk for row in read_job_books([job]).bills(job)} == {
                row.pk for row in whole.bills(job)
            }

    def check_contracts(self) -> None:
        for job, contract in self.signed.items():
            plan = plan_of(job)
            assert plan.contract_sum == contract
            assert sum(plan.amount(milestone.key) for milestone in plan.milestones) == contract
            assert billing_status(plan, billed_lines(job)).billed <= contract


Deed = Callable[[Firm, int, Decimal], None]
DEEDS: tuple[Deed, ...] = (
    Firm.sign_a_change,
    Firm.bill,
    Firm.bill,
    Firm.credit,
    Firm.pay,
    Firm.pay,
    Firm.send_back,
    Firm.give_back,
    Firm.put_credit,
)
steps = st.tuples(
    st.sampled_from(DEEDS),
    st.integers(0, 1_000),
    st.integers(1, 20_000).map(lambda cents: Decimal(cents) / 100),
    st.integers(0, 20).map(lambda days: timedelta(days=days)),
)


@pytest.fixture
def without_drawing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(issuing, "make_pdf", lambda shown: b"%PDF")


@pytest.mark.django_db
@pytest.mark.usefixtures("without_drawing")
@settings(
    max_examples=4,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(retainage=st.sampled_from([0, 5, 10]), sequence=st.lists(steps, min_size=13, max_size=16))
def test_over_any_sequence_the_rows_in_the_database_balance(
    retainage: int, sequence: list[tuple[Deed, int, Decimal, timedelta]]
) -> None:
    database = TestCase()
    database.setup_example()  # type: ignore[no-untyped-call] # the library has no annotation
    try:
        firm = Firm(retainage)
        for deed, at, amount, later in sequence:
            firm.today += later
            # What the rules refuse leaves nothing behind.
            with contextlib.suppress(CannotIssue, EntryFault):
                deed(firm, at, amount)
            firm.check()
    finally:
        database.teardown_example(None)  # type: ignore[no-untyped-call] # the library has no annotation
