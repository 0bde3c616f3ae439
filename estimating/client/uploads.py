"""The photo or scan of a signed paper, as it came and as it is kept.

An image is decoded and drawn anew as JPEG, which drops everything but the picture: place, camera, hidden
content (ASVS 5.0, 5.2.2 and 14.2.8). A PDF is kept as it is and is only ever downloaded, never shown.
"""

import io
import warnings
from dataclasses import dataclass
from typing import BinaryIO

from PIL import Image, ImageOps, UnidentifiedImageError

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 50_000_000
LONGEST_SIDE = 3000
JPEG, PDF = "image/jpeg", "application/pdf"


class UnreadableScan(ValueError):
    """The file can't be kept; the message says what is wrong and what would be right."""


@dataclass(frozen=True)
class CleanScan:
    """What is kept: the bytes, and "image/jpeg" or "application/pdf"."""

    content: bytes
    content_type: str


def clean_scan(file: BinaryIO, size: int) -> CleanScan:
    """A photo (JPEG, PNG) or a scan (PDF) of at most 10 MB, cleaned. Raises UnreadableScan."""
    if size > MOST_BYTES:
        raise UnreadableScan("The file is over 10 MB. Take the photo smaller, or scan it in gray.")
    content = file.read(MOST_BYTES + 1)
    if not content:
        raise UnreadableScan("The file is empty. Choose the photo again.")
    if content.startswith(b"%PDF-"):
        if b"%%EOF" not in content[-2048:]:
            raise UnreadableScan("The PDF is cut off. Scan it again.")
        return CleanScan(content, PDF)
    return CleanScan(_drawn_anew(content), JPEG)


def _drawn_anew(content: bytes) -> bytes:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _as_jpeg(content)
    except (
        UnidentifiedImageError,
        Image.DecompressionBombError,
        Image.DecompressionBombWarning,
        OSError,
        SyntaxError,
        ValueError,
    ) as error:
        if isinstance(error, UnreadableScan):
            raise
        raise UnreadableScan("The file isn't a photo that can be read. Choose a JPEG or a PNG.") from error


def _as_jpeg(content: bytes) -> bytes:
    with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as photo:
        if photo.width * photo.height > MOST_PIXELS:
            raise UnreadableScan("The photo has over 50 million pixels. Take it smaller.")
        photo.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(photo).convert("RGB")
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    upright.info.clear()
    kept = io.BytesIO()
    upright.save(kept, "JPEG", quality=85)
    return kept.getvalue()
