"""A signature on paper, entered by the firm with a photo of the signed page."""

import io

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from estimating.models import Document
from tests.estimating.client_visits import NAME
from tests.responses import PageResponse


def photo(size: tuple[int, int] = (60, 40), kind: str = "JPEG") -> bytes:
    """A photo that says where it was taken."""
    image, kept = Image.new("RGB", size, "white"), io.BytesIO()
    exif = Image.Exif()
    exif.get_ifd(0x8825)[2] = (41.0, 52.0, 55.0)
    exif[0x010F] = "camera of the foreman"
    image.save(kept, kind, exif=exif)
    return kept.getvalue()


def enter(signed_in: Client, document: Document, content: bytes, name: str = "signed.jpg") -> PageResponse:
    typed = {
        "name": NAME,
        "signed_on": f"{timezone.localdate()}",
        "options": "0",
        "scan": SimpleUploadedFile(name, content),
    }
    return signed_in.post(reverse("paper-signature", args=[document.pk]), typed)
