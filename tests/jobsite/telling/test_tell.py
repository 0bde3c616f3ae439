"""Telling the client the days: kept, in the history, by mail with a calendar, on the client's page."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from estimating.models import Document, Job, JobLink
from jobsite.days.inputs import awaited
from jobsite.days.outside import needed_on
from jobsite.days.plan import read_days
from jobsite.days.words import day_near
from jobsite.models import CalendarEntry, CalendarFeed, HoursWorked, OutsideEvent, ToldDates
from jobsite.telling.calendar import make_feed
from tests.estimating.client_visits import sent, visit
from tests.estimating.issuing import issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper

pytestmark = pytest.mark.django_db


@pytest.fixture
def document() -> Document:
    """A painted floor, signed so long ago that it can't be canceled."""
    document = issue_now(painted_floor(name="Okonjo kitchen"))
    sign_on_paper(document)
    return document


def page(client: Client, name: str, *args: object) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def tell(owner: Client, job: Job, **typed: str) -> int:
    return owner.post(reverse("days-tell", args=[job.pk]), typed).status_code


def test_dates_are_told_by_one_tap_and_new_ones_with_their_reason(
    signed_in: Client, document: Document
) -> None:
    job, today = document.job, timezone.localdate()
    browser, address = visit(sent(signed_in, document))
    mail.outbox.clear()
    assert "Your days" not in browser.get(address).content.decode()
    OutsideEvent.objects.create(
        job=job, kind="trade", title="Plumber", on=today + timedelta(days=9), needs_client=True
    )
    assert tell(signed_in, job) == 302
    told = ToldDates.objects.get(job=job)
    [message] = mail.outbox
    assert message.to == ["okonjo@example.com"]
    assert "Somebody must be home" in message.body
    name, content, kind = message.attachments[0]
    assert (name, kind) == ("days.ics", "text/calendar")
    summaries = [str(event["summary"]) for event in Calendar.from_ical(content).walk("VEVENT")]
    assert any("The work is done" in words for words in summaries)

    shown = browser.get(address).content.decode()
    assert "Your days" in shown
    assert "Plumber" in shown
    [page_of_job] = JobLink.objects.filter(job=job)
    days = (
        browser.get(reverse("client-job", args=[page_of_job.pk])).content.decode().partition("Your days")[2]
    )
    assert "Plumber" in days
    assert f'href="{address}days.ics"' in days
    file = browser.get(f"{address}days.ics")
    assert (file.status_code, file["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert "days told to the client: done by" in page(signed_in, "job-papers", job.pk)

    # Later than told: that is said, nothing is sent by itself, and sending asks for the reason.
    Job.objects.filter(pk=job.pk).update(work_begins_on=today + timedelta(days=30))
    told_before = f"Told to the client: {day_near(told.finish, today)}, "
    assert f'{told_before}<span class="stale">later than that now' in page(signed_in, "days", job.pk)
    assert ToldDates.objects.filter(job=job).count() == 1
    assert tell(signed_in, job) == 422
    assert tell(signed_in, job, reason="Rain on Monday.") == 302
    newest = ToldDates.objects.filter(job=job).last()
    assert newest.finish > told.finish
    assert "as they are now.\n\nRain on Monday.\n\n" in mail.outbox[-1].body
    shown = browser.get(address).content.decode()
    assert "Rain on Monday." in shown
    assert "Monday.." not in shown
    finish = CalendarEntry.objects.get(job=job, kind="told", key="finish")
    assert finish.sequence == 1


def test_a_feed_has_no_clients_names_unless_he_says_so(signed_in: Client, document: Document) -> None:
    read = {}
    for with_names in (False, True):
        _, secret = make_feed("My phone", with_names, timezone.now())
        read[with_names] = Client().get(f"/calendar/{secret}/days.ics").content.decode()
    assert "Paint the floor" in read[False]
    assert "Okonjo" not in read[False]
    assert "Okonjo" in read[True]
    assert CalendarFeed.objects.filter(reads=1).count() == 2


def test_before_a_signature_there_is_nothing_to_send(signed_in: Client) -> None:
    job = painted_floor().job
    assert tell(signed_in, job, reason="-") == 409
    assert not ToldDates.objects.exists()


def test_the_client_reads_what_to_decide_by_when_and_that_work_goes_on_once_it_is_begun(
    signed_in: Client, document: Document
) -> None:
    job, today = document.job, timezone.localdate()
    browser, address = visit(sent(signed_in, document))
    Job.objects.filter(pk=job.pk).update(work_begins_on=today + timedelta(days=30))
    event = OutsideEvent.objects.create(
        job=job, kind="decision", title="Floor color", lead_days=7, holds_back="phase:finish"
    )
    assert tell(signed_in, job) == 302
    shown = browser.get(address).content.decode()
    by = needed_on(awaited(event), read_days(today, job).plan.of_job(job.pk))
    assert by is not None
    listed = f'<h3>Decide by</h3><ul class="rows"><li><span>{day_near(by - timedelta(days=7), today)}'
    assert listed in shown
    assert "Floor color" in shown
    assert "It begins" in shown
    HoursWorked.objects.create(job=job, on=today, hours=Decimal(1), for_job="quoting")
    assert tell(signed_in, job, reason="Measured again") == 302
    assert "It begins" in browser.get(address).content.decode()
    HoursWorked.objects.create(job=job, on=today, hours=Decimal(2), phase="finish", says="Floor")
    assert tell(signed_in, job, reason="Begun") == 302
    assert "It goes on" in browser.get(address).content.decode()
