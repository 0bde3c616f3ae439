"""Statements and the bookkeeper's files: they agree with the accounts and with each other."""

import csv
import io
import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.documents.pdf import make_pdf
from estimating.models import Job
from estimating.snapshots.wording import DocumentParty
from invoicing.bookkeeping.job_file import job_file
from invoicing.ledger.accounts import read_books
from invoicing.models import Payment
from invoicing.payments.record import record_refund, void_payment
from invoicing.snapshots.statement import StatementHeader, statement_snapshot
from tests.drawn_once import drawn_anew
from tests.estimating.signed_kitchen import agreed, make_change, quick_line, signed_change
from tests.factories import make_client, make_firm, make_job
from tests.invoicing.bills import billed, credited, signed_floor
from tests.invoicing.money_rows import AT, TODAY, add_bill, balance_of, moved, pay
from tests.pdf_text import pages_of, text_of

pytestmark = pytest.mark.django_db

YEAR = {"since": "2026-01-01", "until": "2026-12-31", "by": "quarter"}


@pytest.fixture
def job() -> Job:
    """An invoice with tax, a credit note on part of it, two payments of which one came back, a refund."""
    job = make_job(client=make_client(name="=Marisol Okonjo"))
    invoice = add_bill(job, "1000.00", tax="80.00", on=date(2026, 2, 10), due=date(2026, 2, 20))
    add_bill(job, "100.00", tax="8.00", on=date(2026, 4, 2), credits=invoice)
    pay(job, "1000.00", on=date(2026, 5, 4))
    void_payment(pay(job, "30.00", on=date(2026, 5, 5)), date(2026, 5, 9), Payment.Why.BANK, "", "key", AT)
    record_refund(job.client, moved("20.00", on=date(2026, 6, 1), job=job), AT)
    return job


def sheet(client: Client, name: str, **span: str) -> list[dict[str, str]]:
    answer = client.get(reverse("books-file", args=[name]), YEAR | span)
    assert answer["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def summed(rows: list[dict[str, str]], column: str) -> Decimal:
    return sum((Decimal(row[column] or "0") for row in rows), Decimal(0))


def test_invoices_and_payments_sum_to_the_balance(signed_in: Client, job: Job) -> None:
    billed_rows, paid_rows = sheet(signed_in, "invoices"), sheet(signed_in, "payments")
    assert [row["total"] for row in billed_rows] == ["1080.00", "-108.00"]
    assert [row["amount"] for row in paid_rows] == ["1000.00", "30.00", "-30.00", "-20.00"]
    assert summed(billed_rows, "total") - summed(paid_rows, "amount") == balance_of(job.client) == -8


def test_no_cell_is_a_formula_to_a_spreadsheet(signed_in: Client, job: Job) -> None:
    assert sheet(signed_in, "invoices")[0]["client"] == "'=Marisol Okonjo"


def test_the_journal_balances_and_its_receivable_is_the_balance(signed_in: Client, job: Job) -> None:
    rows = sheet(signed_in, "journal")
    assert summed(rows, "debit") == summed(rows, "credit") > 0
    for entry in {row["entry"] for row in rows}:
        mine = [row for row in rows if row["entry"] == entry]
        assert summed(mine, "debit") == summed(mine, "credit")
    receivable = [row for row in rows if row["account"] == "Accounts receivable"]
    assert summed(receivable, "debit") - summed(receivable, "credit") == balance_of(job.client)


def test_sales_tax_by_quarter_is_what_was_billed_and_what_came_in(signed_in: Client, job: Job) -> None:
    """$1,080.00 - $108.00 was asked for and paid in May: all of the tax left, $72.00, came in then."""
    rows = sheet(signed_in, "sales-tax")
    assert [row["tax_billed"] for row in rows] == ["80.00", "-8.00", "0.00", "0.00"]
    assert [row["tax_paid"] for row in rows] == ["0.00", "72.00", "0.00", "0.00"]


def test_a_period_holds_both_of_its_days_and_no_others(signed_in: Client, job: Job) -> None:
    rows = sheet(signed_in, "payments", since="2026-05-05", until="2026-05-09")
    assert [row["date"] for row in rows] == ["2026-05-05", "2026-05-09"]


def test_material_of_the_year_is_cost_with_its_markup(signed_in: Client) -> None:
    """2 gal at $40.00 with 20 %."""
    signed_floor()
    (row,) = sheet(signed_in, "materials")
    assert [row[name] for name in ("material_cost", "markup", "material_price")] == [
        "80.00",
        "16.00",
        "96.00",
    ]
    assert sheet(signed_in, "materials", until="2025-12-31", since="2025-01-01") == []


def test_material_of_signed_changes_counts_and_what_is_agreed_whole_stands_apart(signed_in: Client) -> None:
    job = signed_floor()
    change = make_change(job)
    quick_line(change, "Sister one joist", "4", "26.80")
    agreed(change, "Subfloor replaced", "24", "sq ft", "14.00")
    signed_change(change)
    (row,) = sheet(signed_in, "materials")
    # 80.00 and 26.80 with 20 % on each; 24 sq ft at 14.00 were agreed whole
    assert [row[name] for name in ("material_cost", "markup", "agreed_whole")] == [
        "106.80",
        "21.36",
        "336.00",
    ]


@pytest.mark.parametrize(
    ("span", "message"),
    [
        ({"since": "2026-12-31", "until": "2026-01-01"}, "The last day is before the first"),
        ({"since": "then"}, "Type a day such as 2026-11-24"),
        ({"since": "1900-01-01"}, "more than twenty years"),
        ({"by": "decade"}, "Choose one of those offered"),
    ],
)
def test_days_that_can_t_be_are_refused_with_a_sentence(
    signed_in: Client, span: dict[str, str], message: str
) -> None:
    for address in (reverse("books"), reverse("books-file", args=["journal"])):
        answer = signed_in.get(address, YEAR | span)
        assert answer.status_code == 422
        assert message in answer.content.decode()
    assert signed_in.get(reverse("books-file", args=["gossip"]), YEAR).status_code == 404


def statement(job: Job, since: date, until: date) -> dict[str, Any]:
    head = StatementHeader(
        DocumentParty("Tolliver Room & Tile"), DocumentParty(job.client.name), since, until
    )
    return statement_snapshot(head, read_books(job.client).entries[job.client_id])


def test_a_statement_brings_forward_and_ends_on_the_balance(job: Job) -> None:
    shown = statement(job, date(2026, 4, 1), date(2026, 12, 31))
    assert [(row["charge"], row["credit"], row["balance"]) for row in shown["rows"]] == [
        ("", "", "1080.00"),
        ("", "108.00", "972.00"),
        ("", "1000.00", "-28.00"),
        ("", "30.00", "-58.00"),
        ("30.00", "", "-28.00"),
        ("20.00", "", "-8.00"),
    ]
    assert sum(Decimal(row["amount"]) for row in shown["ages"]) == Decimal(shown["balance"]) == -8
    assert shown["first_line"] == "On Thu 31 Dec 2026 we held $8.00 for you."


def test_a_statement_of_a_day_in_between_ages_what_was_open_then(job: Job) -> None:
    shown = statement(job, date(2026, 1, 1), date(2026, 3, 31))
    assert shown["ages"] == [{"label": "31 to 60 days overdue", "amount": "1080.00"}]


def test_the_statement_opens_as_a_pdf_and_refuses_days_that_can_t_be(signed_in: Client, job: Job) -> None:
    make_firm()
    url = reverse("statement-pdf", args=[job.client_id])
    assert text_of(signed_in.get(url, YEAR).content)
    answer = signed_in.get(url, YEAR | {"until": "2025-01-01"})
    assert answer.status_code == 422
    assert "turn them round" in answer.content.decode()


def test_the_account_shows_every_entry_and_leads_to_it(signed_in: Client, job: Job) -> None:
    page = signed_in.get(reverse("client-account", args=[job.client_id])).content.decode()
    for row in Payment.objects.all():
        assert f'href="{row.get_absolute_url()}"' in page
    assert "balance -$8.00" in page


def test_the_account_costs_as_many_queries_for_many_entries_as_for_one(signed_in: Client) -> None:
    few, many = make_job(), make_job()
    for job, number in ((few, 1), (many, 6)):
        for _ in range(number):
            pay(job, "10.00", add_bill(job), on=TODAY)
    counts = []
    for job in (few, many):
        with CaptureQueriesContext(connection) as queries:
            signed_in.get(reverse("client-account", args=[job.client_id]))
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_file_of_a_job_holds_what_was_signed_billed_and_paid(signed_in: Client) -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    credited(invoice)
    pay(job, "10.00", on=TODAY)
    shown = job_file(job, make_firm(), TODAY)
    assert [row["name"] for row in shown["contents"]] == ["Estimate 1001", f"{invoice}", "Credit note CR-1"]
    assert [part["article"].rpartition("/")[2] for part in shown["parts"]] == [
        "_estimate.html",
        "_signing.html",
        "_invoice.html",
        "_credit_note.html",
    ]
    pages = pages_of(make_pdf(shown))
    for row in shown["contents"]:
        found = re.search(rf"{re.escape(row['name'])}, .*? \$[\d,.]+ (\d+)", pages[0])
        assert found
        assert row["name"] in pages[int(found[1]) - 1]
    assert [(row["says"], row["amount"]) for row in shown["payments"]] == [
        ("Payment, Check; went to: $10.00 credit on account", "10.00")
    ]
    assert [photo["says"] for photo in shown["photos"]] == ["Signature on paper, Estimate 1001"]
    assert shown["contents"][1]["sha256"] == invoice.pdf_sha256
    with drawn_anew():
        assert make_pdf(shown) == make_pdf(shown)
    assert text_of(signed_in.get(reverse("job-file-pdf", args=[job.pk])).content)
