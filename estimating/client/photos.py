"""Photos of a job: cleaned like scans, and small enough that a document can carry some of them."""

import io
from typing import IO

from PIL import Image

from estimating.client.uploads import JPEG, UnreadableScan, clean_scan

MOST_PHOTOS = 6
LONGEST_SIDE = 1200
SMALL_SIDE, SMALL_QUALITY = 480, 70


def clean_photo(file: IO[bytes], size: int, longest_side: int = LONGEST_SIDE) -> bytes:
    """Return a JPEG or PNG as a cleaned JPEG of at most so many pixels a side.

    `size` is its length in bytes, at most 10 MB. Raises UnreadableScan.
    """
    scan = clean_scan(file, size, longest_side=longest_side, quality=80)
    if scan.content_type != JPEG:
        raise UnreadableScan("That is a PDF. Choose a photo: a JPEG or a PNG.")
    return scan.content


def small_photo(photo: bytes) -> bytes:
    """Return a small JPEG of a photo that was cleaned here, for lists of many."""
    small = io.BytesIO()
    with Image.open(io.BytesIO(photo), formats=("JPEG",)) as picture:
        picture.draft("RGB", (SMALL_SIDE, SMALL_SIDE))
        picture.thumbnail((SMALL_SIDE, SMALL_SIDE))
        picture.save(small, "JPEG", quality=SMALL_QUALITY)
    return small.getvalue()
