"""Published wages stand beside the firm's own pay, and change nothing of it."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from catalog.models import Firm, Wage
from tests.catalog.price_lists.test_wages import HEAD, OTHER_AREA, PAINT, TILE
from tests.factories import make_firm

pytestmark = pytest.mark.django_db
HAND = {
    "one": "1",
    "code": "47-2044",
    "area": "Fennimore Falls",
    "month": "May 2025",
    "median": "25",
    "low": "",
    "high": "",
}


def test_rows_are_kept_beside_the_rate_and_the_rate_stays(signed_in: Client) -> None:
    make_firm()
    before = Firm.current().labor_rate
    table = SimpleUploadedFile("area.csv", "\n".join((HEAD, TILE, PAINT)).replace("\t", ";").encode())
    sent = {"rows-file": table, "rows-month": "May 2025"}
    shown = signed_in.post(reverse("wages"), sent, follow=True).content.decode()
    assert "2 occupations kept." in shown
    assert "$25.00" in shown
    assert "$17.50 to $38.25" in shown
    assert "Fennimore Falls, May 2025, 47-2044" in shown
    assert "not published" in shown
    assert Firm.current().labor_rate == before


def test_a_newer_figure_takes_the_place_of_the_older_and_can_be_removed(signed_in: Client) -> None:
    for median in ("25", "26.10"):
        assert signed_in.post(reverse("wages"), HAND | {"median": median}).status_code == 302
    wage = Wage.objects.get()
    assert f"{wage.median}" == "$26.10"
    signed_in.post(reverse("wage-remove", args=[wage.pk]))
    assert not Wage.objects.exists()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"rows-month": "May 2025"}, "Choose a file or paste rows"),
        (
            {"rows-month": "May 2025", "rows-pasted": "\n".join((HEAD, TILE, OTHER_AREA))},
            "The rows are of 2 areas",
        ),
        ({"rows-month": "May 2025", "rows-pasted": "no table"}, "There is nothing to read"),
        (HAND | {"median": "a lot"}, "isn&#x27;t a price"),
        (HAND | {"median": "52000"}, "That is no wage of an hour"),
        (HAND | {"low": "30"}, "That is more than the median"),
        (HAND | {"high": "20"}, "That is less than the median"),
    ],
)
def test_what_is_wrong_is_said(signed_in: Client, typed: dict[str, str], sentence: str) -> None:
    answer = signed_in.post(reverse("wages"), typed)
    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    assert not Wage.objects.exists()
