from datetime import date
from decimal import Decimal

import pytest

from catalog.models import Firm
from closing.punch_list.end import issue_certificate, prepare_certificate, read_ends
from closing.punch_list.read import read_list, worth_by_job
from closing.punch_list.write import close_item
from estimating.changes.draft import signed_job
from estimating.changes.issue import issue_change, prepare_change
from estimating.client.cancel import enter_cancellation
from estimating.client.signing import Refused
from estimating.documents.issue import CannotIssue
from estimating.models import Document
from estimating.verification.documents import faults
from invoicing.invoices.issue import issue_bill
from invoicing.invoices.job_billing import read_billable
from invoicing.models import BillDraft, Milestone
from tests.closing.lists import certificate, end_job, floor_with_warranty, seen
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import agreed, make_change, photo, sign_on_paper
from tests.invoicing.bills import draft, ready
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db


def test_the_signed_end_makes_all_milestones_billable_and_begins_the_warranty_of_the_contract() -> None:
    job = floor_with_warranty()
    Firm.objects.update(warranty_months=3)  # what is promised later changes nothing of what was signed
    seen(job, done_on=DAY)
    document = end_job(job)
    assert document.printed_number == "CC-1"
    end = read_ends([job])[job.pk]
    assert (end.on, end.warranty_to) == (DAY, date(2027, 11, 24))
    assert end.covers(date(2027, 11, 24))
    assert not end.covers(date(2027, 11, 25))
    assert set(Milestone.objects.values_list("reached_on", flat=True)) == {DAY}
    billable = read_billable(job)
    assert billable
    assert len(billable.milestones) == 3


def test_a_certificate_is_no_part_of_the_contract() -> None:
    job = floor_with_warranty()
    before = signed_job(job)
    end_job(job)
    after = signed_job(job)
    assert before
    assert after
    assert (after.contract, after.lines, after.days) == (before.contract, before.lines, before.days)


def test_what_is_left_stays_held_on_the_last_bill_and_can_be_billed_once_it_is_done() -> None:
    job = floor_with_warranty(retainage_percent=Decimal(10))
    door = seen(job, worth="25.00")
    end_job(job)
    last = draft(job, "Begun", "First coat", "Done")
    invoice = issue_bill(last, ready(last), AT)
    assert invoice.total.amount == Decimal("171.80")  # $196.80 less $25.00
    assert "Held back for the punch list" in invoice.snapshot
    billable = read_billable(job)
    assert billable
    assert (billable.retainage, billable.held_for_items) == (Decimal(0), Decimal("25.00"))
    assert close_item(door, DAY)
    release, _ = BillDraft.objects.update_or_create(job=job, defaults={"kind": BillDraft.Kind.RELEASE})
    assert ready(release).total == Decimal("25.00")


def test_the_end_waits_for_items_without_an_agreed_worth() -> None:
    job = floor_with_warranty()
    seen(job)
    with pytest.raises(CannotIssue, match="The door sticks"):
        certificate(job)


def test_a_list_that_changed_since_the_page_was_read_is_not_signed() -> None:
    job = floor_with_warranty()
    firm = Firm.current()
    unissued = prepare_certificate(read_list(job), firm, DAY)
    seen(job, worth="5.00")
    with pytest.raises(CannotIssue, match="was changed"):
        issue_certificate(unissued, firm, AT)
    assert not Document.objects.filter(kind=Document.Kind.COMPLETION).exists()


def test_what_both_signed_cannot_be_canceled() -> None:
    document = end_job(floor_with_warranty())
    with pytest.raises(Refused, match="call-back"):
        enter_cancellation(document, "Marisol", DAY, "by mail", "pat", AT)


def test_the_certificate_says_what_is_left_and_verifies() -> None:
    job = floor_with_warranty()
    seen(job, worth="25.00")
    seen(job, "A shelf over the sink", whose="wish", answer="No wall to hang it on")
    document = end_job(job)
    text = " ".join(text_of(bytes(document.pdf)).split())
    assert "The door sticks" in text
    assert "$25.00" in text
    assert "Declined: No wall to hang it on" in text
    assert "1 year from then" in text
    assert list(faults()) == []


def test_of_two_who_close_an_item_the_first_day_stands() -> None:
    job = floor_with_warranty()
    door = seen(job, worth="25.00")
    assert worth_by_job([job]) == {job.pk: Decimal("25.00")}
    one, two = photo(60).getvalue(), photo(80).getvalue()
    assert close_item(door, date(2026, 3, 2), [one])
    assert not close_item(door, date(2026, 3, 3), [two, one])
    door.refresh_from_db()
    assert door.done_on == date(2026, 3, 2)
    assert door.photos.count() == 2
    assert worth_by_job([job]) == {job.pk: Decimal("0")}


def test_a_wish_whose_change_is_signed_holds_what_it_is_worth_until_it_is_done() -> None:
    job = floor_with_warranty()
    change = make_change(job, "A shelf")
    agreed(change, "A shelf", "1", "each", "40.00")
    seen(job, "A shelf over the sink", "40.00", whose="wish", change=change)
    assert worth_by_job([job]) == {job.pk: Decimal("0")}
    sign_on_paper(issue_change(change, prepare_change(change, Firm.current(), DAY), AT))
    shown = read_list(job)
    assert (shown.held, len(shown.left), shown.to_ask) == (Decimal("40.00"), 1, Decimal("236.80"))
    certificate(job)
