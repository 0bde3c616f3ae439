"""Money on the client's page of a job: bills that add up after a credit note, and a statement that was sent.

The floor is signed at $196.80: 30 % are $59.04, 30 % again, and $78.72 are left for the last milestone.
"""

import re
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Document, DocumentEvent, JobLink
from estimating.verification.documents import faults
from invoicing.bookkeeping.statement import statement_faults
from tests.estimating.client_visits import sent
from tests.estimating.issuing import DAY
from tests.invoicing.bills import billed, credited, signed_floor
from tests.invoicing.money_rows import pay
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def invoice() -> Document:
    return billed(signed_floor(), "Begun")


def job_page(address: str) -> str:
    return Client().get(address, follow=True).content.decode()


def rows_of(page: str) -> list[list[Decimal]]:
    """The sums of each row of what is owed: billed, paid, open; last the row of them all."""
    table = page.partition("What you owe")[2].partition("</table>")[0]
    rows = table.partition("<tbody>")[2].split("</tr>")
    sums = [[Decimal(sum_) for sum_ in re.findall(r">\$([\d.]+)<", row.replace(",", ""))] for row in rows]
    return [row for row in sums if row]


def test_bills_add_up_on_the_page_after_a_credit_note(signed_in: Client, invoice: Document) -> None:
    second = billed(invoice.job, "First coat")
    pay(invoice.job, "20.00", invoice, on=DAY)
    credited(invoice, Begun="9.04")
    credited(second)
    for document in (invoice, second):
        address = sent(signed_in, document)
    rows = rows_of(job_page(address))
    first, taken_back = ([Decimal(sum_) for sum_ in row] for row in (("50", "20", "30"), ("0", "0", "0")))
    assert rows == [first, taken_back, first]


def test_credit_that_the_client_holds_is_named_on_his_page(signed_in: Client, invoice: Document) -> None:
    pay(invoice.job, "60.00", invoice, on=DAY)
    page = job_page(sent(signed_in, invoice))
    assert "$0.96 is your credit." in page
    second = billed(invoice.job, "First coat")
    assert "is your credit" not in job_page(sent(signed_in, second))  # that bill has used it


def send_statement(signed_in: Client, job_of: Document, **typed: str) -> PageResponse:
    address = reverse("statement-send", args=[job_of.job.client_id])
    days = {"since": f"{DAY.replace(month=1, day=1)}", "until": f"{DAY}", "job": f"{job_of.job_id}"}
    return signed_in.post(address, days | typed)


def test_a_statement_is_sent_noted_and_stands_on_the_clients_page(
    signed_in: Client, invoice: Document
) -> None:
    pay(invoice.job, "20.00", invoice, on=DAY)
    again = [send_statement(signed_in, invoice) for _ in range(2)]
    statement = Document.objects.get(kind="statement")
    assert {answer["Location"] for answer in again} == {reverse("document-send", args=[statement.pk])}
    page = job_page(sent(signed_in, statement))
    assert "Statement 1" in page
    assert "what was billed and paid until then" in page
    assert "you owed $39.04" in mail.outbox[-1].body
    assert {*DocumentEvent.objects.filter(document=statement).values_list("kind", flat=True)} >= {"sent"}
    history = signed_in.get(reverse("job-papers", args=[invoice.job_id])).content.decode()
    assert "Statement 1 sent" in history
    [link] = JobLink.objects.get().papers.all()
    browser = Client()
    browser.get(f"/open/{link.pk}/")
    text = " ".join(text_of(bytes(statement.pdf)).split())
    assert "Statement of account 1" in text
    assert "$39.04" in text
    assert list(faults()) == []


def test_a_statement_whose_rows_do_not_come_to_its_balance_is_told(
    signed_in: Client, invoice: Document
) -> None:
    send_statement(signed_in, invoice)
    snapshot = Document.objects.get(kind="statement").read_snapshot()
    assert list(statement_faults(snapshot)) == []
    snapshot["rows"][-1]["charge"] = "1.00"
    assert len(list(statement_faults(snapshot))) == 2


def test_a_statement_of_no_days_is_refused_beside_its_fields(signed_in: Client, invoice: Document) -> None:
    answer = send_statement(signed_in, invoice, since="soon", job="999")
    assert answer.status_code == 422
    assert "Choose one of those offered." in answer.content.decode()
    assert not Document.objects.filter(kind="statement").exists()
