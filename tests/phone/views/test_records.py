"""Records that a phone sends: each kept once, or refused with the sentence of its form."""

import json
import re
from datetime import timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Firm
from closing.models import PunchListItem
from estimating.models import ChangeOrder, Job, Room
from invoicing.models import FinishedWork
from jobsite.models import DiaryEntry, HoursWorked, ReceiptKept, RunningClock
from phone.models import Phone
from phone.records.rooms import room_texts
from tests.closing.lists import end_job, seen
from tests.estimating.issuing import AT
from tests.estimating.signed_kitchen import photo
from tests.factories import make_job
from tests.invoicing.bills import signed_floor
from tests.jobsite.views.test_receipts import picture
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def floor(kept_rows: None) -> int:
    return signed_floor().pk


@pytest.fixture
def job(floor: int, db: None) -> Job:
    return Job.objects.get(pk=floor)


def send(client: Client, kind: str, job: Job, key: str = "a key", /, **fields: Any) -> PageResponse:
    sent = {"form_key": key, "kind": kind, "job": job.pk, **fields}
    return client.post(reverse("phone-records"), sent, follow=True)


def today() -> str:
    return timezone.localdate().isoformat()


def moment(minutes_ago: int = 0) -> int:
    return int((timezone.now() - timedelta(minutes=minutes_ago)).timestamp() * 1000)


def hours(**other: str) -> dict[str, str]:
    return {"on_what": "phase-floor", "on": today(), "worked": "2", "says": "", **other}


def test_hours_sent_again_after_a_lost_answer_are_kept_once(signed_in: Client, job: Job) -> None:
    answers = [send(signed_in, "hours", job, **hours()).json() for _ in range(3)]
    assert answers == [{"kept": "a key"}] * 3
    assert HoursWorked.objects.count() == 1
    assert signed_in.get(reverse("phone-record", args=["a key"])).json() == {"kept": "a key"}


def test_a_record_that_was_kept_is_not_kept_otherwise_under_its_key(signed_in: Client, job: Job) -> None:
    send(signed_in, "hours", job, **hours())
    answer = send(signed_in, "hours", job, **hours(worked="3"))
    assert (answer.status_code, answer.json()["kept"]) == (422, True)
    assert [f"{row.hours}" for row in HoursWorked.objects.all()] == ["2.00"]


def test_what_is_refused_says_why_and_can_be_put_right_under_its_key(signed_in: Client, job: Job) -> None:
    ahead = (timezone.localdate() + timedelta(days=1)).isoformat()
    answer = send(signed_in, "hours", job, **hours(on=ahead))
    assert answer.status_code == 422
    assert "is still to come" in answer.json()["fields"]["on"]
    assert signed_in.get(reverse("phone-record", args=["a key"])).json() == {"kept": ""}
    assert send(signed_in, "hours", job, **hours()).json() == {"kept": "a key"}


def test_a_clock_ran_from_when_the_phone_says(
    signed_in: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    noon = timezone.localtime().replace(hour=12, minute=0)
    monkeypatch.setattr(timezone, "now", lambda: noon)
    clock = {"on_what": "phase-floor"}
    assert send(signed_in, "clock-start", job, "start", at=moment(90), **clock).json() == {"kept": "start"}
    assert RunningClock.objects.exists()
    assert send(signed_in, "clock-stop", job, "stop", at=moment(30), **clock).json() == {"kept": "stop"}
    assert [f"{row.hours}" for row in HoursWorked.objects.all()] == ["1.00"]


def test_a_clock_that_runs_since_yesterday_is_asked_about(signed_in: Client, job: Job) -> None:
    clock = {"on_what": "phase-floor"}
    send(signed_in, "clock-start", job, "start", at=moment(30 * 60), **clock)
    asked = send(signed_in, "clock-stop", job, "stop", at=moment(), **clock)
    assert asked.status_code == 422
    assert "say how long you worked" in asked.json()["sentence"]
    send(signed_in, "clock-stop", job, "stop", at=moment(), worked="4", **clock)
    assert [f"{row.hours}" for row in HoursWorked.objects.all()] == ["4.00"]


def test_a_clock_is_not_stopped_for_another(signed_in: Client, job: Job) -> None:
    send(signed_in, "clock-start", job, "start", at=moment(5), on_what="phase-floor")
    answer = send(signed_in, "clock-stop", job, "stop", at=moment(), on_what="phase-paint")
    assert "Another clock runs" in answer.json()["sentence"]
    assert RunningClock.objects.exists()


def test_a_time_to_come_is_refused(signed_in: Client, job: Job) -> None:
    answer = send(signed_in, "clock-start", job, at=moment(-24 * 60), on_what="phase-floor")
    assert "still to come" in answer.json()["sentence"]


def test_a_receipt_is_kept_with_its_photo(signed_in: Client, job: Job) -> None:
    content = photo(400).getvalue()
    for _ in range(2):
        picture = SimpleUploadedFile("photo.jpg", content, "image/jpeg")
        receipt = {"on": today(), "total": "26.80", "tax": "", "supplier": "", "says": "Screws"}
        assert send(signed_in, "receipt", job, photos=picture, **receipt).json() == {"kept": "a key"}
    assert ReceiptKept.objects.get().photo.content


def test_work_is_marked_as_finished_on_the_day_of_the_tick(signed_in: Client, job: Job) -> None:
    kept = signed_in.get(reverse("phone-jobs")).json()
    line = next(line for line in kept["jobs"][0]["work"] if not line["finished"])
    yesterday = (timezone.localdate() - timedelta(days=1)).isoformat()
    assert send(signed_in, "finished", job, work=line["place"], on=yesterday).json() == {"kept": "a key"}
    assert FinishedWork.objects.get().finished_on.isoformat() == yesterday


def test_what_was_found_begins_a_change_with_its_photos(signed_in: Client, job: Job) -> None:
    for _ in range(2):
        pictures = [
            SimpleUploadedFile("photo.jpg", photo(side).getvalue(), "image/jpeg") for side in (90, 91)
        ]
        found = {"title": "Rotten subfloor", "found": "Under the sink", "asked_by": "", "reason": "hidden"}
        assert send(signed_in, "found", job, photos=pictures, **found).json() == {"kept": "a key"}
    change = ChangeOrder.objects.get()
    assert (change.title, change.photos.count()) == ("Rotten subfloor", 2)


def test_what_is_found_before_anything_is_signed_stays_on_the_phone(signed_in: Client) -> None:
    answer = send(signed_in, "found", make_job(), title="Rot", found="", asked_by="", reason="hidden")
    assert "isn't signed yet" in answer.json()["sentence"]


def test_a_note_goes_into_the_diary_with_its_photo(signed_in: Client, job: Job) -> None:
    send(signed_in, "note", job, says="Joist is cracked", on=today(), for_client="on", photos=picture())
    entry = DiaryEntry.objects.get()
    assert (entry.says, entry.for_client, entry.photos.count()) == ("Joist is cracked", True, 1)


def test_a_note_of_nothing_is_refused_with_what_would_be_right(signed_in: Client, job: Job) -> None:
    answer = send(signed_in, "note", job, says=" ", on=today())
    assert answer.status_code == 422
    assert "Write what happened" in answer.json()["sentence"]


def test_an_item_of_a_walk_through_is_on_the_list_once_with_room_photo_and_day(
    signed_in: Client, job: Job
) -> None:
    room = job.rooms.get()
    yesterday = (timezone.localdate() - timedelta(days=1)).isoformat()
    for _ in range(2):
        item = {"text": "Grout is missing", "room": room.pk, "whose": "scope", "answer": "", "on": yesterday}
        assert send(signed_in, "item", job, photos=picture(), **item).json() == {"kept": "a key"}
    row = PunchListItem.objects.get()
    assert (row.text, row.room, row.photos.count()) == ("Grout is missing", room, 1)
    assert row.noted_on.isoformat() == yesterday


def test_an_item_is_refused_with_what_would_be_right(signed_in: Client, job: Job) -> None:
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    item = {"text": "Grout is missing", "whose": "scope", "on": tomorrow}
    assert "is still to come" in send(signed_in, "item", job, **item).json()["fields"]["on"]
    declined = send(signed_in, "item", job, **item | {"on": today(), "answer": "No time"})
    assert "Leave this empty" in declined.json()["fields"]["answer"]
    assert not PunchListItem.objects.exists()


def test_an_item_kept_before_the_end_was_signed_and_sent_after_it_stays_on_the_phone(
    signed_in: Client, job: Job
) -> None:
    end_job(job, AT.date())
    answer = send(signed_in, "item", job, text="Grout is missing", whose="scope", on=today())
    assert "What shows up now is a call-back" in answer.json()["sentence"]


def test_an_item_is_done_on_the_day_on_which_it_was_and_the_first_one_stands(
    signed_in: Client, job: Job
) -> None:
    item = seen(job, "Grout is missing", room=job.rooms.get())
    (kept,) = signed_in.get(reverse("phone-jobs")).json()["jobs"]
    assert kept["left"] == [{"token": f"{item.pk}", "label": f"Grout is missing, {job.rooms.get()}"}]
    yesterday = timezone.localdate() - timedelta(days=1)
    done = {"item": item.pk, "on": yesterday.isoformat()}
    assert send(signed_in, "done", job, photos=picture(), **done).json() == {"kept": "a key"}
    send(signed_in, "done", job, "another", **done | {"on": today()})
    item.refresh_from_db()
    assert (item.done_on, item.photos.get().of_done) == (yesterday, True)
    (kept,) = signed_in.get(reverse("phone-jobs")).json()["jobs"]
    assert kept["left"] == []


def test_what_is_no_item_of_the_scope_is_not_done(signed_in: Client, job: Job) -> None:
    wish = seen(job, "A shelf", whose="wish")
    for item in (f"{wish.pk}", "999", "x"):
        answer = send(signed_in, "done", job, item, item=item, on=today())
        assert "isn't on the punch list any more" in answer.json()["sentence"]


@pytest.mark.parametrize("kind", ["", "price", "hours"])
def test_what_is_of_no_kind_or_of_no_job_is_refused(signed_in: Client, job: Job, kind: str) -> None:
    answer = signed_in.post(reverse("phone-records"), {"form_key": "k", "kind": kind, "job": "999"})
    assert answer.status_code == 422
    assert answer.json()["sentence"]


def room_fields(name: str = "Bath", /, **other: list[str]) -> dict[str, list[str]]:
    fields = {"name": [name], "shape": ["walk"], "height": ["8'"], "device_boxes": ["2"]}
    for number, length in enumerate(("10'", "8'", "10'", "8'")):
        fields |= {f"walls-{number}-length": [length], f"walls-{number}-turn": ["right"]}
    for rows, count in (("walls", 4), ("openings", 0), ("fixed", 0)):
        fields |= {f"{rows}-{part}_FORMS": [str(count)] for part in ("TOTAL", "INITIAL")}
    return fields | other


def test_a_room_walked_on_the_phone_is_measured_as_one_typed(signed_in: Client, job: Job) -> None:
    before = Room.objects.count()
    assert send(signed_in, "room", job, **room_fields()).json() == {"kept": "a key"}
    assert Room.objects.count() == before + 1
    assert len(Room.objects.get(name="Bath").plan().legs) == 4


def test_a_room_that_does_not_close_is_refused_in_the_words_of_its_form(signed_in: Client, job: Job) -> None:
    answer = send(signed_in, "room", job, **room_fields(**{"walls-2-length": ["9'"]}))
    assert answer.status_code == 422
    assert "The walls don't close" in answer.json()["sentence"]


def test_two_phones_on_one_room_see_both_and_choose(signed_in: Client, job: Job) -> None:
    send(signed_in, "room", job, **room_fields())
    room = Room.objects.get(name="Bath")
    opened = room_texts(room, Firm.current().metric)

    def change(key: str, held: dict[str, list[str]], **other: list[str]) -> PageResponse:
        changed = {**held, **other, "form_opened": json.dumps(opened)}
        return send(signed_in, "room", job, key, room=room.pk, **changed)

    assert change("one", opened, height=["9'"], notes=["Dry"]).json() == {"kept": "one"}
    answer = change("two", opened, height=["10'"], device_boxes=["5"])
    told = answer.json()
    assert answer.status_code == 409
    assert [(row["name"], row["theirs"]) for row in told["conflicts"]] == [("height", "9'")]
    assert told["merged"]["height"] == ["10'"]
    assert told["merged"]["notes"] == ["Dry"]  # which this phone never saw
    opened = told["stored"]
    assert change("two", told["merged"]).json() == {"kept": "two"}
    room = Room.objects.get(name="Bath")
    assert (room.entry["room"]["height"], room.notes, room.device_boxes) == ("10'", "Dry", 5)


def test_a_rectangle_that_was_made_longer_meanwhile_is_not_overwritten_unseen(
    signed_in: Client, job: Job
) -> None:
    room, metric = Room.objects.get(), Firm.current().metric
    typed = {"name": "Bath", "shape": "rectangle", "length": "10'", "width": "12'", "height": "8'"}
    room.entry = {"metric": False, "room": typed, "walls": [], "openings": [], "fixed": []}
    room.legs = [[feet * 304_800_000, "90"] for feet in (10, 12, 10, 12)]
    opened = room_texts(room, metric)
    typed["length"] = "11'"
    room.legs = [[feet * 304_800_000, "90"] for feet in (11, 12, 11, 12)]
    room.save()
    mine = {**opened, "walls-0-length": ["10' 6\""], "walls-2-length": ["10' 6\""]}
    answer = send(signed_in, "room", job, room=room.pk, form_opened=json.dumps(opened), **mine)
    assert [(row["label"], row["theirs"]) for row in answer.json()["conflicts"]] == [
        ("Wall A", "11' 0\""),
        ("Wall C", "11' 0\""),
    ]


def test_what_an_ended_phone_would_still_send_is_refused(signed_in: Client, job: Job) -> None:
    ident = signed_in.get(reverse("phone-jobs")).json()["phone"]
    elsewhere = Client()
    elsewhere.force_login(User.objects.get())
    page = elsewhere.get(reverse("devices")).content.decode()
    assert page.count("Keeps your open jobs") == 1
    (end,) = re.findall(r'action="(/firm/devices/\w+/end/)"', page)
    elsewhere.post(end)
    assert signed_in.get(reverse("phone-jobs")).status_code == 302  # signed out
    told = signed_in.get(reverse("contact"), {"phone": ident}).json()
    assert (told["ended"], "user" in told) == (True, False)
    answer = send(elsewhere, "hours", job, phone=ident, **hours())
    assert (answer.status_code, answer.json()["ended"]) == (422, True)
    assert not HoursWorked.objects.exists()


def test_a_phone_that_is_signed_out_sends_until_it_is_ended(signed_in: Client, job: Job) -> None:
    ident = signed_in.get(reverse("phone-jobs")).json()["phone"]
    signed_in.post(reverse("logout"))
    signed_in.force_login(User.objects.get())
    assert send(signed_in, "hours", job, phone=ident, **hours()).json() == {"kept": "a key"}
    page = signed_in.get(reverse("devices")).content.decode()
    (end,) = re.findall(r'action="(/firm/devices/signed-out/\d+/end/)"', page)
    signed_in.post(end)
    answer = send(signed_in, "hours", job, "b key", phone=ident, **hours())
    assert (answer.status_code, answer.json()["ended"]) == (422, True)


def test_all_but_this_device_are_ended_at_once(signed_in: Client, job: Job) -> None:
    ident = signed_in.get(reverse("phone-jobs")).json()["phone"]
    elsewhere = Client()
    elsewhere.force_login(User.objects.get())
    elsewhere.post(reverse("devices-end"))
    assert elsewhere.get("/").status_code == 200
    assert elsewhere.get(reverse("contact"), {"phone": ident}).json()["ended"]


def test_nobody_ends_the_phone_of_another(signed_in: Client) -> None:
    other = Client()
    other.force_login(User.objects.create_user("sam"))
    other.get(reverse("phone-jobs"))
    assert signed_in.post(reverse("phone-end", args=[Phone.objects.get().pk])).status_code == 404
    signed_in.post(reverse("devices-end"))
    assert not Phone.objects.filter(ended_at__isnull=False)


def taken(**other: Any) -> dict[str, Any]:
    picture = SimpleUploadedFile("photo.jpg", photo(400).getvalue(), "image/jpeg")
    place = {"wall": "B", "offset": '24"', "away": ""}
    return {"photos": picture, **place, "says": "Damp", "at": moment(5), **other}


def test_photos_of_a_room_follow_the_record_that_made_it_and_are_numbered(
    signed_in: Client, job: Job
) -> None:
    assert (
        "isn't here"
        in send(signed_in, "photo", job, "early", of_record="a key", **taken()).json()["sentence"]
    )
    send(signed_in, "room", job, **room_fields())
    for key in ("one", "two"):
        answer = send(signed_in, "photo", job, key, of_record="a key", **taken())
        assert answer.json() == {"kept": key}
    room = Room.objects.get(name="Bath")
    rows = room.photos.all()
    assert [(row.number, row.in_words, row.along_nm) for row in rows] == [
        (number, "Bath, wall B: Damp", 24 * 25_400_000) for number in (1, 2)
    ]
    kept = signed_in.get(reverse("phone-jobs")).json()["jobs"][0]["rooms"][-1]
    assert [row["number"] for row in kept["photos"]] == [1, 2]
    assert kept["svg"].count('class="plan-photo"') == 2
    page = signed_in.get(reverse("job-rooms", args=[job.pk])).content.decode()
    assert reverse("room-photo", args=[rows[0].pk]) in page
    assert signed_in.get(reverse("room-photo", args=[rows[0].pk])).content[:2] == b"\xff\xd8"
    signed_in.post(reverse("room-photo-remove", args=[rows[0].pk]))
    assert [row.number for row in room.photos.all()] == [2]  # numbers stay
