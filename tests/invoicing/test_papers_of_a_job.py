"""The text of every PDF of a whole job, held to an own account in whole cents.

A floor at $196.80 and a change at $52.50, with 8 % sales tax on everything and 10 % held back. A part of the
first payment is billed, then the rest with the second, a credit note takes some back, the last bill asks for
all that is left, and the client pays.
"""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.changes.price import DIFFERENCE
from estimating.client.signed_copy import signed_copy
from estimating.models import ChangeOrder, Document, Job
from invoicing.models import MoneyRules
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import agreed, make_change, signed_change
from tests.invoicing.bill_pages import credit
from tests.invoicing.bills import billed, credited, signed_floor
from tests.invoicing.money_rows import pay
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db

TAX, HELD = 8, 10
FLOOR, CHANGE = 196_80, 40_00 + 12_50


def share(percent: int, cents: int) -> int:
    """A percentage in whole cents, half up."""
    return (percent * cents + 50) // 100


def usd(cents: int) -> str:
    return f"{'-' if cents < 0 else ''}${abs(cents) // 100:,}.{abs(cents) % 100:02}"


CONTRACT = FLOOR + CHANGE
CONTRACT_TAX = share(TAX, FLOOR) + share(TAX, CHANGE)
THIRD, PART, BACK = share(30, FLOOR), 40_00, 20_00
FIRST_HELD, SECOND_HELD = share(HELD, PART), share(HELD, 2 * THIRD - PART)
BACK_HELD = share(HELD, BACK)
FIRST = PART - FIRST_HELD
SECOND = 2 * THIRD - PART - SECOND_HELD
NOTE = BACK - BACK_HELD
STILL_HELD = FIRST_HELD + SECOND_HELD - BACK_HELD
LAST = BACK + FLOOR - 2 * THIRD + CHANGE + STILL_HELD
LAST_TAX = CONTRACT_TAX - share(TAX, FIRST) - share(TAX, SECOND) + share(TAX, NOTE)
TOTALS = {
    "first": FIRST + share(TAX, FIRST),
    "second": SECOND + share(TAX, SECOND),
    "note": NOTE + share(TAX, NOTE),
    "last": LAST + LAST_TAX,
}


def test_the_own_account_comes_to_the_contract() -> None:
    assert FIRST + SECOND - NOTE + LAST == CONTRACT
    assert TOTALS["first"] + TOTALS["second"] - TOTALS["note"] + TOTALS["last"] == CONTRACT + CONTRACT_TAX
    assert (CONTRACT + CONTRACT_TAX, TOTALS["last"]) == (269_24, 173_91)  # by hand


@pytest.fixture
def job() -> Job:
    MoneyRules(pk=1, late_percent=Decimal(12), returned_fee=Decimal(25)).save()
    plan = {"retainage_percent": Decimal(HELD), "changes_go": "own"}
    return signed_floor(plan=plan, tax_policy="everything", tax_percent=Decimal(TAX))


def change_of(job: Job) -> ChangeOrder:
    change = make_change(job, "More of the floor")
    agreed(change, "Second closet", "5", "sq ft", "8.00")
    change.lines.create(kind="agreed", title="Better varnish", unit=DIFFERENCE, amount=Decimal("12.50"))
    return change


def says(text: str, *sentences: str) -> None:
    missing = [sentence for sentence in sentences if sentence not in text]
    assert not missing, f"{missing} in {text}"


def test_every_paper_of_a_whole_job_says_what_the_account_says(signed_in: Client, job: Job) -> None:
    estimate = Document.objects.get(kind="estimate")
    says(
        text_of(estimate.pdf),
        f"Sales tax, 8% on all of it {usd(share(TAX, FLOOR))}",
        f"Total {usd(FLOOR + share(TAX, FLOOR))}",
        "Money that is late costs 12% a year, simple interest counted by the day from the due date.",
        "A check that your bank returns unpaid costs $25.00, once for each such check.",
    )
    says(
        text_of(signed_copy(estimate.acceptance, AT).pdf),
        f"Sum agreed to {usd(FLOOR + share(TAX, FLOOR))}",
    )
    change = signed_change(change_of(job))
    says(
        text_of(change.pdf),
        "5 sq ft at $8.00. $40.00",
        "Difference in price, as agreed. The work stays. $12.50",
        f"This change {usd(CHANGE + share(TAX, CHANGE))}",
        f"New sum {usd(CONTRACT + CONTRACT_TAX)}",
    )
    says(
        text_of(signed_copy(change.acceptance, AT).pdf),
        "signed on paper by Marisol Okonjo",
        f"Sum agreed to {usd(CHANGE + share(TAX, CHANGE))}",
    )
    first = billed(job, "Begun", part=Decimal("40.00"))
    says(
        text_of(first.pdf),
        "Invoice INV-1001",
        f"Begun, in part The floor is empty. {usd(PART)}",
        f"Retainage held back {usd(-FIRST_HELD)}",
        f"Please pay {usd(TOTALS['first'])}",
        f"Left to bill {usd(CONTRACT - FIRST)}",
    )
    second = billed(job, "Begun", "First coat", part=None)
    says(
        text_of(second.pdf),
        "Invoice INV-1002",
        f"Begun The floor is empty. {usd(THIRD - PART)}",
        f"First coat One coat is dry. {usd(THIRD)}",
        f"Please pay {usd(TOTALS['second'])}",
        "Invoice INV-1001",
        usd(TOTALS["first"]),
    )
    note = credited(second, **{"First coat": "20.00"})
    says(
        text_of(note.pdf),
        "Credit note CR-1",
        f"This credits {usd(TOTALS['note'])} of invoice INV-1002. The rest of it stands.",
        f"Credited to you {usd(TOTALS['note'])}",
    )
    last = billed(job, "First coat", "Done", f"{change}, More of the floor", part=None)
    says(
        text_of(last.pdf),
        "Invoice INV-1003",
        f"Retainage released {usd(STILL_HELD)}",
        f"Please pay {usd(TOTALS['last'])}",
        "Left to bill $0.00",
    )
    pay(job, f"{(CONTRACT + CONTRACT_TAX) / 100:.2f}", on=DAY)

    def opened(name: str, key: int, query: str = "") -> str:
        answer = signed_in.get(reverse(name, args=[key]) + query)
        assert answer.status_code == 200
        return text_of(answer.content)

    says(
        opened("receipt-pdf", last.pk),
        "Receipt for invoice INV-1003",
        "Left to pay on this bill $0.00",
    )
    says(opened("contract-pdf", job.pk), f"Contract sum to date {usd(CONTRACT + CONTRACT_TAX)}")
    span = f"?since={DAY.isoformat()}&until={DAY.isoformat()}"
    statement = opened("statement-pdf", job.client_id, span)
    says(statement, *(usd(total) for total in TOTALS.values()), usd(CONTRACT + CONTRACT_TAX))
    file = opened("job-file-pdf", job.pk)
    says(file, f"Contract sum to date, with sales tax {usd(CONTRACT + CONTRACT_TAX)}")


DEDUCT, GIVEN = 30_00, 20_00
AFTER_DEDUCT = FLOOR + share(TAX, FLOOR) - DEDUCT - share(TAX, DEDUCT)
AFTER_GIVEN = AFTER_DEDUCT - GIVEN - share(TAX, GIVEN)


def test_papers_that_take_off_the_contract_say_what_the_account_says(
    signed_in: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)
    assert (AFTER_DEDUCT, AFTER_GIVEN) == (180_14, 158_54)  # by hand
    job = signed_floor(plan={"changes_go": "own"}, tax_policy="everything", tax_percent=Decimal(TAX))
    change = make_change(job, "One coat less")
    agreed(change, "One coat less", "1", "", f"-{DEDUCT / 100:.2f}")
    says(
        text_of(signed_change(change).pdf),
        f"This change {usd(-DEDUCT - share(TAX, DEDUCT))}",
        f"New sum {usd(AFTER_DEDUCT)}",
    )
    invoice = billed(job, "Begun")
    credit(signed_in, invoice, **{"amount-0": f"{GIVEN / 100:.2f}"})
    change_paper, note = (
        Document.objects.filter(kind=kind).latest("pk") for kind in ("change_order", "credit_note")
    )
    says(
        text_of(change_paper.pdf),
        "I give up part of the price",
        f"This change {usd(-GIVEN - share(TAX, GIVEN))}",
        f"New sum {usd(AFTER_GIVEN)}",
        "I give this up of my own accord",
    )
    says(
        text_of(note.pdf),
        f"Credited to you {usd(GIVEN + share(TAX, GIVEN))}",
        "Contract sum: Estimate 1001, with 2 changes",
        f"Left to bill {usd(FLOOR - DEDUCT - THIRD)}",
    )
    statement = signed_in.get(reverse("contract-pdf", args=[job.pk]))
    says(text_of(statement.content), f"Contract sum to date {usd(AFTER_GIVEN)}")
