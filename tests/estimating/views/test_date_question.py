"""Nothing takes a number on a date in doubt before somebody says that the date is right."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from estimating.documents.clock import DateInDoubt
from estimating.documents.issue import issue
from estimating.models import Document, Estimate
from tests.estimating.issuing import another_floor, painted_floor, unissued
from tests.responses import PageResponse

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.asks_for_the_date,
    pytest.mark.every_database,
]
LATER = timedelta(days=30)


@pytest.fixture
def estimate() -> Estimate:
    """A further estimate, after one that was issued by a clock a month ahead of today's."""
    first = painted_floor()
    issue(unissued(first), timezone.now() + LATER)
    further = another_floor(first)
    further.dated = timezone.localdate()
    further.save()
    return further


def post(browser: Browser, estimate: Estimate, **typed: str) -> PageResponse:
    address = reverse("document-issue", args=[estimate.job_id])
    page = browser.get(address)
    assert "Is the date right?" in page.content.decode()
    unissued = page.context["unissued"]
    dated = unissued.dated.isoformat()
    return browser.post(address, {"key": unissued.key, "dated": dated, "asked": dated, **typed})


def test_without_the_tick_nothing_is_issued_and_the_question_stands_again(
    signed_in: Browser, estimate: Estimate
) -> None:
    answer = post(signed_in, estimate)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Tick that the date is right, or set this machine&#x27;s clock first." in page
    assert 'name="date_is_right"' in page
    assert Document.objects.count() == 1


def test_with_the_tick_it_is_issued_and_the_next_is_not_asked_about(
    signed_in: Browser, estimate: Estimate
) -> None:
    assert post(signed_in, estimate, date_is_right="on").status_code == 302
    assert Document.objects.count() == 2
    again = another_floor(estimate)
    address = reverse("document-issue", args=[again.job_id])
    assert "Is the date right?" not in signed_in.get(address).content.decode()


def test_a_program_that_issues_has_to_say_that_the_date_is_right(estimate: Estimate) -> None:
    now = timezone.now()
    with pytest.raises(DateInDoubt, match="The last thing noted of your papers is of .* Is that right?"):
        issue(unissued(estimate), now)
    assert issue(unissued(estimate), now, date_is_right=True).number == 1002


def test_verifying_notes_a_date_that_runs_backward_and_finds_nothing_changed(estimate: Estimate) -> None:
    issue(unissued(estimate), timezone.now(), date_is_right=True)
    said = StringIO()
    call_command("verify_documents", stdout=said)
    note, well = said.getvalue().splitlines()
    assert note.startswith("Note: Event 2 is dated ")
    assert well == "As they were issued: 2 documents, 2 events."


def test_what_is_noted_later_the_same_day_is_not_asked_about(estimate: Estimate) -> None:
    with transaction.atomic():
        Document.objects.get().record("sent", timezone.now() + timedelta(seconds=5))
    assert issue(unissued(estimate), timezone.now()).number == 1002
