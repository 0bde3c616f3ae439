"""Cleaning of uploaded photos and scans, before they are kept.

An image is decoded and encoded anew as JPEG, which drops everything but the picture: place, camera, hidden
content (ASVS 5.0, 5.2.2 and 14.2.8). A PDF is kept as it is and is only ever downloaded, never shown.
"""

import io
import warnings
from dataclasses import dataclass
from typing import IO

from PIL import Image, ImageOps, UnidentifiedImageError

MOST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 50_000_000
LONGEST_SIDE = 3000
JPEG, PDF = "image/jpeg", "application/pdf"


class UnreadableScan(ValueError):
    """A file that can't be kept; the message says what is wrong and what would be right."""


@dataclass(frozen=True)
class CleanScan:
    """A cleaned file: its bytes, and "image/jpeg" or "application/pdf"."""

    content: bytes
    content_type: str


def clean_scan(file: IO[bytes], size: int) -> CleanScan:
    """Return a photo (JPEG, PNG) or a scan (PDF), cleaned.

    `size` is its length in bytes, at most 10 MB. Raises UnreadableScan.
    """
    if size > MOST_BYTES:
        raise UnreadableScan("The file is over 10 MB. Take the photo smaller, or scan it in gray.")
    content = file.read(MOST_BYTES + 1)
    if not content:
        raise UnreadableScan("The file is empty. Choose the photo again.")
    if content.startswith(b"%PDF-"):
        if b"%%EOF" not in content[-2048:]:
            raise UnreadableScan("The PDF is cut off. Scan it again.")
        return CleanScan(content, PDF)
    return CleanScan(_reencoded(content), JPEG)


def _reencoded(content: bytes) -> bytes:
    """Return the picture as JPEG. Raises UnreadableScan, also where it unfolds to too many pixels."""
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
    jpeg = io.BytesIO()
    upright.save(jpeg, "JPEG", quality=85)
    return jpeg.getvalue()
