"""Photos are drawn before the turn of their post: nobody who saves waits for the drawing."""

from collections.abc import Callable
from typing import IO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.estimating.issuing import painted_floor
from tests.estimating.signed_kitchen import photo, signed_kitchen
from tests.invoicing.bills import milestone, signed_floor

pytestmark = pytest.mark.django_db


def if_we_find() -> str:
    return reverse("hidden-conditions", args=[painted_floor().job.pk])


def change_new() -> str:
    return reverse("change-new", args=[signed_kitchen().pk])


def milestone_reached() -> str:
    return reverse("milestone-reached", args=[milestone(signed_floor(), "Begun").pk])


@pytest.mark.parametrize("page", [if_we_find, change_new, milestone_reached])
def test_photos_are_drawn_once_and_before_the_turn(
    signed_in: Client, monkeypatch: pytest.MonkeyPatch, page: Callable[[], str]
) -> None:
    address, before, drawn_in = page(), len(connection.savepoint_ids), []

    def clean(file: IO[bytes], size: int, longest_side: int) -> bytes:
        drawn_in.append(len(connection.savepoint_ids))
        return photo().getvalue()

    monkeypatch.setattr("estimating.forms.photos.clean_photo", clean)
    picture = SimpleUploadedFile("floor.jpg", photo().getvalue(), "image/jpeg")
    today = timezone.localdate().isoformat()
    signed_in.post(address, {"reached_on": today, "photos": [picture], "form_key": "once"})
    assert drawn_in == [before]
