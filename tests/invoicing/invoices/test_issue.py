"""Invoices and credit notes as they are issued, from a signed job and its plan.

The floor is signed at $196.80: 30 % are $59.04, 30 % again, and $78.72 are left for the last milestone.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from estimating.client.cancel import enter_cancellation
from estimating.documents import write_protection
from estimating.documents.issue import CannotIssue
from estimating.models import Document
from estimating.models.document import NotAllowed
from estimating.verification.documents import faults
from invoicing.billing.basis import read_lines, read_sums
from invoicing.invoices.einvoice_attachment import xml_of
from invoicing.invoices.issue import MEANWHILE, issue_bill
from invoicing.ledger.history import billed_lines
from invoicing.models import BillDraft, Billed, MoneyRules
from tests.drawn_once import drawn
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import agreed, make_change, signed_change
from tests.invoicing.bills import (
    PAY_BY,
    billed,
    credited,
    draft,
    reach,
    ready,
    ready_credit,
    signed_floor,
)
from tests.invoicing.official_rules import cii_faults

pytestmark = pytest.mark.django_db


def shown_lines(document: Document) -> dict[str, str]:
    return {line["title"]: line["amount"] for line in document.read_snapshot()["lines"]}


def test_a_reached_milestone_is_billed_at_its_share_and_the_draft_is_gone() -> None:
    invoice = billed(signed_floor(), "Begun")
    assert (invoice.kind, invoice.number, f"{invoice.total}") == ("invoice", 1001, "$59.04")
    assert shown_lines(invoice) == {"Begun": "59.04"}
    assert invoice.read_snapshot()["contract"] == {
        "label": "Estimate 1001",
        "sum": "196.80",
        "before": "0.00",
        "this": "59.04",
        "left": "137.76",
        "held": "0.00",
    }
    assert invoice.read_snapshot()["due_on"] == PAY_BY.isoformat()
    assert not BillDraft.objects.exists()
    assert list(faults()) == []


def test_all_bills_of_a_job_come_to_its_contract_sum() -> None:
    job = signed_floor()
    bills = [billed(job, name) for name in ("Begun", "First coat", "Done")]
    assert sum(bill.total.amount for bill in bills) == Decimal("196.80")
    assert bills[-1].read_snapshot()["contract"]["left"] == "0.00"
    assert [bill.number for bill in bills] == [1001, 1002, 1003]


def test_several_milestones_go_on_one_bill() -> None:
    invoice = billed(signed_floor(), "Begun", "First coat")
    assert shown_lines(invoice) == {"Begun": "59.04", "First coat": "59.04"}


def test_a_milestone_that_is_not_reached_is_not_billed() -> None:
    job = signed_floor()
    begun = draft(job, "Begun")
    reach(job, "Begun", on=None)
    with pytest.raises(CannotIssue, match="Begun isn't complete yet"):
        ready(begun)


def test_a_milestone_is_billed_once() -> None:
    job = signed_floor()
    billed(job, "Begun")
    with pytest.raises(CannotIssue, match="nothing is left to bill"):
        billed(job, "Begun")


def test_two_tabs_that_issue_the_same_bill_make_one() -> None:
    job = signed_floor()
    begun = draft(job, "Begun")
    first, second = ready(begun), ready(begun)
    assert issue_bill(begun, first, AT) == issue_bill(begun, second, AT)
    assert Document.objects.filter(kind="invoice").count() == 1


def test_two_tabs_that_bill_one_milestone_in_different_words_make_one() -> None:
    job = signed_floor()
    begun = draft(job, "Begun")
    plain = ready(begun)
    BillDraft.objects.filter(pk=begun.pk).update(note="Thank you.")
    worded = ready(begun)
    issue_bill(begun, plain, AT)
    with pytest.raises(CannotIssue, match=MEANWHILE):
        issue_bill(begun, worded, AT)
    assert Document.objects.filter(kind="invoice").count() == 1
    assert list(faults()) == []


def test_the_database_itself_gives_a_place_among_the_bills_once() -> None:
    job = signed_floor()
    first, second = billed(job, "Begun"), billed(job, "First coat")
    with write_protection.without_triggers(transaction.get_connection()):
        Billed.objects.filter(document=second).delete()
        with pytest.raises(IntegrityError), transaction.atomic():
            Billed.objects.create(document=second, job=job, place=first.billed.place)
        Billed.objects.create(document=second, job=job, place=2)


def test_a_bill_whose_plan_was_redrawn_meanwhile_is_refused() -> None:
    job = signed_floor()
    begun = draft(job, "Begun")
    unissued = ready(begun)
    job.payment_plan.milestones.filter(name="Begun").update(share_percent=Decimal(10))
    with pytest.raises(CannotIssue, match=MEANWHILE):
        issue_bill(begun, unissued, AT)
    assert not Document.objects.filter(kind="invoice").exists()


def test_retainage_is_held_from_each_bill_and_released_by_its_own() -> None:
    job = signed_floor(plan={"retainage_percent": Decimal(10)})
    first = billed(job, "Begun", "First coat", "Done", keeps_held=True)
    assert first.total.amount == Decimal("177.12")  # 196.80 less 19.68
    assert first.read_snapshot()["contract"]["held"] == "19.68"
    release = billed(job, kind=BillDraft.Kind.RELEASE)
    assert shown_lines(release) == {"Retainage released": "19.68"}
    assert release.read_snapshot()["contract"]["left"] == "0.00"


def test_the_last_bill_releases_what_is_held_in_one_paper() -> None:
    job = signed_floor(plan={"retainage_percent": Decimal(10)})
    assert shown_lines(billed(job, "Begun")) == {"Begun": "59.04", "Retainage held back": "-5.90"}
    last = billed(job, "First coat", "Done")
    assert shown_lines(last) == {"First coat": "59.04", "Done": "78.72", "Retainage released": "5.90"}
    assert (last.read_snapshot()["contract"]["left"], last.read_snapshot()["contract"]["held"]) == (
        "0.00",
        "0.00",
    )
    assert list(faults()) == []


def test_bills_from_before_it_was_kept_what_is_retained_still_count_all_work() -> None:
    job = signed_floor(plan={"retainage_percent": Decimal(10)})
    invoice = billed(job, "Begun")
    basis = invoice.read_basis()
    for line in basis["lines"]:
        del line["retained"]
    assert [line.retained for line in read_lines(basis)] == [True, True]
    assert sum(line.amount for line in read_lines(basis)) == Decimal("53.14")


def test_a_deposit_is_billed_first_and_taken_off_as_far_as_the_bills_go() -> None:
    job = signed_floor(plan={"deposit": Decimal(100)})
    deposit = billed(job, kind=BillDraft.Kind.DEPOSIT)
    first, second = billed(job, "Begun"), billed(job, "First coat", "Done")
    assert [bill.total.amount for bill in (deposit, first, second)] == [
        Decimal("100.00"),
        Decimal("0.00"),  # 59.04 is covered
        Decimal("96.80"),  # 137.76 less the 40.96 that are left of it
    ]
    assert "Nothing is left to pay" in first.read_snapshot()["first_line"]


def test_he_may_keep_the_deposit_for_a_later_bill() -> None:
    job = signed_floor(plan={"deposit": Decimal(100)})
    billed(job, kind=BillDraft.Kind.DEPOSIT)
    assert billed(job, "Begun", deposit=Decimal("9.04")).total.amount == Decimal("50.00")


def test_tax_is_charged_by_the_policy_that_was_signed() -> None:
    job = signed_floor(tax_policy="everything", tax_percent=Decimal("6.875"))
    shown = billed(job, "Begun").read_snapshot()
    # 59.04 x 6.875 % = 4.059
    assert (shown["before_tax"], shown["tax"]["amount"], shown["total"]) == ("59.04", "4.06", "63.10")
    assert shown["tax"]["label"] == "Sales tax, 6.875% on all of it (permit ST-555-0142)"


def test_the_last_bill_settles_the_cents_so_that_all_come_to_the_tax_that_was_signed() -> None:
    job = signed_floor(tax_policy="everything", tax_percent=Decimal("8.25"))
    bills = [billed(job, name) for name in ("Begun", "First coat", "Done")]
    tax = [read_sums(bill.read_basis()).tax for bill in bills]
    # 59.04 x 8.25 % = 4.8708, twice; 78.72 x 8.25 % = 6.4944; the contract's 196.80 x 8.25 % = 16.236
    assert tax == [Decimal("4.87"), Decimal("4.87"), Decimal("6.50")]
    assert sum(bill.total.amount for bill in bills) == Decimal("213.04")
    assert "and $0.01 for the rounding of earlier bills" in bills[2].read_snapshot()["tax"]["label"]
    note = credited(bills[2])
    assert note.total == bills[2].total
    assert billed(job, "Done").total == bills[2].total
    xml = xml_of(drawn(bills[2].pdf))
    assert cii_faults(xml) == []
    assert list(faults()) == []


def test_without_a_permit_number_no_tax_is_billed() -> None:
    job = signed_floor(tax_policy="everything", tax_percent=Decimal(6))
    begun = draft(job, "Begun")
    with pytest.raises(CannotIssue, match="sales tax permit number to charge tax.$"):
        ready(begun, tax_permit="")


def test_a_firm_that_is_registered_nowhere_is_told_before_it_bills() -> None:
    begun = draft(signed_floor(), "Begun")
    with pytest.raises(CannotIssue) as refused:
        ready(begun, license="")
    assert refused.value.reasons == ("The firm needs a license, registration or company number.",)


def test_nothing_is_billed_before_the_estimate_is_signed() -> None:
    job = signed_floor(sign=False)
    begun = draft(job, "Begun")
    with pytest.raises(CannotIssue, match="isn't signed yet"):
        ready(begun)


def test_a_credit_note_names_its_invoice_and_frees_what_it_takes_back() -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    note = credited(invoice)
    assert (note.kind, note.number, note.total.amount) == ("credit_note", 1, Decimal("59.04"))
    assert note.read_snapshot()["corrects"]["number"] == "Invoice INV-1001"
    assert sum(line.amount for line in billed_lines(job)) == 0
    assert billed(job, "Begun").number == 1002
    assert list(faults()) == []


def test_what_was_billed_is_taken_back_where_the_client_cancels() -> None:
    job = signed_floor()
    invoice = billed(job, "Begun")
    enter_cancellation(job.documents.get(kind="estimate"), "Marisol Okonjo", DAY, "By mail", "pat", AT)
    with pytest.raises(CannotIssue, match="isn't signed"):
        billed(job, "First coat")
    shown = credited(invoice).read_snapshot()
    assert shown["total"] == "59.04"
    assert shown["contract"] == {
        "label": "canceled",
        "sum": "0.00",
        "before": "59.04",
        "this": "-59.04",
        "left": "0.00",
        "held": "0.00",
    }


@pytest.mark.parametrize("way", ["own", "spread"])
def test_what_was_billed_of_a_change_is_taken_back_where_the_client_cancels_it(way: str) -> None:
    job = signed_floor({"changes_go": way})
    change = make_change(job, "Rot")
    agreed(change, "Rot", "1", "", "100.00")
    rot = signed_change(change)
    name = "Change order 1, Rot" if way == "own" else "Begun"
    invoice = billed(job, name)
    enter_cancellation(rot, "Marisol Okonjo", DAY, "By mail", "pat", AT)
    note = credited(invoice)
    assert note.total.amount == invoice.total.amount
    assert note.read_snapshot()["contract"]["sum"] == "196.80"
    rest = [billed(job, name).total.amount for name in ("Begun", "First coat", "Done")]
    assert sum(rest) == Decimal("196.80")
    assert list(faults()) == []


def test_no_credit_note_is_dated_before_its_invoice() -> None:
    """A clock that ran ahead, or a time zone further west: such an entry would have nothing to take off."""
    invoice = billed(signed_floor(), "Begun")
    with pytest.raises(CannotIssue, match="still to come: set the clock right first"):
        ready_credit(invoice, on=DAY - timedelta(days=1))


def test_part_of_a_line_is_credited_and_only_that_part_is_billed_again() -> None:
    job = signed_floor()
    note = credited(billed(job, "Begun"), Begun="9.04")
    assert note.read_snapshot()["contract"] | {"label": ""} == {
        "label": "",
        "sum": "196.80",
        "before": "59.04",
        "this": "-9.04",
        "left": "146.80",
        "held": "0.00",
    }
    assert billed(job, "Begun").total.amount == Decimal("9.04")


def test_credit_notes_together_give_back_the_tax_of_the_invoice_and_no_cent_more() -> None:
    job = signed_floor(tax_policy="everything", tax_percent=Decimal("8.25"))
    invoice = billed(job, "Begun")
    notes = [credited(invoice, Begun="19.68"), credited(invoice, Begun="19.68"), credited(invoice)]
    # 19.68 x 8.25 % = 1.6236, twice; the last takes what is left of 4.87
    assert [read_sums(note.read_basis()).tax for note in notes] == [
        Decimal("1.62"),
        Decimal("1.63"),
        Decimal("1.62"),
    ]
    assert sum(note.total.amount for note in notes) == invoice.total.amount == Decimal("63.91")


def test_more_than_is_left_is_not_credited() -> None:
    invoice = billed(signed_floor(), "Begun")
    credited(invoice, Begun="50.00")
    with pytest.raises(CannotIssue, match="At most \\$9.04"):
        credited(invoice, Begun="9.05")


def test_a_bill_is_neither_signed_nor_withdrawn() -> None:
    invoice = billed(signed_floor(), "Begun")
    for event in ("accepted", "declined", "withdrawn"):
        with pytest.raises(NotAllowed, match="credited by a credit note"), transaction.atomic():
            invoice.record(event, AT)


def test_a_bill_that_was_changed_by_somebody_is_named() -> None:
    invoice = billed(signed_floor(), "Begun")
    wrong = invoice.snapshot.replace('"59.04"', '"58.04"')
    with write_protection.without_triggers(transaction.get_connection()):
        Document.objects.filter(pk=invoice.pk).update(snapshot=wrong)
    found = " ".join(faults())
    assert "Invoice INV-1001: its lines and tax come to $58.04, not to its total." in found
    assert "Invoice INV-1001: its XML says 59.04 where the paper says 58.04." in found


def test_a_bill_of_yesterdays_due_date_is_refused() -> None:
    begun = draft(signed_floor(), "Begun", due_on=AT.date().replace(day=1))
    with pytest.raises(CannotIssue, match="due before its date"):
        ready(begun)


def test_the_late_charge_of_the_contract_stands_on_the_bill() -> None:
    MoneyRules.objects.create(pk=1, late_percent=Decimal("12.00"))
    late = billed(signed_floor(), "Begun").read_snapshot()["late"]
    assert late == "Money that is late costs 12% a year, counted by the day, as we agreed."
