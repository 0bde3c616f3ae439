"""Photos of a job: cleaned like scans, and small enough that a document can carry some of them."""

import io
from typing import IO

from PIL import Image

from estimating.client.uploads import JPEG, UnreadableScan, clean_scan

LONGEST_SIDE = 1200
MOST_PHOTOS = 6


def clean_photo(file: IO[bytes], size: int) -> bytes:
    """Return a JPEG or PNG as a cleaned JPEG of at most 1200 pixels a side.

    `size` is its length in bytes, at most 10 MB. Raises UnreadableScan.
    """
    scan = clean_scan(file, size)
    if scan.content_type != JPEG:
        raise UnreadableScan("That is a PDF. Choose a photo: a JPEG or a PNG.")
    with Image.open(io.BytesIO(scan.content)) as photo:
        if max(photo.size) <= LONGEST_SIDE:
            return scan.content
        photo.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        smaller = io.BytesIO()
        photo.save(smaller, "JPEG", quality=80)
    return smaller.getvalue()
