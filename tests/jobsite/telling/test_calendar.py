"""The days as calendars read them: parsed back by the library that wrote them and by another."""

from datetime import UTC, date, datetime, timedelta

import pytest
import vobject
from django.test import Client
from django.utils import timezone
from icalendar import Calendar

from estimating.models import Job
from jobsite.models import CalendarEntry
from jobsite.telling.calendar import (
    MOST_READS,
    Entry,
    TooOften,
    calendar_file,
    find_feed,
    keep_entries,
    make_feed,
)
from tests.factories import make_job

pytestmark = pytest.mark.django_db

NOW = datetime(2027, 1, 11, 15, tzinfo=UTC)
MONDAY, TUESDAY = date(2027, 1, 11), date(2027, 1, 12)


def at(day: date, hour: int) -> datetime:
    return datetime.combine(day, datetime.min.time()) + timedelta(hours=hour)


TILE = Entry("work:1:4", "Tile floor", at(TUESDAY, 8), at(TUESDAY, 15), "Set tile, 7 h")


def keep(job: Job, *entries: Entry, now: datetime = NOW) -> dict[str, CalendarEntry]:
    keep_entries(CalendarEntry.PLANNED, {job.pk: entries}, now)
    return {row.key: row for row in CalendarEntry.objects.all()}


def test_an_entry_keeps_its_uid_and_says_that_it_changed_or_was_canceled() -> None:
    job = make_job()
    first = keep(job, TILE)["work:1:4:1"]
    again = keep(job, TILE)["work:1:4:1"]
    assert (again.uid, again.sequence) == (first.uid, 0)
    moved = keep(job, Entry(TILE.key, TILE.title, at(date(2027, 1, 14), 8), at(date(2027, 1, 14), 15)))
    assert (moved["work:1:4:1"].uid, moved["work:1:4:1"].sequence) == (first.uid, 1)
    gone = keep(job)["work:1:4:1"]
    assert (gone.sequence, gone.canceled_at) == (2, NOW)
    back = keep(job, TILE)["work:1:4:1"]
    assert (back.uid, back.sequence, back.canceled_at) == (first.uid, 3, None)


def test_a_day_that_is_over_stays_and_the_next_days_of_the_work_are_counted_on() -> None:
    job = make_job()
    keep(job, TILE)
    on_wednesday = NOW + timedelta(days=2)
    rest = Entry(TILE.key, TILE.title, at(date(2027, 1, 13), 8), at(date(2027, 1, 13), 9))
    rows = keep(job, rest, now=on_wednesday)
    assert rows["work:1:4:1"].facts["begins"] == "2027-01-12T08:00:00"
    assert rows["work:1:4:1"].canceled_at is None
    assert rows["work:1:4:2"].facts["begins"] == "2027-01-13T08:00:00"


def test_two_libraries_read_the_file_alike() -> None:
    job = make_job()
    keep(job, TILE, Entry("event:1", "Plumber, “rough-in”; pipes, valves", MONDAY, TUESDAY))
    content = calendar_file(CalendarEntry.objects.all(), "Days", "America/New_York", lambda row: "Job 7")
    events = {str(event["summary"]): event for event in Calendar.from_ical(content).walk("VEVENT")}
    assert str(Calendar.from_ical(content)["method"]) == "PUBLISH"
    tile = events["Job 7: Tile floor"]
    assert tile["dtstart"].dt == datetime(2027, 1, 12, 13, tzinfo=UTC)  # 8:00 in New York
    assert (tile["sequence"], str(tile["status"])) == (0, "CONFIRMED")
    read = vobject.readOne(content.decode())
    others = {event.summary.value: event for event in read.vevent_list}
    assert others.keys() == events.keys()
    assert others["Job 7: Tile floor"].dtstart.value == tile["dtstart"].dt
    plumber = others["Job 7: Plumber, “rough-in”; pipes, valves"]
    assert (plumber.dtstart.value, plumber.dtend.value) == (MONDAY, TUESDAY)
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))


def test_a_feed_opens_by_its_secret_alone_until_it_is_withdrawn(client: Client, signed_in: Client) -> None:
    feed, secret = make_feed("My phone", False, timezone.now())
    assert secret not in feed.secret_sha256
    answer = Client().get(f"/calendar/{secret}/days.ics")
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert Client().get("/calendar/guessed/days.ics").status_code == 404
    signed_in.post(f"/days/calendars/{feed.pk}/withdraw/")
    assert Client().get(f"/calendar/{secret}/days.ics").status_code == 404


def test_a_feed_that_is_asked_for_too_often_answers_again_later() -> None:
    _, secret = make_feed("My phone", False, NOW)
    for _ in range(MOST_READS):
        assert find_feed(secret, NOW)
    with pytest.raises(TooOften):
        find_feed(secret, NOW + timedelta(minutes=59))
    assert find_feed(secret, NOW + timedelta(minutes=61))
