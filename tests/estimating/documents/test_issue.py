"""What issuing keeps, what it refuses, and what happens to an issued paper."""

import hashlib
import json
import threading
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db.models import ProtectedError
from pytest_django import DjangoAssertNumQueries

from estimating.documents import issue as issuing
from estimating.documents.estimate import prepare_estimate, reasons_against_issuing
from estimating.documents.issue import PREFIXES, CannotIssue, issue
from estimating.documents.pdf import make_pdf
from estimating.estimates.draft import read_draft
from estimating.models import Allowance, Counter, Document, DocumentEvent, Estimate, NotAllowed
from tests.drawn_once import drawn_anew
from tests.estimating.issuing import AT, DAY, another_floor, issue_now, painted_floor, unissued
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_operation,
    put_on,
)
from tests.pdf_text import pages_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def estimate() -> Estimate:
    return painted_floor()


def kinds(document: Document) -> list[str]:
    return [event.kind for event in document.events.all()]


def test_the_first_estimate_of_a_firm_is_number_1001_and_the_next_1002(estimate: Estimate) -> None:
    assert [str(issue_now(draft)) for draft in (estimate, another_floor(estimate))] == [
        "Estimate 1001",
        "Estimate 1002",
    ]


def test_the_paper_shows_its_number_and_a_draft_none(estimate: Estimate) -> None:
    document = issue_now(estimate)
    text = pages_of(document.pdf)[0]
    assert "Estimate 1001: Kitchen" in text
    assert document.read_snapshot()["number"] == "1001"
    assert unissued(estimate).snapshot["title"] == "Estimate: Kitchen"


def test_the_digests_are_those_of_what_is_kept(estimate: Estimate) -> None:
    with drawn_anew():
        document = Document.objects.get(pk=issue_now(estimate).pk)
        pdf = make_pdf(document.read_snapshot())
    kept = (document.snapshot.encode(), document.basis.encode(), bytes(document.pdf))
    digests = (document.snapshot_sha256, document.basis_sha256, document.pdf_sha256)
    assert digests == tuple(hashlib.sha256(content).hexdigest() for content in kept)
    assert bytes(document.pdf) == pdf


def test_total_and_dates_are_those_of_the_paper(estimate: Estimate) -> None:
    document = issue_now(estimate)
    assert document.total.amount == Decimal("196.80")
    assert (document.dated, document.valid_to) == (date(2026, 11, 24), date(2026, 12, 24))


def test_what_the_work_costs_the_firm_is_kept_beside_the_paper_and_not_on_it(estimate: Estimate) -> None:
    document = issue_now(estimate)
    line = document.read_basis()["lines"][0]
    # 1.2 h x 70.00 + 2 x 40.00
    assert (line["cost"], line["hours"], line["price"]) == ("164.00", "1.20", "196.80")
    assert "164.00" not in document.snapshot


def test_what_was_read_for_the_draft_is_not_read_again(
    estimate: Estimate, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    put_on(estimate, make_assembly("Wash windows"), is_option=True, decide_by=DAY, extra_hours=1)
    Allowance.objects.create(estimate=estimate, name="Vanity", amount=Decimal(900), decide_by=DAY)
    estimate, firm = Estimate.objects.select_related("job__client").get(pk=estimate.pk), make_firm()
    draft = read_draft(estimate, firm)
    # what is set aside, photos of what was opened, the firm's late charge, the payment schedule, the estimate
    # in force; for the first day on which work can begin: the firm, its signed jobs, its week, its days off
    with django_assert_num_queries(9):
        paper = prepare_estimate(estimate, firm, draft)
    assert paper.snapshot["options"][0]["decide_by"] == paper.basis["options"][0]["decide_by"] == f"{DAY}"
    assert paper.snapshot["allowances"][0]["decide_by"] == f"{DAY}"
    assert paper.basis["allowances"][0]["decide_by"] == f"{DAY}"


def test_a_draft_without_work_cannot_be_issued() -> None:
    with pytest.raises(CannotIssue, match="There is no work in the estimate yet."):
        unissued(make_estimate(make_job()))


def test_a_draft_with_work_that_cannot_be_taken_off_cannot_be_issued(estimate: Estimate) -> None:
    brushing = make_assembly("trim paint", measure="base")
    add_component(brushing, make_operation("brush", rate="1 hour per 20 ft", unit="ft"))
    put_on(estimate, brushing)
    with pytest.raises(CannotIssue, match="trim paint: Base isn't known here"):
        unissued(estimate)


def test_an_estimate_that_is_past_its_last_day_cannot_be_issued(estimate: Estimate) -> None:
    paper = unissued(estimate)
    assert paper.valid_to
    assert reasons_against_issuing(paper, paper.valid_to) == ()
    (reason,) = reasons_against_issuing(paper, paper.valid_to + timedelta(days=1))
    assert reason.startswith("It is valid to Thu 24 Dec 2026, which is past.")


def test_the_same_paper_is_issued_once(estimate: Estimate) -> None:
    paper = unissued(estimate)
    assert issue(paper, AT) == issue(paper, AT)
    assert Document.objects.count() == 1
    assert Counter.objects.get(pk="estimate").last == 1001


def test_the_same_paper_from_two_processes_at_once_is_issued_once(
    estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    paper = unissued(estimate)
    others: list[Document] = []

    def print_while_another_issues(snapshot: dict[str, Any]) -> bytes:
        if not others:
            others.append(Document())
            monkeypatch.setattr(issuing, "_one_at_a_time", threading.Lock())
            others[0] = issue(paper, AT)
        return make_pdf(snapshot)

    monkeypatch.setattr(issuing, "make_pdf", print_while_another_issues)
    assert issue(paper, AT) == others[0]
    assert Document.objects.count() == 1


def test_a_number_taken_meanwhile_is_drawn_again_with_the_next(
    estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = unissued(another_floor(estimate))
    drawn: list[str] = []

    def print_while_another_issues(snapshot: dict[str, Any]) -> bytes:
        drawn.append(snapshot["number"])
        if len(drawn) == 1:
            monkeypatch.setattr(issuing, "_one_at_a_time", threading.Lock())
            issue(other, AT)
        return make_pdf(snapshot)

    monkeypatch.setattr(issuing, "make_pdf", print_while_another_issues)
    document = issue(unissued(estimate), AT)
    assert drawn == ["1001", "1001", "1002"]
    assert document.number == 1002
    assert document.read_snapshot()["number"] == "1002"


def test_when_the_number_is_always_taken_it_says_so(
    estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(issuing, "ATTEMPTS", 2)
    monkeypatch.setattr(Counter, "upcoming", classmethod(lambda cls, series, first=1: first + 5))
    with pytest.raises(CannotIssue, match="Try again"):
        issue_now(estimate)
    assert not Counter.objects.exists()


def test_what_belongs_to_a_document_is_done_with_it_or_not_at_all(estimate: Estimate) -> None:
    def fails(document: Document) -> None:
        raise RuntimeError(str(document))

    with pytest.raises(RuntimeError, match="Estimate 1001"):
        issue(unissued(estimate), AT, then=fails)
    assert [model.objects.count() for model in (Document, DocumentEvent, Counter)] == [0, 0, 0]


def test_a_revision_supersedes_the_estimate_in_force(estimate: Estimate) -> None:
    first = issue_now(estimate)
    put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    second = issue_now(estimate)
    assert (second.number, second.supersedes) == (1002, first)
    assert (kinds(first), kinds(second)) == (["issued", "superseded"], ["issued"])
    assert Document.objects.in_force("estimate", estimate.job) == second


def test_a_revision_says_on_paper_what_it_changes(estimate: Estimate) -> None:
    issue_now(estimate)
    put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    text = pages_of(issue_now(estimate).pdf)[0]
    assert "This paper replaces estimate 1001 of Tue 24 Nov 2026." in text
    # an hour at 70.00 with 20 %
    assert "Added: Wash windows $84.00" in text
    assert "Total $196.80 $280.80" in text


def test_an_unchanged_estimate_is_not_issued_again(estimate: Estimate) -> None:
    issue_now(estimate)
    assert reasons_against_issuing(unissued(estimate), DAY) == (
        "Nothing has changed since estimate 1001 was issued.",
    )


def test_a_declined_estimate_can_be_issued_again_as_it_was(estimate: Estimate) -> None:
    first = issue_now(estimate)
    first.record("declined", AT, {"reason": "too dear"})
    assert reasons_against_issuing(unissued(estimate), DAY) == ()
    assert issue_now(estimate).supersedes == first


def test_an_accepted_estimate_is_not_superseded(estimate: Estimate) -> None:
    first = issue_now(estimate)
    changed = put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    paper = unissued(estimate)
    first.record("accepted", AT, {"name": "Marisol Okonjo"})
    assert changed.estimate == estimate
    assert reasons_against_issuing(paper, DAY) == (
        "Estimate 1001 is accepted. What changes now goes on a change order.",
    )
    with pytest.raises(CannotIssue, match="Estimate 1001 was accepted"):
        issue(paper, AT)
    assert Document.objects.count() == 1


def test_an_estimate_read_before_another_of_the_job_was_issued_is_refused(estimate: Estimate) -> None:
    before = unissued(estimate)
    put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    issue_now(estimate)
    with pytest.raises(CannotIssue, match="Another estimate of this job was issued meanwhile"):
        issue(before, AT)
    assert Counter.objects.get(pk="estimate").last == 1001


def test_an_issued_estimate_and_its_job_stay(estimate: Estimate) -> None:
    issue_now(estimate)
    with pytest.raises(ProtectedError):
        estimate.delete()
    with pytest.raises(ProtectedError):
        estimate.job.delete()


def test_change_orders_are_numbered_within_their_job(estimate: Estimate) -> None:
    jobs = [estimate.job, another_floor(estimate).job]
    assert len({Document.series_of("change_order", job) for job in jobs}) == 2
    assert {Document.series_of("invoice", job) for job in jobs} == {"invoice"}


def test_the_event_of_the_issue_vouches_for_the_paper(estimate: Estimate) -> None:
    document = issue_now(estimate)
    data = json.loads(document.events.get().data)
    assert data["pdf_sha256"] == document.pdf_sha256
    assert data["snapshot_sha256"] == document.snapshot_sha256
    assert data["total"] == "196.80"


def test_events_of_all_documents_are_one_chain(estimate: Estimate) -> None:
    first, other = issue_now(estimate), issue_now(another_floor(estimate))
    first.record("sent", AT, {"to": "okonjo@example.com"})
    other.record("sent", AT)
    events = list(DocumentEvent.objects.all())
    assert [event.place for event in events] == [1, 2, 3, 4]
    assert [event.previous_hash for event in events] == ["0" * 64, *(event.hash for event in events[:3])]


def test_an_event_that_cannot_follow_is_refused_in_words_and_leaves_nothing(estimate: Estimate) -> None:
    document = issue_now(estimate)
    document.record("withdrawn", AT)
    with pytest.raises(NotAllowed, match="Estimate 1001 was withdrawn: it can't be accepted any more."):
        document.record("accepted", AT)
    assert kinds(document) == ["issued", "withdrawn"]


def test_lists_leave_the_pdf_in_the_database(estimate: Estimate) -> None:
    issue_now(estimate)
    listed = Document.objects.for_list().get()
    assert {"pdf", "snapshot", "basis"} <= listed.get_deferred_fields()
    assert "pdf" in Document.objects.get().get_deferred_fields()
    assert "pdf" in DocumentEvent.objects.get().document.get_deferred_fields()


def test_invoices_and_estimates_cant_be_taken_for_each_other_by_number() -> None:
    kinds_of_firm = (Document.Kind.ESTIMATE, Document.Kind.INVOICE, Document.Kind.CREDIT_NOTE)
    papers = [Document(kind=kind, prefix=PREFIXES.get(kind, ""), number=1001) for kind in kinds_of_firm]
    assert [paper.printed_number for paper in papers] == ["1001", "INV-1001", "CR-1001"]


def test_an_invoice_of_the_time_before_keeps_the_number_that_it_printed() -> None:
    assert str(Document(kind=Document.Kind.INVOICE, number=1001)) == "Invoice 1001"
