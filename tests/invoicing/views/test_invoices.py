"""Pages of bills: begun at a milestone, looked at, issued, taken back; hours and receipts of a change.

The floor is signed at $196.80; its first milestone is 30 %, $59.04.
"""

import io
import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from estimating.client.cancel import enter_cancellation
from estimating.models import Document, Job
from estimating.plain_text import day_in_words
from invoicing.models import BillDraft, Milestone, PlacedPart
from invoicing.payment_plan.templates import create_plan
from jobsite.models import HoursWorked, ReceiptKept
from tests.drawn_once import drawn
from tests.estimating.client_visits import sent, sign, visit
from tests.estimating.issuing import AT, DAY, another_floor
from tests.estimating.signed_kitchen import make_change, photo, quick_line, sign_on_paper, signed_change
from tests.invoicing.bill_pages import key_of
from tests.invoicing.bills import THIRDS, billed, credited, milestone, reach, signed_floor
from tests.invoicing.money_rows import pay
from tests.invoicing.official_rules import cii_faults, ubl_faults
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(signed_in: Client) -> Job:
    """Signed at the firm's own place, so that there is no right to cancel it."""
    return signed_floor(signing_place="ours")


def start(client: Client, job: Job, name: str = "Begun") -> PageResponse:
    reach(job, name)
    typed = {"milestone": milestone(job, name).pk}
    return client.post(reverse("bill-start", args=[job.pk]), typed, follow=True)


def issue(client: Client, job: Job, key: str) -> PageResponse:
    return client.post(reverse("bill-issue", args=[job.pk]), {"key": key})


def test_a_milestone_is_billed_and_sent_in_four_taps(signed_in: Client, job: Job) -> None:
    reach(job, "Begun")
    money = signed_in.get(reverse("job-money", args=[job.pk])).content.decode()
    assert "Bill it" in money
    draft = start(signed_in, job)
    assert "$59.04" in draft.content.decode()
    assert "$137.76 of $196.80" in draft.content.decode()
    answer = issue(signed_in, job, key_of(draft))
    invoice = Document.objects.get(kind="invoice")
    assert answer["Location"] == reverse("document-send", args=[invoice.pk])
    link = sent(signed_in, invoice)
    assert [name for name, *_ in mail.outbox[0].attachments] == ["invoice-inv-1001-okonjo-kitchen.pdf"]
    browser, address = visit(link)
    client_page = browser.get(address).content.decode()
    assert 'Please pay</p><p class="sum">$59.04</p>' in client_page
    assert "Ask a question" in client_page
    assert "Decline" not in client_page
    assert 'id="sign"' not in client_page
    assert sign(browser, address, "59.04").status_code == 409


def test_the_client_s_page_of_a_bill_says_what_is_paid_of_it(signed_in: Client, job: Job) -> None:
    invoice = billed(job, "Begun")
    browser, address = visit(sent(signed_in, invoice))
    assert "left to pay" not in browser.get(address).content.decode()
    pay(job, "50.00")
    assert "$50.00 is paid; $9.04 is left to pay." in browser.get(address).content.decode()
    credited(invoice, Begun="4.04")
    pay(job, "5.00")
    page = browser.get(address).content.decode()
    assert "$55.00 is paid and $4.04 is credited; nothing is left to pay. Thank you." in page


def test_what_changed_since_he_looked_is_not_issued_unseen(signed_in: Client, job: Job) -> None:
    key = key_of(start(signed_in, job))
    BillDraft.objects.update(note="Paint bought, too.")
    answer = issue(signed_in, job, key)
    assert answer.status_code == 409
    assert "Something in it changed" in answer.content.decode()
    assert not Document.objects.filter(kind="invoice").exists()


def test_a_second_tap_leads_to_the_invoice_of_the_first(signed_in: Client, job: Job) -> None:
    key = key_of(start(signed_in, job))
    issue(signed_in, job, key)
    invoice = Document.objects.get(kind="invoice")
    assert issue(signed_in, job, key)["Location"] == invoice.get_absolute_url()


def test_a_second_milestone_joins_the_bill_being_written(signed_in: Client, job: Job) -> None:
    start(signed_in, job)
    assert "$118.08" in start(signed_in, job, "First coat").content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "message"),
    [
        ("due_on", "2020-01-31", "Fri 31 Jan 2020 is past"),
        ("due_on", "soon", "Type a day such as 2026-11-24"),
        ("deposit", "100.01", "Type $0.00 to $100.00, or leave it empty."),
        ("deposit", "-5", ""),
        ("milestones", "", "Tick at least one milestone."),
        ("milestones", "999999", "Choose one of those offered"),
    ],
)
def test_bad_input_is_said_at_its_field_and_kept(
    signed_in: Client, field: str, typed: str, message: str
) -> None:
    job = signed_floor(plan={"deposit": Decimal(100)}, signing_place="ours")
    billed(job, kind=BillDraft.Kind.DEPOSIT)
    reach(job, "First coat")
    draft = start(signed_in, job)
    ticked = [f"{milestone(job, 'Begun').pk}"]
    entered = {name: value for name, value in {"milestones": ticked, field: typed}.items() if value}
    answer = signed_in.post(draft.request["PATH_INFO"], entered | {"note": "x"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert message in page
    assert field == "milestones" or f'value="{typed}"' in page
    assert not BillDraft.objects.get().due_on


def test_his_due_date_words_and_deposit_go_on_the_bill(signed_in: Client) -> None:
    job = signed_floor(plan={"deposit": Decimal(100)}, signing_place="ours")
    billed(job, kind=BillDraft.Kind.DEPOSIT)
    draft = start(signed_in, job)
    due = timezone.localdate() + timedelta(days=20)
    typed = {"due_on": due.isoformat(), "deposit": "9.04", "note": "Thank you for the coffee."}
    page = signed_in.post(draft.request["PATH_INFO"], typed, follow=True)
    assert issue(signed_in, job, key_of(page)).status_code == 302
    shown = Document.objects.latest("pk").read_snapshot()
    assert (shown["due_on"], shown["total"]) == (due.isoformat(), "50.00")
    assert shown["note"] == ["Thank you for the coffee."]


def test_nothing_of_the_deposit_is_taken_off_where_he_types_zero(signed_in: Client) -> None:
    job = signed_floor(plan={"deposit": Decimal(100)})
    billed(job, kind=BillDraft.Kind.DEPOSIT)
    draft = start(signed_in, job)
    page = signed_in.post(draft.request["PATH_INFO"], {"deposit": "0"}, follow=True).content.decode()
    assert "<strong>$59.04</strong>" in page
    assert 'value="0.00"' in page


def test_what_stands_in_the_way_is_said_on_the_bill(signed_in: Client, job: Job) -> None:
    draft = start(signed_in, job)
    reach(job, "Begun", on=None)
    page = signed_in.get(draft.request["PATH_INFO"]).content.decode()
    assert "Begun isn&#x27;t complete yet" in page
    assert "Issue this invoice" not in page


def test_a_bill_is_thrown_away(signed_in: Client, job: Job) -> None:
    start(signed_in, job)
    signed_in.post(reverse("bill-discard", args=[job.pk]))
    assert not BillDraft.objects.exists()
    assert (
        "No bill is being written"
        in signed_in.get(reverse("bill", args=[job.pk]), follow=True).content.decode()
    )


def test_the_page_of_an_invoice_says_what_is_paid_and_credited(signed_in: Client, job: Job) -> None:
    invoice = billed(job, "Begun")
    credited(invoice, Begun="9.04")
    page = signed_in.get(invoice.get_absolute_url()).content.decode()
    assert "<dt>Credited</dt><dd>$9.04</dd>" in page
    assert "<strong>$50.00</strong>, due" in page
    assert "Withdraw" not in page
    assert "Signed on paper" not in page


def test_part_of_an_invoice_is_taken_back_on_its_page(signed_in: Client, job: Job) -> None:
    invoice = billed(job, "Begun")
    address = reverse("credit-new", args=[invoice.pk])
    assert 'value="59.04"' not in signed_in.get(address).content.decode()
    typed = {"kind": "mistake", "amount-0": "9.04", "note": "Nine dollars too many."}
    question = signed_in.post(address, typed)
    assert "Issue this credit note?" in question.content.decode()
    assert not Document.objects.filter(kind="credit_note").exists()
    signed_in.post(address, {**typed, "key": key_of(question)})
    note = Document.objects.get(kind="credit_note")
    assert (note.total.amount, note.read_snapshot()["note"]) == (Decimal("9.04"), ["Nine dollars too many."])
    assert "It takes $9.04 off" in signed_in.get(note.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"note": "x"}, "Choose one."),
        ({"amount-0": "9.04", "note": "x", "everything": "on"}, "not both."),
        ({"amount-0": "59.05", "note": "x"}, "Only $59.04 is left of it: type that or less."),
        ({"amount-0": "0", "note": "x"}, "Nothing is credited"),
        ({"amount-0": "nine", "note": "x"}, "nine"),
        ({"amount-0": "9.04", "note": ""}, "Fill this in."),
    ],
)
def test_a_credit_note_that_cannot_be_is_refused_at_its_field(
    signed_in: Client, job: Job, typed: dict[str, str], message: str
) -> None:
    kind = {} if "Choose one." in message else {"kind": "mistake"}
    answer = signed_in.post(reverse("credit-new", args=[billed(job, "Begun").pk]), kind | typed)
    assert answer.status_code == 422
    assert message in answer.content.decode()


def test_the_xml_can_be_fetched_in_both_syntaxes_and_keeps_the_official_rules(
    signed_in: Client,
) -> None:
    job = signed_floor(tax_policy="materials", tax_percent=Decimal("6.5"), plan={"retainage_percent": 10})
    invoice = billed(job, "Begun", "First coat")
    note = credited(invoice, Begun="9.04")
    for document in (invoice, note):
        cii, ubl = (
            signed_in.get(reverse("invoice-xml", args=[document.pk, syntax])) for syntax in ("cii", "ubl")
        )
        assert cii_faults(cii.content) == []
        assert ubl_faults(ubl.content) == []
        assert f">{document}<".encode() in cii.content
        assert ubl["Content-Disposition"].startswith("attachment")


def test_a_bill_of_another_sort_says_which_one_it_takes_the_place_of(signed_in: Client) -> None:
    job = signed_floor({"deposit": Decimal("50.00")})
    reach(job, "Begun")
    start(signed_in, job, "Begun")
    url = reverse("bill-start", args=[job.pk])
    page = signed_in.post(url, {"kind": "deposit"}, follow=True).content.decode()
    assert "takes the place of the one that was begun: work that is done." in page
    assert BillDraft.objects.get(job=job).kind == BillDraft.Kind.DEPOSIT
    assert "takes the place" not in signed_in.post(url, {"kind": "deposit"}, follow=True).content.decode()


def test_after_a_cancellation_the_page_says_what_to_do_about_what_is_billed(
    signed_in: Client, job: Job
) -> None:
    message = "belongs to a contract that no longer counts"
    invoice = billed(job, "Begun")
    page = reverse("job-money", args=[job.pk])
    assert message not in signed_in.get(page).content.decode()
    enter_cancellation(job.documents.get(kind="estimate"), "Marisol Okonjo", DAY, "By mail", "pat", AT)
    assert message in signed_in.get(page).content.decode()
    credited(invoice)
    assert message not in signed_in.get(page).content.decode()


def test_the_list_of_bills_says_which_are_paid_and_which_were_taken_back(signed_in: Client, job: Job) -> None:
    def listed() -> list[str]:
        page = signed_in.get(reverse("job-money", args=[job.pk])).content.decode()
        rows = page.partition('id="invoices"')[2].partition("</ul>")[0].split("<li>")[1:]
        return [row.partition("<small>")[2].partition("</small>")[0].partition(", ")[2] for row in rows]

    credited(billed(job, "Begun"))
    pay(job, "19.04", billed(job, "Begun"))
    billed(job, "First coat")
    credit = "credits Invoice INV-1001, issued, not sent"
    voided = "issued, not sent, credited"
    assert listed() == ["issued, not sent", "issued, not sent, $40.00 open", credit, voided]
    pay(job, "40.00")
    assert listed() == ["issued, not sent", "issued, not sent, paid", credit, voided]


def test_a_receipt_is_there_once_all_is_paid(signed_in: Client, job: Job) -> None:
    invoice = billed(job, "Begun")
    address = reverse("receipt-pdf", args=[invoice.pk])
    assert signed_in.get(address).status_code == 404
    typed = {"once": "one-tap", "amount": "59.04"}
    signed_in.post(reverse("invoice-paid", args=[invoice.pk]), typed)
    assert "Receipt (PDF)" in signed_in.get(invoice.get_absolute_url()).content.decode()
    receipt = signed_in.get(address).content
    assert "59.04" in text_of(receipt)
    (page,) = PdfReader(io.BytesIO(drawn(receipt))).pages
    assert page.mediabox.height == 5.5 * 72  # half a sheet


@pytest.fixture
def by_the_hour(signed_in: Client, job: Job) -> Document:
    """A change by hours and receipts: at most 4 hours and $26.80 of material."""
    change = make_change(job)
    quick_line(change, "Sister one joist, 8 ft", "4", "26.80", at_most=True)
    return signed_change(change)


@pytest.fixture
def enter(signed_in: Client, job: Job, by_the_hour: Document) -> Callable[..., PageResponse]:
    address = reverse("measured", args=[job.pk, by_the_hour.pk])
    return lambda **typed: signed_in.post(address, typed, follow=True)


def enter_forty_hours(enter: Callable[..., PageResponse]) -> None:
    for days_ago in range(1, 6):
        day = timezone.localdate() - timedelta(days=days_ago)
        enter(**{"entry": "hours", "h-on": day.isoformat(), "h-worked": "8"})


def test_hours_of_a_change_keep_to_the_rules_of_all_hours(
    enter: Callable[..., PageResponse], job: Job
) -> None:
    """What is kept of the day on any job counts: nobody is at two places, and a day has 24 hours."""
    day = timezone.localdate()
    other = {"job": job, "for_job": "quoting", "on": day}
    HoursWorked.objects.create(**other, hours=Decimal(4), spans="08:00-12:00")
    HoursWorked.objects.create(**other, hours=Decimal(17))
    typed = {"entry": "hours", "h-on": day.isoformat()}
    said = enter(**typed, **{"h-worked": "11:30-12:30"}).content.decode()
    assert "overlaps 8:00 AM to 12:00 PM" in said
    assert "A day has 24" in enter(**typed, **{"h-worked": "3:30"}).content.decode()
    assert enter(**typed, **{"h-worked": "12:00-1:00, 2:00-3:00"}).status_code == 200
    row = HoursWorked.objects.latest("pk")
    assert (row.hours, row.spans) == (2, "12:00-13:00 14:00-15:00")


def test_hours_and_a_receipt_that_are_sent_twice_are_kept_once(enter: Callable[..., PageResponse]) -> None:
    """The answer was lost, or the phone sends again: each page's form has a key of its own."""
    today = timezone.localdate().isoformat()
    hours = {"entry": "hours", "h-on": today, "h-worked": "1.5", "h-says": "Sister the joist"}
    receipt = {"entry": "receipt", "r-on": today, "r-says": "One joist", "r-cost": "20.00"}
    for key in ("first page", "first page", "second page"):
        enter(**hours, form_key=f"{key}, hours")
        enter(**receipt, form_key=f"{key}, receipt")
    assert (HoursWorked.objects.count(), ReceiptKept.objects.count()) == (2, 2)


def test_hours_and_receipts_are_billed_as_they_come_up_to_the_limit(
    signed_in: Client, job: Job, by_the_hour: Document, enter: Callable[..., PageResponse]
) -> None:
    today = timezone.localdate().isoformat()
    own = milestone(job, "Change order 1, Rotten subfloor")
    reach(job, own.name)
    assert "Bill it" not in signed_in.get(reverse("job-money", args=[job.pk])).content.decode()
    enter(**{"entry": "hours", "h-on": today, "h-worked": "1.5", "h-says": "Sister the joist"})
    page = enter(**{"entry": "receipt", "r-on": today, "r-says": "One joist", "r-cost": "20.00"})
    # 1.5 hours at 70.00 with 20 % are 126.00, 20.00 with 20 % are 24.00
    assert "$126.00" in page.content.decode()
    assert "$24.00" in page.content.decode()
    draft = start(signed_in, job, own.name)
    assert "So far 1.5 hours at $84.00 and receipts of $20.00 with 20% on top" in draft.content.decode()
    assert "$150.00" in draft.content.decode()
    issue(signed_in, job, key_of(draft))
    enter_forty_hours(enter)
    invoice = Document.objects.get(kind="invoice")
    assert invoice.total.amount == Decimal("150.00")
    day = day_in_words(timezone.localdate())
    said = text_of(invoice.pdf)
    assert f"{day}: 1.5 hours, Sister the joist $126.00" in said
    assert f"{day}: One joist, receipt of $20.00 $24.00" in said
    # The limit is 4 hours and 26.80: 336.00 + 32.16
    rest = " ".join(start(signed_in, job, own.name).content.decode().split())
    assert "$218.16" in rest
    assert 'Billed before</th><td class="money">-$150.00' in rest
    assert "Above the limit that was signed, not billed" in rest


def test_a_change_by_the_hour_is_settled_at_what_it_came_to_and_raised_again(
    signed_in: Client, job: Job, by_the_hour: Document, enter: Callable[..., PageResponse]
) -> None:
    today = timezone.localdate().isoformat()
    address = reverse("measured-settle", args=[job.pk, by_the_hour.pk])
    enter(**{"entry": "hours", "h-on": today, "h-worked": "2"})
    # 2 hours at 70.00 with 20 % are 168.00, of a limit of 368.16; the contract is 196.80 with that
    assert "settled at $168.00" in signed_in.post(address, follow=True).content.decode()
    money = signed_in.get(reverse("job-money", args=[job.pk])).content.decode()
    assert "$364.80" in money
    enter(**{"entry": "hours", "h-on": today, "h-worked": "1"})
    assert "settled at $252.00" in signed_in.post(address, follow=True).content.decode()
    enter_forty_hours(enter)
    assert "settled at $368.16" in signed_in.post(address, follow=True).content.decode()


def test_papers_and_money_say_the_same_once_work_by_the_hour_is_settled(signed_in: Client) -> None:
    """Hours of $168.00 of a limit of $336.00, all of it taxed at 8 %: $196.80 + $168.00 + $29.18."""
    job = signed_floor(tax_policy="everything", tax_percent=8)
    change = make_change(job)
    quick_line(change, "Sister one joist, 8 ft", "4", at_most=True)
    paper = signed_change(change)
    HoursWorked.objects.create(job=job, document=paper, on=timezone.localdate(), hours=Decimal(2))
    signed_in.post(reverse("measured-settle", args=[job.pk, paper.pk]))
    money = signed_in.get(reverse("job-money", args=[job.pk])).content.decode()
    rows = re.findall(
        r"\$([\d,.]+)</td>", money.partition("What the schedule sums to")[2].partition("</table>")[0]
    )
    assert rows == ["196.80", "168.00", "364.80", "29.18", "393.98"]
    assert "<small>$168.00 entered, settled at $168.00</small>" in money
    papers = signed_in.get(reverse("job-papers", args=[job.pk])).content.decode()
    assert '<td class="num" id="contract-sum"><strong>$393.98</strong>' in papers
    # The limit with its tax is 362.88, so 181.44 fall away.
    assert "by the hour: came to $168.00 of at most $336.00, before tax" in papers
    assert "-$181.44" in papers
    statement = signed_in.get(reverse("contract-pdf", args=[job.pk])).content
    assert "Contract sum to date $393.98" in text_of(statement)


def test_where_only_material_is_taxed_the_hours_of_a_change_are_not(signed_in: Client) -> None:
    """168.00 of hours without tax, then 24.00 of material with 10 %: 20.00 with 20 % on top."""
    job = signed_floor(tax_policy="materials", tax_percent=Decimal(10))
    change = make_change(job)
    quick_line(change, "Sister one joist, 8 ft", "4", "26.80", at_most=True)
    paper = signed_change(change)
    own = "Change order 1, Rotten subfloor"
    row = {"job": job, "document": paper, "on": timezone.localdate()}
    HoursWorked.objects.create(hours=Decimal(2), **row)
    assert billed(job, own).total.amount == Decimal("168.00")
    ReceiptKept.objects.create(says="One joist", cost=Decimal("20.00"), **row)
    assert billed(job, own).total.amount == Decimal("26.40")
    settle = reverse("measured-settle", args=[job.pk, paper.pk])
    assert "settled at $192.00" in signed_in.post(settle, follow=True).content.decode()
    assert f"{PlacedPart.objects.get().taxable}" == "$24.00"


def test_an_entry_that_is_billed_stays(
    signed_in: Client, job: Job, by_the_hour: Document, enter: Callable[..., PageResponse]
) -> None:
    own = milestone(job, "Change order 1, Rotten subfloor")
    enter(**{"entry": "hours", "h-on": timezone.localdate().isoformat(), "h-worked": "2"})
    row = HoursWorked.objects.get()
    billed(job, own.name)
    address = reverse("measured-remove", args=[job.pk, by_the_hour.pk])
    assert (
        "Give a credit note first" in signed_in.post(address, {"hours": row.pk}, follow=True).content.decode()
    )
    assert HoursWorked.objects.count() == 1


def test_an_entry_that_is_not_billed_is_taken_off(
    signed_in: Client, job: Job, by_the_hour: Document, enter: Callable[..., PageResponse]
) -> None:
    enter(**{"entry": "receipt", "r-on": timezone.localdate().isoformat(), "r-says": "Nails", "r-cost": "5"})
    signed_in.post(
        reverse("measured-remove", args=[job.pk, by_the_hour.pk]), {"receipt": ReceiptKept.objects.get().pk}
    )
    assert not ReceiptKept.objects.exists()


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ({"entry": "hours", "h-on": "2999-01-01", "h-worked": "1"}, "still to come"),
        ({"entry": "hours", "h-on": "2026-11-24", "h-worked": "0"}, "h-worked"),
        ({"entry": "hours", "h-on": "2026-11-24", "h-worked": "many"}, "many"),
        ({"entry": "receipt", "r-on": "2026-11-24", "r-says": "", "r-cost": "5"}, "Fill this in."),
        ({"entry": "receipt", "r-on": "", "r-says": "Nails", "r-cost": "-5"}, "Nails"),
    ],
)
def test_an_entry_that_cannot_be_is_refused_at_its_field(
    enter: Callable[..., PageResponse], typed: dict[str, str], message: str
) -> None:
    answer = enter(**typed)
    assert answer.status_code == 422
    assert message in answer.content.decode()
    assert not HoursWorked.objects.exists()
    assert not ReceiptKept.objects.exists()


def test_another_jobs_rows_are_not_reached_through_this_one(
    signed_in: Client, job: Job, by_the_hour: Document
) -> None:
    other = another_floor(job.estimates.get(change=None)).job
    create_plan(other, THIRDS)
    theirs = milestone(other, "Begun")
    assert signed_in.post(reverse("bill-start", args=[job.pk]), {"milestone": theirs.pk}).status_code == 404
    assert signed_in.get(reverse("measured", args=[other.pk, by_the_hour.pk])).status_code == 404
    row = HoursWorked.objects.create(job=job, document=by_the_hour, on="2026-11-24", hours=1)
    remove = reverse("measured-remove", args=[other.pk, by_the_hour.pk])
    assert signed_in.post(remove, {"hours": row.pk}).status_code == 404
    estimate = Document.objects.filter(kind="estimate").first()
    for name in ("credit-new", "receipt-pdf"):
        assert signed_in.get(reverse(name, args=[estimate.pk])).status_code == 404
    assert signed_in.get(reverse("invoice-xml", args=[estimate.pk, "cii"])).status_code == 404


def test_nobody_bills_without_signing_in(job: Job) -> None:
    for name in ("bill", "bill-pdf"):
        assert Client().get(reverse(name, args=[job.pk])).status_code == 302


def test_the_money_page_costs_no_more_queries_with_more_bills(
    signed_in: Client, job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    address = reverse("job-money", args=[job.pk])
    billed(job, "Begun")
    with django_assert_max_num_queries(200) as few:
        signed_in.get(address)
    credited(billed(job, "First coat"), **{"First coat": "1.00"})
    with django_assert_max_num_queries(len(few.captured_queries)):
        signed_in.get(address)


def test_the_bill_costs_no_more_queries_with_more_milestones(
    signed_in: Client, job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    start(signed_in, job)
    address = start(signed_in, job, "First coat").request["PATH_INFO"]
    with django_assert_max_num_queries(200) as few:
        signed_in.get(address)
    at_first = len(few)
    start(signed_in, job, "Done")
    with django_assert_max_num_queries(at_first):
        signed_in.get(address)


def test_the_page_of_an_invoice_costs_no_more_queries_with_more_credit_notes(
    signed_in: Client, job: Job, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    invoice = billed(job, "Begun")
    credited(invoice, Begun="1.00")
    with django_assert_max_num_queries(200) as few:
        signed_in.get(invoice.get_absolute_url())
    credited(invoice, Begun="2.00")
    credited(invoice, Begun="3.00")
    with django_assert_max_num_queries(len(few.captured_queries)):
        signed_in.get(invoice.get_absolute_url())


def deposit_of(job: Job) -> Milestone:
    """The first milestone, asked for before the work, with the condition that the firm likes to write."""
    row = milestone(job, "Begun")
    Milestone.objects.filter(pk=row.pk).update(
        is_deposit=True, condition="Contract signed, the cancel period is over."
    )
    return milestone(job, "Begun")


def bill_of(client: Client, job: Job, row: Milestone) -> PageResponse:
    return client.post(reverse("bill-start", args=[job.pk]), {"milestone": row.pk}, follow=True)


def test_a_condition_that_isn_t_on_record_is_asked_about_and_not_stated(signed_in: Client, job: Job) -> None:
    row = deposit_of(job)
    page = bill_of(signed_in, job, row)
    assert "Nothing on record says that this is so" in page.content.decode()
    key = key_of(page)
    refused = issue(signed_in, job, key)
    assert refused.status_code == 409
    assert "Tick that you ask for it all the same" in refused.content.decode()
    signed_in.post(reverse("bill-issue", args=[job.pk]), {"key": key, "sure": "on"})
    assert "cancel period" not in text_of(Document.objects.get(kind="invoice").pdf)


def test_a_condition_on_record_is_stated_without_a_question(signed_in: Client, job: Job) -> None:
    row = deposit_of(job)
    reach(job, row.name)
    page = bill_of(signed_in, job, row)
    assert "Too early?" not in page.content.decode()
    issue(signed_in, job, key_of(page))
    assert "the cancel period is over" in text_of(Document.objects.get(kind="invoice").pdf)


def test_while_the_client_can_cancel_a_bill_is_asked_about(signed_in: Client) -> None:
    job = signed_floor(signing_place="home", sign=False)
    estimate = Document.objects.get(job=job)
    acceptance = sign_on_paper(estimate, on=timezone.localdate())
    last_day = estimate.cancel_by()
    assert last_day
    last = day_in_words(last_day)
    page = start(signed_in, job)
    assert f"Your client can cancel Estimate 1001 until midnight of {last}" in page.content.decode()
    assert issue(signed_in, job, key_of(page)).status_code == 409
    assert acceptance.signed_on == timezone.localdate()
    signed_in.post(reverse("bill-issue", args=[job.pk]), {"key": key_of(page), "sure": "on"})
    assert Document.objects.filter(kind="invoice").exists()


def test_an_invoice_says_what_is_open_of_earlier_ones(signed_in: Client, job: Job) -> None:
    first = billed(job, "Begun")
    pay(job, "50.00")
    second = billed(job, "First coat")
    assert "Open of earlier invoices" not in text_of(first.pdf)
    said = text_of(second.pdf)
    due = day_in_words(date.fromisoformat(first.read_snapshot()["due_on"]))
    assert f"Invoice INV-1001, due {due} $9.04" in said
    assert "With this bill $68.08" in said
    pay(job, "68.08")
    assert "Open of earlier invoices" not in text_of(billed(job, "Done").pdf)


def test_photos_of_a_reached_milestone_are_on_its_bill(signed_in: Client, job: Job) -> None:
    row = milestone(job, "Begun")
    row.photos.create(content=photo().getvalue(), sha256="0" * 64)
    page = start(signed_in, job).content.decode()
    assert "Begun, photo 1" in page
    invoice = billed(job, "Begun")
    said = text_of(invoice.pdf)
    assert "What can be seen" in said
    assert "Begun, photo 1" in said
    browser, address = visit(sent(signed_in, invoice))
    assert "data:image/jpeg" in browser.get(address).content.decode()
