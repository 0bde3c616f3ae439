"""Cleaning of uploaded photos and scans, before they are kept.

An image is decoded and encoded anew as JPEG, which drops everything but the picture: place, camera, hidden
content (ASVS 5.0, 5.2.2 and 14.2.8). A PDF is kept as it is and is only ever downloaded, never shown.
"""

from dataclasses import dataclass
from typing import IO

from estimating.client.redraw import MOST_PIXELS, CannotRedraw, TooBusy, pixels_of, redraw

MOST_BYTES = 10 * 1024 * 1024
JPEG, PDF = "image/jpeg", "application/pdf"


class UnreadableScan(ValueError):
    """A file that can't be kept; the message says what is wrong and what would be right."""


@dataclass(frozen=True)
class CleanScan:
    """A cleaned file: its bytes, and "image/jpeg" or "application/pdf"."""

    content: bytes
    content_type: str


def clean_scan(file: IO[bytes], size: int, longest_side: int = 3000, quality: int = 85) -> CleanScan:
    """Return a photo (JPEG, PNG) or a scan (PDF), cleaned; a photo with at most so many pixels a side.

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
    return CleanScan(_redrawn(content, longest_side, quality), JPEG)


def _redrawn(content: bytes, longest_side: int, quality: int) -> bytes:
    """Return the picture as JPEG. Raises UnreadableScan, also where it unfolds to too many pixels."""
    try:
        if pixels_of(content) > MOST_PIXELS:
            raise UnreadableScan("The photo has over 50 million pixels. Take it smaller.")
        return redraw(content, longest_side, quality)
    except CannotRedraw as error:
        raise UnreadableScan("The file isn't a photo that can be read. Choose a JPEG or a PNG.") from error
    except TooBusy as error:
        raise UnreadableScan("Other photos are still at work. Wait a minute, then send it again.") from error
