"""A kitchen billed to its last cent on a phone: five milestones, a change, a partial payment, a check that
bounced, a credit note, retainage released. Every figure on pages, PDFs, XML and files is held to a sum
that this test works out for itself, in whole cents.
"""

import csv
import io
import re
import subprocess
from dataclasses import dataclass, field
from xml.etree import ElementTree

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Locator, Page, expect

from estimating.models import Document, Job
from estimating.verification.documents import faults
from tests.drawn_once import drawn
from tests.estimating.signed_kitchen import (
    agreed,
    issued_now,
    kitchen_estimate,
    make_change,
    sign_on_paper,
    signed_change,
)
from tests.factories import make_firm
from tests.invoicing.official_rules import cii_faults, ubl_faults
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.every_database, pytest.mark.django_db(transaction=True)]

CHANGE = "Change order 1, Subfloor replaced"
CHANGE_CENTS = 24 * 1400  # 24 sq ft at $14.00
TAX_PER_MILLE = 65
HELD_PERCENT = 10


def half_up(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)


def tax_on(cents: int) -> int:
    return half_up(cents * TAX_PER_MILLE, 1000)


def shares(cents: int, percents: tuple[int, ...]) -> list[int]:
    """Whole cents by percentages; those left over go to the largest remainders, ties to the last."""
    parts = [cents * percent // 100 for percent in percents]
    by_remainder = sorted(range(len(percents)), key=lambda part: (-(cents * percents[part] % 100), -part))
    for part in by_remainder[: cents - sum(parts)]:
        parts[part] += 1
    return parts


def usd(cents: int) -> str:
    return f"{'-' if cents < 0 else ''}${abs(cents) // 100:,}.{abs(cents) % 100:02}"


def plain(cents: int) -> str:
    return f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02}"


@dataclass
class ExpectedBill:
    """What a bill must come to; a credit note's amounts are those that it takes back."""

    name: str
    lines: dict[str, int]
    tax: int
    before: int
    left: int

    @property
    def net(self) -> int:
        return sum(self.lines.values())

    @property
    def total(self) -> int:
        return self.net + self.tax

    @property
    def sign(self) -> int:
        return -1 if self.name.startswith("Credit") else 1


@dataclass
class Sums:
    """The test's own account of the contract, in cents."""

    contract: int
    bills: list[ExpectedBill] = field(default_factory=list)

    def bill(self, name: str, lines: dict[str, int], tax: int | None = None) -> ExpectedBill:
        before = sum(bill.sign * bill.net for bill in self.bills)
        net = sum(lines.values())
        sign = -1 if name.startswith("Credit") else 1
        tax = tax_on(net) if tax is None else tax
        self.bills.append(ExpectedBill(name, lines, tax, before, self.contract - before - sign * net))
        return self.bills[-1]

    def of(self, name: str) -> int:
        """The sum of "net", "tax" or "total" of all bills, credit notes taken off."""
        return sum(bill.sign * getattr(bill, name) for bill in self.bills)


@pytest.fixture
def job(transactional_db: None) -> Job:
    """The kitchen, signed, with 6.5 % sales tax on everything."""
    estimate = kitchen_estimate()
    make_firm(tax_permit="ST-555-0142", license="Registration TRT-0142")
    Job.objects.filter(pk=estimate.job_id).update(
        tax_policy="everything", tax_percent="6.5", signing_place="ours"
    )
    estimate.job.refresh_from_db()
    document = issued_now(estimate)
    sign_on_paper(document)
    return document.job


def to_money(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/money/")
    expect(page.get_by_role("heading", name="Invoices")).to_be_visible()


def reach(page: Page, job: Job, *names: str) -> None:
    for name in names:
        to_money(page, job)
        page.get_by_role("link", name=re.compile(f"Mark complete.*{name}")).click()
        page.get_by_role("button", name="Mark it complete").click()
        expect(page.get_by_text(f"{name} is complete")).to_be_visible()


def bill(page: Page, job: Job, expected: ExpectedBill, *names: str) -> None:
    """Bill milestones that are reached, look, issue and send."""
    for name in names:
        to_money(page, job)
        page.get_by_role("button", name=f"Bill it {name}", exact=True).click()
        expect(page.get_by_role("heading", name="Bill this work")).to_be_visible()
    issue_and_send(page, expected)


def issue_and_send(page: Page, expected: ExpectedBill) -> None:
    expect(page.locator("dd", has_text=usd(expected.total)).first).to_be_visible()
    if not expected.before:
        is_sound(page)
    asked = page.get_by_label("I ask for it now all the same")
    if not expected.before:
        expect(page.get_by_text("Nothing on record says that this is so")).to_be_visible()
        asked.check()
    else:
        expect(asked).to_have_count(0)
    page.get_by_role("button", name="Issue this invoice").click()
    expect(page.get_by_role("heading", name=f"Send {expected.name}")).to_be_visible()
    page.get_by_role("button", name="Send to client").click()
    expect(page.get_by_role("heading", name="On its way to the client")).to_be_visible()


def measure(page: Page, place: str, name: str) -> Locator:
    named = page.locator("dt", has_text=re.compile(f"^{name}"))
    return page.locator(f"{place} .measures > div").filter(has=named).locator("dd")


def take_payment(page: Page, job: Job, cents: int, *invoices: str) -> None:
    to_money(page, job)
    page.get_by_role("link", name="Take a payment").click()
    page.get_by_label("Amount").fill(plain(cents))
    page.get_by_label("Check or reference number").fill("1042")
    for name in invoices:
        page.get_by_label(re.compile(f"{name},")).check()
    page.get_by_role("button", name="Enter the payment").click()
    expect(page.get_by_text(f"{usd(cents)} from")).to_be_visible()


def draw_plan(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/money/")
    page.get_by_role("button", name="Set up the schedule").click()
    page.get_by_role("link", name="Deposit, retainage, changes").click()
    page.get_by_label("Held back from each bill").fill(f"{HELD_PERCENT}")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text(f"{HELD_PERCENT}% of each bill for work is held back")).to_be_visible()


def credit_part(page: Page, expected: ExpectedBill, of: Document, cents: int) -> None:
    page.goto(of.get_absolute_url())
    page.get_by_role("link", name="Credit it").click()
    expect(page.get_by_label("Of Floor set")).to_have_value("")
    page.get_by_label("Billed by mistake").check()
    page.get_by_label(f"Of {CHANGE}").fill(plain(cents))
    page.get_by_label("Why, as the client reads it").fill("One sheet less was replaced.")
    is_sound(page)
    page.get_by_role("button", name="See the credit note").click()
    expect(page.get_by_role("heading", name="Issue this credit note?")).to_be_visible()
    expect(page.locator("dd", has_text=usd(expected.total)).first).to_be_visible()
    is_sound(page)
    page.get_by_role("button", name="Issue the credit note").click()
    expect(page.get_by_role("heading", name=expected.name, exact=True)).to_be_visible()


def test_a_kitchen_is_billed_to_the_last_cent(phone: Page, job: Job, signed_in: Client) -> None:
    page, since = phone, timezone.localdate()
    rows = job.documents.get().read_snapshot()["prices"]
    signed = sum(int(row["price"].replace(".", "")) for row in rows)
    deposit, drywall, floor, cabinets, punch = shares(signed, (10, 25, 25, 30, 10))
    sums = Sums(signed)

    draw_plan(page, job)
    is_sound(page)
    for name, cents in (
        ("Deposit at signing", deposit),
        ("Drywall finished", drywall),
        ("Punch list done", punch),
    ):
        expect(page.locator(".milestones tbody tr", has_text=name).locator(".num").last).to_have_text(
            usd(cents)
        )

    def held(*cents: int) -> int:
        return half_up(sum(cents) * HELD_PERCENT, 100)

    keeps = "Retainage held back"
    first = sums.bill("Invoice INV-1001", {"Deposit at signing": deposit})
    bill(page, job, first, "Deposit at signing")
    take_payment(page, job, 100000, "Invoice INV-1001")  # a part of it

    reach(page, job, "Drywall finished")
    second = sums.bill("Invoice INV-1002", {"Drywall finished": drywall, keeps: -held(drywall)})
    bill(page, job, second, "Drywall finished")
    to_money(page, job)
    page.get_by_role("button", name=re.compile("^Paid in full.*Invoice INV-1002")).click()
    expect(page.get_by_text("Invoice INV-1002 is paid in full")).to_be_visible()
    page.locator("#payments .rows").last.get_by_role("link", name=re.compile("^Payment")).first.click()
    page.get_by_role("link", name="Void it").click()
    page.get_by_label("The bank returned it").check()
    page.get_by_role("button", name="Void it").click()
    expect(page.get_by_text("What it had paid is open again.")).to_be_visible()
    expect(measure(page, "#payments", "Paid")).to_have_text(usd(100000))
    expect(measure(page, "#payments", "Open")).to_have_text(usd(first.total + second.total - 100000))

    change = make_change(job, "Subfloor replaced")
    agreed(change, "Replace subfloor, 4 x 6 ft", "24", "sq ft", "14.00")
    signed_change(change)
    sums.contract += CHANGE_CENTS
    reach(page, job, "Floor set", CHANGE)
    lines = {"Floor set": floor, CHANGE: CHANGE_CENTS, keeps: -held(floor, CHANGE_CENTS)}
    third = sums.bill("Invoice INV-1003", lines)
    bill(page, job, third, "Floor set", CHANGE)

    back = half_up(3600 * held(floor, CHANGE_CENTS), floor + CHANGE_CENTS)
    note = sums.bill("Credit note CR-1", {CHANGE: 3600, keeps: -back})
    credit_part(page, note, Document.objects.get(kind="invoice", number=1003), 3600)

    reach(page, job, "Cabinets set", "Punch list done")
    # The last bill releases what is held, and takes the cents by which the tax of the others was rounded.
    released = held(drywall) + held(floor, CHANGE_CENTS) - back
    lines = {"Cabinets set": cabinets, "Punch list done": punch, CHANGE: 3600, "Retainage released": released}
    last_tax = tax_on(signed) + tax_on(CHANGE_CENTS) - sums.of("tax")
    fourth = sums.bill("Invoice INV-1004", lines, last_tax)
    to_money(page, job)
    expect(measure(page, "#invoices", "Held back as retainage")).to_have_text(usd(released))
    bill(page, job, fourth, "Cabinets set", "Punch list done", CHANGE)
    assert sums.of("net") == signed + CHANGE_CENTS
    assert sums.of("total") == signed + CHANGE_CENTS + tax_on(signed) + tax_on(CHANGE_CENTS)

    pages_agree(page, job, sums, paid=100000)
    documents_agree(signed_in, sums)
    open_sum = sums.of("total") - 100000
    take_payment(page, job, open_sum)
    expect(measure(page, "#payments", "Open")).to_have_text("$0.00")
    expect(measure(page, "#payments", "Paid")).to_have_text(usd(sums.of("total")))
    files_agree(signed_in, sums, second, since.isoformat(), open_sum)
    invoice = Document.objects.get(kind="invoice", number=1003)
    receipt = text_of(signed_in.get(reverse("receipt-pdf", args=[invoice.pk])).content)
    assert f"Credited by credit note {usd(note.total)}" in receipt
    assert list(faults()) == []


def pages_agree(page: Page, job: Job, sums: Sums, paid: int) -> None:
    billed = sum(bill.total for bill in sums.bills if bill.sign > 0)
    credited = sum(bill.total for bill in sums.bills if bill.sign < 0)
    to_money(page, job)
    expect(measure(page, "#invoices", "Billed of it")).to_have_text(usd(sums.of("net")))
    expect(measure(page, "#invoices", "Left to bill")).to_have_text("$0.00")
    for name, cents in (
        ("Billed", billed),
        ("Credited", credited),
        ("Paid", paid),
        ("Open", billed - credited - paid),
    ):
        expect(measure(page, "#payments", name)).to_have_text(usd(cents))
    is_sound(page)
    page.goto("/money/")
    expect(page.get_by_role("link", name=re.compile("^Marisol")).locator("..")).to_contain_text(
        usd(billed - credited - paid)
    )


def text_of(pdf: bytes) -> str:
    done = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=drawn(pdf), capture_output=True, check=True
    )
    return " ".join(done.stdout.decode().split())


def documents_agree(client: Client, sums: Sums) -> None:
    """Each PDF, and the XML in both syntaxes."""
    documents = Document.objects.filter(kind__in=("invoice", "credit_note")).order_by("issued_at", "pk")
    assert [str(document) for document in documents] == [bill.name for bill in sums.bills]
    for document, expected in zip(documents, sums.bills, strict=True):
        text = text_of(client.get(reverse("document-pdf", args=[document.pk])).content)
        for title, cents in expected.lines.items():
            assert re.search(rf"{re.escape(title)}.*? {re.escape(usd(cents))}", text), (expected.name, title)
        total = "This bill" if expected.sign > 0 else "Credited to you"
        this = "This bill" if expected.sign > 0 else "This credit note"
        assert f"Before tax {usd(expected.net)}" in text
        assert f"{usd(expected.tax)} {total} {usd(expected.total)}" in text
        assert (
            f"Billed before {usd(expected.before)} {this} {usd(expected.sign * expected.net)} "
            f"Left to bill {usd(expected.left)}" in text
        )
        cii = client.get(reverse("invoice-xml", args=[document.pk, "cii"])).content
        ubl = client.get(reverse("invoice-xml", args=[document.pk, "ubl"])).content
        assert cii_faults(cii) == []
        assert ubl_faults(ubl) == []
        assert amounts(cii, "TaxBasisTotalAmount", "TaxTotalAmount", "GrandTotalAmount") == in_full(expected)
        assert amounts(ubl, "TaxExclusiveAmount", "TaxAmount", "TaxInclusiveAmount") == in_full(expected)


def in_full(expected: ExpectedBill) -> list[str]:
    return [plain(expected.net), plain(expected.tax), plain(expected.total)]


def amounts(xml: bytes, *names: str) -> list[str]:
    root = ElementTree.fromstring(xml)
    return [root.findtext(f".//{{*}}{name}", "") for name in names]


def files_agree(client: Client, sums: Sums, bounced: ExpectedBill, since: str, last_payment: int) -> None:
    """The bookkeeper's files."""
    span = {"since": since, "until": timezone.localdate().isoformat(), "by": "year"}

    def sheet(name: str) -> list[dict[str, str]]:
        answer = client.get(reverse("books-file", args=[name]), span)
        return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))

    assert [(row["paper"], row["before_tax"], row["tax"], row["total"]) for row in sheet("invoices")] == [
        (bill.name, *(plain(bill.sign * cents) for cents in (bill.net, bill.tax, bill.total)))
        for bill in sums.bills
    ]
    assert {row["open"] for row in sheet("invoices")} == {"0.00", ""}
    moved = sorted(row["amount"] for row in sheet("payments"))
    cents_moved = [100000, bounced.total, -bounced.total, last_payment]
    assert moved == sorted(plain(cents) for cents in cents_moved)
    (year,) = sheet("sales-tax")[-1:]
    assert (year["billed_before_tax"], year["tax_billed"]) == (plain(sums.of("net")), plain(sums.of("tax")))
    journal = sheet("journal")
    debits, credits = (
        sum(int(row[side].replace(".", "") or 0) for row in journal) for side in ("debit", "credit")
    )
    assert debits == credits > sums.of("total")
