"""The pages of the walk-through, as a phone without JavaScript uses them."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from closing.models import PunchListItem, PunchListPhoto
from closing.punch_list.write import close_item
from estimating.models import Acceptance, ChangeOrder, Document, Job
from tests.closing.lists import certificate, end_job, floor_with_warranty, seen
from tests.estimating.issuing import DAY
from tests.estimating.signed_kitchen import photo

pytestmark = pytest.mark.django_db


def url(job: Job) -> str:
    return f"/jobs/{job.pk}/punch-list/"


def picture(side: int = 400) -> SimpleUploadedFile:
    return SimpleUploadedFile("photo.jpg", photo(side).getvalue(), "image/jpeg")


def test_an_item_is_put_on_the_list_with_a_photo_in_two_sizes(signed_in: Client) -> None:
    job = floor_with_warranty()
    posted = {"text": "The door sticks", "whose": "scope", "worth": "120", "photos": picture(900)}
    assert signed_in.post(url(job), posted).status_code == 302
    kept = PunchListPhoto.objects.get()
    assert len(kept.small) < len(kept.content)
    page = signed_in.get(url(job)).content.decode()
    assert "The door sticks" in page
    assert "$120.00" in page
    assert signed_in.get(f"/punch-list/photos/{kept.pk}-small.jpg")["Content-Type"] == "image/jpeg"


def test_more_than_is_left_to_bill_is_refused_beside_the_field(signed_in: Client) -> None:
    job = floor_with_warranty()
    page = signed_in.post(url(job), {"text": "The door", "whose": "scope", "worth": "500"})
    assert page.status_code == 422
    assert "At most $196.80 can be held for it" in page.content.decode()
    page = signed_in.post(url(job), {"text": "A shelf", "whose": "wish", "worth": "5"})
    assert "Only work in the scope holds money back" in page.content.decode()


def test_a_tick_with_a_photo_closes_an_item_and_a_second_one_says_so(signed_in: Client) -> None:
    job = floor_with_warranty()
    door = seen(job, worth="25.00")
    done = f"/punch-list/{door.pk}/done/"
    first = signed_in.post(done, {"photos": picture()}, follow=True).content.decode()
    assert "is done. $25.00 of what was held back can be billed." in first
    PunchListItem.objects.update(done_on=date(2026, 3, 2))
    again = signed_in.post(done, follow=True).content.decode()
    assert "marked done on Mon 2 Mar 2026 already" in again
    assert PunchListPhoto.objects.get().of_done


def test_of_two_who_close_an_item_at_once_one_closes_it_and_both_photos_stay(db: None) -> None:
    item = seen(floor_with_warranty())
    first, second = (PunchListItem.objects.get(pk=item.pk) for _ in range(2))  # both see it open
    assert close_item(first, date(2026, 3, 2), [photo(90).getvalue()])
    assert not close_item(second, date(2026, 3, 3), [photo(91).getvalue()])
    item.refresh_from_db()
    assert (item.done_on, item.photos.filter(of_done=True).count()) == (date(2026, 3, 2), 2)


def test_a_wish_becomes_a_change_order_once(signed_in: Client) -> None:
    job = floor_with_warranty()
    wish = seen(job, "A shelf over the sink", whose="wish")
    for _ in range(2):
        signed_in.post(f"/punch-list/{wish.pk}/change/")
    change = ChangeOrder.objects.get()
    assert (change.title, change.asked_by) == ("A shelf over the sink", "Marisol and Dean Okonjo")


def test_an_item_of_the_scope_becomes_no_change_order(signed_in: Client) -> None:
    job = floor_with_warranty()
    page = signed_in.post(f"/punch-list/{seen(job).pk}/change/", follow=True).content.decode()
    assert "Only a new wish becomes a change order" in page
    assert not ChangeOrder.objects.exists()


def test_the_end_is_issued_and_signed_on_the_firms_device(signed_in: Client) -> None:
    job = floor_with_warranty()
    seen(job, done_on=DAY)
    question = signed_in.get(f"/jobs/{job.pk}/completion/")
    key = question.context["unissued"].key
    answer = signed_in.post(f"/jobs/{job.pk}/completion/", {"key": key, "then": "go-ahead"})
    document = Document.objects.get(kind=Document.Kind.COMPLETION)
    assert answer["Location"] == f"/documents/{document.pk}/go-ahead/"
    page = signed_in.get(answer["Location"]).content.decode()
    assert "Sign that the work is done" in page
    assert "$0.00" not in page
    signed = signed_in.post(
        answer["Location"], {"name": "Marisol Okonjo", "consent": "on", "seen_total": "0.00", "drawn": ""}
    )
    assert signed.status_code == 302
    assert Acceptance.objects.ends().get().name == "Marisol Okonjo"
    page = signed_in.get(url(job)).content.decode()
    assert "Done and signed" in page
    assert "Add what you see" not in page


def test_while_the_certificate_is_out_and_after_it_is_signed_the_list_stays(signed_in: Client) -> None:
    job = floor_with_warranty()
    door = seen(job, worth="5.00")
    certificate(job)
    out = signed_in.post(url(job), {"text": "More", "whose": "scope"}, follow=True).content.decode()
    assert "Withdraw it on its page first" in out
    Document.objects.get(kind=Document.Kind.COMPLETION)
    assert PunchListItem.objects.count() == 1
    signed_in.post(f"/punch-list/{door.pk}/done/")
    door.refresh_from_db()
    assert door.done_on


def test_after_the_end_an_item_is_a_call_back(signed_in: Client) -> None:
    job = floor_with_warranty()
    end_job(job)
    page = signed_in.post(url(job), {"text": "More", "whose": "scope"}, follow=True).content.decode()
    assert "What shows up now is a call-back" in page
    assert not PunchListItem.objects.exists()


@pytest.mark.every_database
def test_forty_items_with_eighty_photos_cost_the_same_queries_as_one(signed_in: Client) -> None:
    job = floor_with_warranty()

    def queries_with(more: int) -> int:
        for number in range(more):
            item = seen(job, f"Item {more}, {number}", "1.00")
            for nth in range(2):
                item.photos.create(content=b"x" * 9000, small=b"s", sha256=f"{nth}")
        with CaptureQueriesContext(connection) as counted:
            assert signed_in.get(url(job)).status_code == 200
        return len(counted)

    assert queries_with(1) == queries_with(39)
