"""Photos of rooms, put on the estimate with their number and the plan."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.estimates.snapshots import read_estimate_snapshot
from estimating.models import RoomPhoto
from tests.estimating.issuing import painted_floor
from tests.estimating.signed_kitchen import photo
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


def test_a_photo_of_a_room_goes_on_the_estimate_with_its_number_and_the_plan(signed_in: Client) -> None:
    estimate = painted_floor()
    room = estimate.job.rooms.get()
    rows = [
        RoomPhoto.keep(room, photo(side).getvalue(), date(2026, 11, 1), wall=1, caption="Crack")
        for side in (80, 90)
    ]
    address = reverse("estimate-photos", args=[estimate.job.pk])
    assert f"{room.name}, wall B: Crack" in signed_in.get(address).content.decode()
    signed_in.post(address, {f"room-{rows[1].pk}": "on"})
    firm = Firm.current()
    snapshot = read_estimate_snapshot(estimate, firm, read_draft(estimate, firm))
    assert [row["caption"] for row in snapshot["photos"]] == [f"2  {room.name}, wall B: Crack"]
    assert ">2</text>" in snapshot["plan"]["svg"]
    assert ">1</text>" not in snapshot["plan"]["svg"]
    assert f"room-{rows[1].pk}" not in signed_in.get(address).content.decode()


def test_an_estimate_takes_no_more_photos_of_rooms_than_it_carries(signed_in: Client) -> None:
    estimate = painted_floor()
    room = estimate.job.rooms.get()
    rows = [RoomPhoto.keep(room, photo(side).getvalue(), date(2026, 11, 1)) for side in range(60, 74, 2)]
    chosen = {f"room-{row.pk}": "on" for row in rows}
    response: PageResponse = signed_in.post(reverse("estimate-photos", args=[estimate.job.pk]), chosen)
    assert response.status_code == 422
    assert "at most 6 photos" in response.content.decode()
    assert not estimate.photos.exists()
