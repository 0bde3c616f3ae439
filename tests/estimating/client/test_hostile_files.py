"""Files that are two things at once, or something else than they say: refused, or nothing of it is left."""

import io

import pytest
from PIL import Image

from estimating.client.uploads import JPEG, MOST_BYTES, PDF, UnreadableScan, clean_scan

SCRIPT = b"<script>alert(1)</script>"


def picture(kind: str = "JPEG", **options: object) -> bytes:
    kept = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(kept, kind, **options)
    return kept.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        b'<svg xmlns="http://www.w3.org/2000/svg">' + SCRIPT + b"</svg>",
        b"<!doctype html>" + SCRIPT,
        b"<!doctype html>" + SCRIPT + b"%PDF-1.7\n%%EOF",  # a PDF for whoever looks for its start anywhere
        b"GIF89a/*" + b"\x00" * 40 + b"*/=1;alert(1)",
        b"PK\x03\x04" + b"\x00" * 60,
        b"%PDF-1.7 cut off",
        b"",
    ],
    ids=["SVG", "HTML", "HTML and PDF", "GIF and script", "ZIP", "cut off", "empty"],
)
def test_what_is_no_photo_and_no_scan_is_refused(content: bytes) -> None:
    with pytest.raises(UnreadableScan):
        clean_scan(io.BytesIO(content), len(content))


@pytest.mark.parametrize(
    ("content", "hidden"),
    [
        (picture() + b"PK\x03\x04" + b"secret.txt" * 9 + b"PK\x05\x06", b"PK"),
        (picture() + b"<?php evil ?>" + SCRIPT, b"<script>"),
        (picture(comment=SCRIPT), b"<script>"),
        (picture("PNG") + SCRIPT, b"<script>"),
        (picture(exif=b"Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x00" + SCRIPT), b"<script>"),
    ],
    ids=["ZIP behind a JPEG", "page behind a JPEG", "script in a comment", "script behind a PNG", "in EXIF"],
)
def test_of_a_photo_that_is_something_else_too_the_picture_alone_is_left(
    content: bytes, hidden: bytes
) -> None:
    assert hidden in content
    clean = clean_scan(io.BytesIO(content), len(content))
    assert clean.content_type == JPEG
    assert clean.content.startswith(b"\xff\xd8\xff")
    assert hidden not in clean.content
    assert Image.open(io.BytesIO(clean.content)).size == (40, 30)


def test_a_scan_that_is_a_page_too_is_kept_as_a_pdf_alone() -> None:
    """It is only ever downloaded, as a PDF that no browser may take for something else."""
    content = b"%PDF-1.7\n" + SCRIPT + b"\n%%EOF"
    assert clean_scan(io.BytesIO(content), len(content)).content_type == PDF


def test_fifty_megabytes_are_refused_before_they_are_read() -> None:
    class Unread(io.BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            raise AssertionError("It was read.")

    with pytest.raises(UnreadableScan, match="over 10 MB"):
        clean_scan(Unread(), 5 * MOST_BYTES)
