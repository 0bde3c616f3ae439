"""The firm's logo and color: taken, cleaned, and carried by the papers made from then on."""

import io
from base64 import b64decode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalog.models import Firm
from estimating.estimates.snapshots import firm_party
from tests.catalog.letterhead.svg import DISC, OPEN

pytestmark = pytest.mark.django_db


def send(signed_in: Client, name: str = "", content: bytes = b"", **values: str) -> str:
    file = {"file": SimpleUploadedFile(name, content)} if name else {}
    answer = signed_in.post(reverse("letterhead"), {**values, **file}, follow=True)
    return " ".join(answer.content.decode().split())


def shown() -> dict[str, object]:
    return firm_party(Firm.current()).for_snapshot()


def test_a_picture_is_drawn_anew_on_white_and_a_color_kept_beside_it(signed_in: Client) -> None:
    clear = io.BytesIO()
    Image.new("RGBA", (900, 300), (255, 0, 0, 0)).save(clear, "PNG")
    send(signed_in, "logo.png", clear.getvalue(), color="1D5A9E")
    logo = shown()["logo"]
    assert isinstance(logo, dict)
    with Image.open(io.BytesIO(b64decode(logo["jpeg"]))) as picture:
        assert picture.size == (700, 233)
        assert picture.getpixel((10, 10)) == (255, 255, 255)
    assert shown()["color"] == "#1d5a9e"


def test_a_drawing_is_rebuilt_and_can_be_taken_away_again(signed_in: Client) -> None:
    text = send(signed_in, "logo.svg", f'{OPEN}{DISC}<metadata onload="x()"/></svg>'.encode())
    logo = shown()["logo"]
    assert isinstance(logo, dict)
    assert "<circle" in logo["svg"]
    assert "onload" not in logo["svg"]
    assert logo["svg"] in text  # the page shows it as papers will
    send(signed_in, without="on")
    assert "logo" not in shown()


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("logo.svg", f"{OPEN}<script/></svg>".encode(), "Save it as plain SVG"),
        ("logo.svg", b"<svg \xff", "isn&#x27;t an SVG that can be read"),
        ("logo.pdf", b"%PDF-1.4 %%EOF", "A PDF can&#x27;t be a logo"),
        ("logo.png", b"no picture", "Choose a JPEG or a PNG"),
    ],
)
def test_what_can_be_no_logo_is_refused_with_what_would_be_right(
    signed_in: Client, name: str, content: bytes, says: str
) -> None:
    assert says in send(signed_in, name, content)
    assert "logo" not in shown()


def test_a_color_that_cannot_be_read_is_refused(signed_in: Client) -> None:
    assert "too light to be read on white paper" in send(signed_in, color="#ffee00")
    assert "color" not in shown()
