"""The diary on its pages, on the client's page and in the file of the job."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from catalog.models import Firm
from estimating.models import Document, Job
from invoicing.bookkeeping.job_file import job_file
from jobsite.models import DiaryEntry, DiaryPhoto
from tests.estimating.client_visits import sent
from tests.estimating.issuing import issue_now, painted_floor
from tests.jobsite.views.test_receipts import picture
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture
def document() -> Document:
    return issue_now(painted_floor())


@pytest.fixture
def job(document: Document) -> Job:
    return document.job


def write(signed_in: Client, job: Job, says: str, **typed: Any) -> PageResponse:
    whole = {"says": says, "on": f"{timezone.localdate()}", **typed}
    return signed_in.post(reverse("diary", args=[job.pk]), whole)


def page_of(client: Client, name: str, *args: object, **query: str) -> str:
    return client.get(reverse(name, args=args), query).content.decode()


def test_a_day_is_kept_with_its_photos_and_corrected(signed_in: Client, job: Job) -> None:
    write(signed_in, job, "Subfloor is level", weather="Rain", photos=picture())
    entry, photo = DiaryEntry.objects.get(), DiaryPhoto.objects.get()
    assert "Weather: Rain" in page_of(signed_in, "diary", job.pk)
    typed = {"says": "Subfloor is level now", "on": f"{entry.on}", f"caption-{photo.pk}": "By the door"}
    signed_in.post(reverse("diary-entry", args=[entry.pk]), typed)
    photo.refresh_from_db()
    assert photo.caption == "By the door"
    assert bytes(photo.small).startswith(b"\xff\xd8")
    signed_in.post(reverse("diary-entry", args=[entry.pk]), {**typed, f"out-{photo.pk}": "on"})
    assert not DiaryPhoto.objects.exists()


def test_an_empty_day_is_asked_about(signed_in: Client, job: Job) -> None:
    answer = write(signed_in, job, "")
    assert answer.status_code == 422
    assert "Write what happened, or add a photo." in answer.content.decode()


def test_each_word_is_searched_for_in_all_that_was_written(signed_in: Client, job: Job) -> None:
    write(signed_in, job, "Tile set in the hall", who="The plumber")
    write(signed_in, job, "Tile grouted")
    found = page_of(signed_in, "diary", job.pk, find="tile plumber")
    assert "Tile set in the hall" in found
    assert "Tile grouted" not in found


def test_the_client_sees_what_is_marked_for_him_and_nothing_else(
    signed_in: Client, job: Job, document: Document
) -> None:
    write(
        signed_in, job, "The floor is level", for_client="on", who="Nobody else's business", photos=picture()
    )
    write(signed_in, job, "He argued about the price", photos=picture())
    browser = Client()
    page = int(browser.get(sent(signed_in, document))["Location"].rstrip("/").rpartition("/")[2])
    seen = page_of(browser, "client-job", page) + page_of(browser, "client-diary", page)
    assert "The floor is level" in seen
    assert "argued" not in seen
    assert "Nobody else" not in seen
    shown, own = DiaryPhoto.objects.order_by("entry__for_client").values_list("pk", flat=True)[::-1]
    address = "client-diary-photo"
    assert browser.get(reverse(address, args=[page, shown, "small"])).status_code == 200
    assert browser.get(reverse(address, args=[page, own, "small"])).status_code == 404
    assert Client().get(reverse(address, args=[page, shown, "small"])).status_code == 404


def test_the_file_of_the_job_has_the_whole_diary_oldest_first(signed_in: Client, job: Job) -> None:
    write(signed_in, job, "Second", photos=picture())
    write(signed_in, job, "First", on="2026-01-02")
    diary = job_file(job, Firm.current(), timezone.localdate())["diary"]
    assert [day["entries"][0]["says"] for day in diary] == [["First"], ["Second"]]
    assert diary[1]["entries"][0]["photos"][0]["jpeg"]


def test_forty_days_cost_no_more_queries_than_one(
    signed_in: Client, job: Job, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    write(signed_in, job, "One", photos=picture())
    page_of(signed_in, "diary", job.pk)
    with django_assert_num_queries(13) as one:
        page_of(signed_in, "diary", job.pk)
    rows = [DiaryEntry(job=job, on="2026-01-02", says=f"{n}", written_at=timezone.now()) for n in range(39)]
    for entry in DiaryEntry.objects.bulk_create(rows):
        DiaryPhoto.objects.bulk_create(
            DiaryPhoto(entry=entry, content=b"x", small=b"x", sha256=f"{entry.pk}-{n}") for n in range(2)
        )
    with django_assert_num_queries(len(one.captured_queries)):
        page_of(signed_in, "diary", job.pk)
