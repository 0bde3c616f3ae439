"""How all clients stand: each figure is the sum of its rows, and together they balance."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job
from invoicing.billing.lines import BillLine, BillLineKind
from invoicing.invoices.issue import issue_bill
from invoicing.models import BillDraft, Milestone, Payment
from invoicing.payment_plan.templates import create_plan
from invoicing.payments.expected import ExpectedMoney as ComingMoney
from invoicing.payments.expected import expected_money
from invoicing.payments.record import void_payment
from invoicing.payments.summary import debtors, figure_rows, read_figures, read_firm_accounts
from invoicing.receivables.weekly_forecast import LONGEST, ExpectedMoney, weekly_forecast
from tests.estimating.issuing import another_floor, issue_now
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_client, make_job
from tests.invoicing.bills import THIRDS, billed, milestone, reach, ready, signed_floor
from tests.invoicing.money_rows import AT, TODAY, add_bill, pay

pytestmark = pytest.mark.django_db


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def amounts() -> dict[str, Decimal]:
    return {name: figure.amount for name, figure in read_figures(read_firm_accounts(), TODAY).items()}


def to_come() -> list[ComingMoney]:
    return expected_money(read_firm_accounts().books)


def test_open_money_stands_in_its_age_and_the_ages_come_to_all_that_is_open() -> None:
    job = make_job()
    for days, amount in ((0, "1"), (1, "2"), (30, "4"), (31, "8"), (60, "16"), (61, "32"), (91, "64")):
        add_bill(job, f"{amount}.00", on=ago(100), due=ago(days))
    found = amounts()
    by_age = [found[name] for name in ("not-due", "to-30", "to-60", "to-90", "over-90")]
    assert by_age == [Decimal(amount) for amount in (1, 6, 24, 32, 64)]
    assert found["open"] == sum(by_age) == 127
    assert found["overdue"] == 126


def test_billed_less_paid_is_open_less_credit_over_all_clients() -> None:
    first, second = make_job(), make_job(client=make_client(name="Ines Varga"))
    invoice = add_bill(first, "300.00", tax="24.75")
    add_bill(first, "50.00", credits=invoice)
    add_bill(second, "80.00")
    pay(first, "200.00")
    pay(second, "95.00")
    void_payment(pay(second, "40.00"), TODAY, Payment.Why.BANK, "", "key", AT)
    found = amounts()
    assert found["billed"] - found["paid"] == found["open"] - found["credit"]
    assert (found["billed"], found["paid"]) == (Decimal("354.75"), Decimal("295.00"))
    assert (found["open"], found["credit"]) == (Decimal("74.75"), Decimal("15.00"))


def test_retainage_that_bills_left_out_is_held_until_it_is_released() -> None:
    job = make_job()
    work = BillLine(BillLineKind.MILESTONE, "Floor set", Decimal("100.00"), milestone="1")
    held = BillLine(BillLineKind.HELD, "Retainage held back", Decimal("-5.00"))
    add_bill(job, "95.00", lines=(work, held))
    assert amounts()["held"] == Decimal("5.00")
    add_bill(job, "5.00", lines=(BillLine(BillLineKind.RELEASED, "Retainage released", Decimal("5.00")),))
    assert amounts()["held"] == 0


def test_who_is_most_overdue_stands_first_and_who_owes_nothing_isn_t_listed() -> None:
    jobs = [make_job(client=make_client(name=name)) for name in ("Ana", "Ben", "Cy", "Dot")]
    add_bill(jobs[0], "900.00", due=TODAY)
    add_bill(jobs[1], "10.00", on=ago(9), due=ago(5))
    pay(jobs[2], "5.00")
    pay(jobs[3], "7.00", add_bill(jobs[3], "7.00"))
    assert [
        (row.client.name, row.open, row.credit) for row in debtors(read_firm_accounts().books, TODAY)
    ] == [
        ("Ben", Decimal("10.00"), 0),
        ("Ana", Decimal("900.00"), 0),
        ("Cy", 0, Decimal("5.00")),
    ]


def expected(job: Job, name: str, on: date) -> None:
    Milestone.objects.filter(plan__job=job, name=name).update(expected_on=on)


def test_money_to_come_is_open_invoices_and_what_signed_milestones_still_have_to_bill() -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    expected(job, "Begun", TODAY)
    expected(job, "First coat", TODAY + timedelta(days=10))
    expected(job, "Done", TODAY + timedelta(days=20))
    assert [(item.title, item.amount, item.is_billed) for item in to_come()] == [
        (f"{invoice}, Kitchen", Decimal("59.04"), True),
        ("First coat, Kitchen", Decimal("59.04"), False),
        ("Done, Kitchen", Decimal("78.72"), False),
    ]
    pay(job, "59.04")
    assert [item.title for item in to_come()] == [
        "First coat, Kitchen",
        "Done, Kitchen",
    ]


def test_what_is_reached_is_expected_from_that_day_and_a_milestone_without_a_day_comes_last() -> None:
    job = signed_floor()
    expected(job, "Begun", TODAY + timedelta(days=20))
    expected(job, "Done", TODAY + timedelta(days=5))
    reach(job, "Begun", on=TODAY)
    assert [(item.on, item.title) for item in to_come()] == [
        (TODAY, "Begun, Kitchen"),
        (TODAY + timedelta(days=5), "Done, Kitchen"),
        (None, "First coat, Kitchen"),
    ]


def test_money_to_come_and_money_open_are_all_that_the_contract_still_brings() -> None:
    """$196.80 with $5.90 held of the first bill, and a deposit of $50.00 that the second takes off."""
    job = signed_floor({"retainage_percent": 10, "deposit": Decimal("50.00")})
    billed(job, "Begun")
    deposit = BillDraft.objects.create(job=job, kind=BillDraft.Kind.DEPOSIT)
    issue_bill(deposit, ready(deposit), AT)
    assert [(item.title, item.amount) for item in to_come() if not item.is_billed] == [
        ("Done, Kitchen", Decimal("78.72")),
        ("First coat, Kitchen", Decimal("9.04")),
        ("Retainage held, Kitchen", Decimal("5.90")),
    ]
    assert sum(item.amount for item in to_come()) == Decimal("196.80")


def test_the_page_says_what_stands_on_milestones_without_a_day_and_where_to_set_it(
    signed_in: Client,
) -> None:
    job = signed_floor()
    expected(job, "Done", TODAY)
    page = signed_in.get(reverse("firm-money")).content.decode()
    assert "$118.08 more has no day yet" in page
    for name in ("Begun", "First coat"):
        assert reverse("milestone", args=[milestone(job, name).pk]) in page
    assert reverse("milestone", args=[milestone(job, "Done").pk]) not in page


def test_the_picture_sums_each_week_and_puts_what_is_late_into_this_one() -> None:
    wednesday = date(2026, 11, 25)
    coming = [
        ExpectedMoney(ago(40), Decimal("10.00"), True),
        ExpectedMoney(date(2026, 11, 29), Decimal("30.00"), False),
        ExpectedMoney(date(2026, 11, 30), Decimal("20.00"), True),
        ExpectedMoney(date(2027, 3, 1), Decimal("7.00"), False),
    ]
    job_plan = weekly_forecast(coming, wednesday)
    first, second = job_plan.weeks[:2]
    assert (first.monday, first.billed, first.unbilled) == (
        date(2026, 11, 23),
        Decimal("10.00"),
        Decimal("30.00"),
    )
    assert (second.amount, job_plan.later, job_plan.total) == tuple(map(Decimal, ("20.00", "7.00", "67.00")))
    assert first.billed_length + first.unbilled_length in (LONGEST - 1, LONGEST)
    assert second.billed_length == LONGEST // 2
    assert "Week of Mon 30 Nov 2026: $20.00, of it $20.00 billed." in job_plan.in_words()


def test_a_picture_of_nothing_has_no_bars() -> None:
    job_plan = weekly_forecast([], TODAY)
    assert [week.billed_length + week.unbilled_length for week in job_plan.weeks] == [0] * 10
    assert job_plan.in_words() == ""


def test_each_number_leads_to_the_rows_that_make_it_up(signed_in: Client) -> None:
    invoice = add_bill(make_job(), "108.25", on=ago(50), due=ago(40))
    pay(invoice.job, "8.25", on=ago(2))
    front = signed_in.get(reverse("firm-money")).content.decode()
    accounts, today = read_firm_accounts(), timezone.localdate()
    for name, figure in read_figures(accounts, today).items():
        url = reverse("firm-figure", args=[name])
        assert f'href="{url}"' in front
        page = signed_in.get(url).content.decode()
        assert f"${figure.amount:,.2f}" in page
        rows = list(figure_rows(accounts, name, today, ""))
        assert sum(row.amount for row in rows) == figure.amount
        for row in rows:
            assert f'href="{row.url}"' in page
    assert signed_in.get(reverse("firm-figure", args=["nonsense"])).status_code == 404


def test_an_empty_firm_is_told_what_to_do(signed_in: Client) -> None:
    page = signed_in.get(reverse("firm-money")).content.decode()
    assert "Nobody owes anything" in page
    assert "Give the milestones of a schedule their expected dates" in page


def many_clients(number: int) -> None:
    for _ in range(number):
        job = make_job(client=make_client(name="A client"))
        pay(job, "10.00", add_bill(job, "25.00", on=ago(40), due=ago(30)), on=ago(20))


@pytest.mark.parametrize("url", ["firm-money", "firm-figure"])
def test_the_pages_cost_as_many_queries_for_many_clients_as_for_one(signed_in: Client, url: str) -> None:
    address = reverse(url, args=["open"] if url == "firm-figure" else [])
    counts = []
    for number in (1, 7):
        many_clients(number)
        with CaptureQueriesContext(connection) as queries:
            assert signed_in.get(address).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def planned_floors() -> Iterator[Job]:
    """A signed job with a plan, then another of the same work."""
    first = signed_floor()
    yield first
    document = issue_now(another_floor(first.estimates.get()))
    sign_on_paper(document)
    create_plan(document.job, THIRDS)
    yield document.job


def test_money_to_come_costs_as_many_queries_for_many_plans_as_for_one() -> None:
    counts = []
    for job in planned_floors():
        expected(job, "Done", TODAY)
        books = read_firm_accounts().books
        with CaptureQueriesContext(connection) as queries:
            found = expected_money(books)
        counts.append((len(found), len(queries)))
    assert counts == [(3, 4), (6, 4)]
