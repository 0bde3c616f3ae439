"""The pages of issuing: the question, the issued paper, its PDF, and the list of a job."""

import hashlib
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from estimating.documents import issue as issuing
from estimating.documents import write_protection
from estimating.documents.pdf import PANGO_MISSING, PangoMissing
from estimating.models import Document, Estimate
from tests.estimating.issuing import AT, floor_dated, issue_now
from tests.factories import make_assembly, make_estimate, make_job, put_on
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = [pytest.mark.django_db, pytest.mark.every_database]


@pytest.fixture
def estimate() -> Estimate:
    return floor_dated(timezone.localdate())


def question(browser: Browser, estimate: Estimate) -> PageResponse:
    return browser.get(reverse("document-issue", args=[estimate.job_id]))


def key_in(answer: PageResponse) -> str:
    key: str = answer.context["unissued"].key
    return key


def post(browser: Browser, estimate: Estimate, key: str) -> PageResponse:
    today = timezone.localdate().isoformat()
    return issue_dated(browser, estimate, key, dated=today, asked=today)


def issue_dated(browser: Browser, estimate: Estimate, key: str, **days: str) -> PageResponse:
    return browser.post(reverse("document-issue", args=[estimate.job_id]), {"key": key, **days})


def text(answer: PageResponse) -> str:
    return answer.content.decode()


def papers(browser: Browser, estimate: Estimate) -> str:
    return text(browser.get(reverse("job-papers", args=[estimate.job_id])))


def test_the_papers_page_leads_to_the_question(signed_in: Browser, estimate: Estimate) -> None:
    page = papers(signed_in, estimate)
    assert reverse("document-issue", args=[estimate.job_id]) in page
    assert "Issue this estimate" in page


def test_the_question_says_what_is_kept_and_changes_nothing(signed_in: Browser, estimate: Estimate) -> None:
    page = text(question(signed_in, estimate))
    assert "$196.80" in page
    assert "This can't be undone." in page
    assert not Document.objects.exists()


def test_issuing_leads_to_the_paper(signed_in: Browser, estimate: Estimate) -> None:
    answer = post(signed_in, estimate, key_in(question(signed_in, estimate)))
    document = Document.objects.get()
    assert answer["Location"] == document.get_absolute_url()
    page = text(signed_in.get(answer["Location"]))
    assert "Estimate 1001 is issued. From now on it stays as it is." in page
    assert "Estimate 1001: Kitchen" in page
    assert document.pdf_sha256 in page


def test_a_double_tap_shows_the_same_paper(signed_in: Browser, estimate: Estimate) -> None:
    key = key_in(question(signed_in, estimate))
    first, second = post(signed_in, estimate, key), post(signed_in, estimate, key)
    assert first["Location"] == second["Location"]
    assert Document.objects.count() == 1


def test_two_tabs_show_the_same_paper(signed_in: Browser, estimate: Estimate) -> None:
    keys = [key_in(question(signed_in, estimate)) for _ in range(2)]
    assert len({post(signed_in, estimate, key)["Location"] for key in keys}) == 1
    assert Document.objects.count() == 1


def test_an_estimate_changed_since_the_question_is_not_issued(signed_in: Browser, estimate: Estimate) -> None:
    key = key_in(question(signed_in, estimate))
    estimate.items.update(extra_hours=5)
    answer = post(signed_in, estimate, key)
    assert answer.status_code == 409
    assert "was changed since you opened this page" in text(answer)
    assert not Document.objects.exists()
    assert post(signed_in, estimate, key_in(answer)).status_code == 302


@pytest.mark.parametrize("key", ["", "0" * 64, "\0", "x" * 5000, "' OR 1=1"])
def test_a_key_that_is_none_issues_nothing(signed_in: Browser, estimate: Estimate, key: str) -> None:
    assert post(signed_in, estimate, key).status_code == 409
    assert not Document.objects.exists()


def test_a_key_of_another_job_does_not_show_its_paper(signed_in: Browser, estimate: Estimate) -> None:
    document = issue_now(estimate)
    answer = signed_in.post(reverse("document-issue", args=[make_job().pk]), {"key": document.issue_key})
    assert answer.status_code == 409


def test_without_work_the_reason_is_said(signed_in: Browser) -> None:
    answer = question(signed_in, make_estimate(make_job()))
    assert "There is no work in the estimate yet." in text(answer)


def test_past_its_last_day_the_reason_is_said_and_nothing_issued(
    signed_in: Browser, estimate: Estimate
) -> None:
    answer = issue_dated(signed_in, estimate, "", dated="2026-01-05", asked="2026-01-05")
    assert answer.status_code == 409
    assert "which is past" in text(answer)
    assert "Give it a later date" in text(answer)
    assert not Document.objects.exists()


def test_an_estimate_begun_earlier_is_dated_today_and_valid_from_today(
    signed_in: Browser, estimate: Estimate
) -> None:
    today = timezone.localdate()
    Estimate.objects.update(dated=today - timedelta(days=12))
    asked = question(signed_in, estimate)
    assert f'value="{today.isoformat()}"' in text(asked)
    assert f"Estimate · {today:%a} {today.day} {today:%b %Y}" in text(
        signed_in.get(reverse("job-papers", args=[estimate.job_id]))
    )
    post(signed_in, estimate, key_in(asked))
    document = Document.objects.get()
    assert (document.dated, document.valid_to) == (today, today + timedelta(days=30))
    assert f"Estimate 1001 · {today:%a} {today.day} {today:%b %Y}" in text_of(document.pdf)


def test_with_another_date_it_is_asked_again_with_its_last_day(
    signed_in: Browser, estimate: Estimate
) -> None:
    today = timezone.localdate()
    later = today + timedelta(days=3)
    key = key_in(question(signed_in, estimate))
    asked = issue_dated(signed_in, estimate, key, dated=later.isoformat(), asked=today.isoformat())
    assert asked.status_code == 409
    assert "has moved with its date" in text(asked)
    assert not Document.objects.exists()
    days = {"dated": later.isoformat(), "asked": later.isoformat()}
    issue_dated(signed_in, estimate, key_in(asked), **days)
    document = Document.objects.get()
    assert (document.dated, document.valid_to) == (later, later + timedelta(days=30))


@pytest.mark.parametrize(
    ("typed", "says"),
    [("9999-12-31", "Pick a day from 1900 to 2199."), ("soon", "date"), ("", "Fill this in")],
)
def test_a_date_that_is_none_issues_nothing(
    signed_in: Browser, estimate: Estimate, typed: str, says: str
) -> None:
    key = key_in(question(signed_in, estimate))
    answer = issue_dated(signed_in, estimate, key, dated=typed, asked=timezone.localdate().isoformat())
    assert says in text(answer)
    assert not Document.objects.exists()


def test_a_machine_without_pango_says_how_to_get_it(
    signed_in: Browser, estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_pango(snapshot: object) -> bytes:
        raise PangoMissing(PANGO_MISSING)

    key = key_in(question(signed_in, estimate))
    monkeypatch.setattr(issuing, "make_pdf", no_pango)
    answer = post(signed_in, estimate, key)
    assert answer.status_code == 503
    assert "brew install pango" in text(answer)


def test_the_papers_page_lists_what_was_issued_newest_first(signed_in: Browser, estimate: Estimate) -> None:
    issue_now(estimate)
    put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    issue_now(estimate)
    page = papers(signed_in, estimate)
    issued = page[page.index("<h2>Issued") : page.index("What happened to them")]
    assert issued.index("Estimate 1002") < issued.index("Estimate 1001")
    assert "$280.80" in issued
    assert "issued, not sent" in issued
    assert "replaced" in issued
    assert "Estimate 1001 replaced by number 1002" in page


def test_the_history_says_the_time_at_the_firm(signed_in: Browser, estimate: Estimate) -> None:
    issue_now(estimate)
    # 21:30 UTC is half past three in the afternoon in Chicago.
    assert "Tue 24 Nov 2026, 3:30 p.m." in papers(signed_in, estimate)


def test_what_was_issued_is_listed_when_the_draft_has_no_work(signed_in: Browser, estimate: Estimate) -> None:
    issue_now(estimate)
    estimate.items.all().delete()
    page = papers(signed_in, estimate)
    assert "Estimate 1001" in page
    assert "There is no work in the estimate yet." in page


def test_after_issuing_nothing_is_left_to_issue(signed_in: Browser, estimate: Estimate) -> None:
    issue_now(estimate)
    page = papers(signed_in, estimate)
    assert "Nothing has changed since estimate 1001 was issued." in page
    assert "Issue this estimate" not in page


def test_the_question_before_a_revision_says_what_changes(signed_in: Browser, estimate: Estimate) -> None:
    issue_now(estimate)
    put_on(estimate, make_assembly("Wash windows"), estimate.job.rooms.get(), extra_hours=1)
    page = text(question(signed_in, estimate))
    assert "Added: Wash windows" in page
    assert "$280.80, before $196.80" in page


def test_the_firm_sees_line_by_line_what_a_revision_changed(signed_in: Browser, estimate: Estimate) -> None:
    estimate.detail = "total"
    estimate.save()
    issue_now(estimate)
    estimate.items.update(extra_hours=1)
    page = text(signed_in.get(issue_now(estimate).get_absolute_url()))
    firms, paper = page[: page.index("<article")], page[page.index("<article") :]
    assert "Paint the floor" in firms[firms.index("line by line") :]
    assert "All the work above" in paper
    assert "Estimate 1001" in firms


def test_a_paper_that_was_replaced_names_the_later_one(signed_in: Browser, estimate: Estimate) -> None:
    first = issue_now(estimate)
    estimate.items.update(extra_hours=1)
    second = issue_now(estimate)
    page = text(signed_in.get(first.get_absolute_url()))
    assert f'<a href="{second.get_absolute_url()}">number 1002</a>' in page


def test_the_pdf_is_the_one_that_was_issued(signed_in: Browser, estimate: Estimate) -> None:
    document = issue_now(estimate)
    answer = signed_in.get(reverse("document-pdf", args=[document.pk]))
    assert hashlib.sha256(answer.content).hexdigest() == document.pdf_sha256
    assert answer.headers["Content-Disposition"] == 'inline; filename="estimate-1001-okonjo-kitchen.pdf"'
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_a_pdf_that_was_damaged_is_not_shown(signed_in: Browser, estimate: Estimate) -> None:
    document = issue_now(estimate)
    with write_protection.without_triggers(connection):
        Document.objects.filter(pk=document.pk).update(pdf=bytes(document.pdf)[:-1])
    answer = signed_in.get(reverse("document-pdf", args=[document.pk]))
    assert answer.status_code == 409
    assert "no longer the one that was issued" in text(answer)


@pytest.mark.parametrize("name", ["document", "document-pdf"])
def test_a_document_that_is_not_there_is_not_found(signed_in: Browser, name: str) -> None:
    assert signed_in.get(reverse(name, args=[99])).status_code == 404


@pytest.mark.parametrize("name", ["document", "document-pdf", "document-issue"])
def test_nobody_sees_documents_without_signing_in(client: Browser, estimate: Estimate, name: str) -> None:
    document = issue_now(estimate)
    answer = client.get(reverse(name, args=[estimate.job_id if name == "document-issue" else document.pk]))
    assert answer["Location"].startswith(reverse("login"))


def test_a_question_that_is_only_read_issues_nothing(signed_in: Browser, estimate: Estimate) -> None:
    key = key_in(question(signed_in, estimate))
    signed_in.get(reverse("document-issue", args=[estimate.job_id]), {"key": key})
    assert not Document.objects.exists()


def test_words_typed_by_a_client_are_shown_as_text(signed_in: Browser, estimate: Estimate) -> None:
    estimate.job.client.name = "<script>alert(1)</script>"
    estimate.job.client.save()
    document = issue_now(estimate)
    document.record("question", AT, {"text": "<img src=x onerror=alert(1)>"})
    page = text(signed_in.get(document.get_absolute_url())) + papers(signed_in, estimate)
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "asked about: &lt;img src=x onerror=alert(1)&gt;" in page


@pytest.mark.parametrize(
    ("happened", "wanted"),
    [
        ([], "hand the estimate to the client"),
        (["sent"], "have the estimate signed"),
        (["accepted"], "set up the payment schedule"),
        (["sent", "question"], "a question waits: answer the client"),
        (["sent", "question", "answered"], "have the estimate signed"),
        (["declined"], "the client declined: issue it anew, or close the job"),
    ],
)
def test_the_tape_says_what_the_estimate_wants_next(
    signed_in: Browser, estimate: Estimate, happened: list[str], wanted: str
) -> None:
    document = issue_now(estimate)
    for event in happened:
        document.record(event, AT)
    assert f">{wanted}</a>" in papers(signed_in, estimate)
    assert f">{wanted.capitalize()}</a>" in text(signed_in.get(reverse("today")))
