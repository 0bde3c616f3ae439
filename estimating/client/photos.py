"""Photos of what was found, as they are kept: drawn anew, so that place, camera and hidden content are
gone, and small enough that a paper can carry some of them."""

import io
from typing import BinaryIO

from PIL import Image

from estimating.client.uploads import JPEG, UnreadableScan, clean_scan

LONGEST_SIDE = 1200
MOST_PHOTOS = 6


def clean_photo(file: BinaryIO, size: int) -> bytes:
    """A JPEG or PNG of at most 10 MB as a JPEG of at most 1200 pixels a side. Raises UnreadableScan."""
    kept = clean_scan(file, size)
    if kept.content_type != JPEG:
        raise UnreadableScan("That is a PDF. Choose a photo: a JPEG or a PNG.")
    with Image.open(io.BytesIO(kept.content)) as photo:
        if max(photo.size) <= LONGEST_SIDE:
            return kept.content
        photo.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        smaller = io.BytesIO()
        photo.save(smaller, "JPEG", quality=80)
    return smaller.getvalue()
