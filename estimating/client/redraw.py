"""Drawing a picture anew as JPEG, in a process of its own that may take only so much memory and time.

One picture is drawn at a time, and few wait for their turn, so that pages are answered meanwhile. Run as a
program, this file reads the picture from standard input and writes the JPEG; it imports nothing of ours.
"""

import contextlib
import io
import os
import resource
import subprocess
import sys
import threading

from PIL import Image, ImageOps

MOST_PIXELS = 50_000_000
MOST_WAITING = 4  # of the server's threads
SECONDS = 60
MOST_MEMORY = 1024**3

_drawing = threading.Lock()
_waiting = threading.BoundedSemaphore(MOST_WAITING)


class CannotRedraw(ValueError):
    """The file is no picture that can be read."""


class TooBusy(Exception):
    """So many pictures wait to be drawn that no further one may."""


def pixels_of(content: bytes) -> int:
    """Return how many pixels a JPEG or PNG has by its header; nothing is decoded. Raises CannotRedraw."""
    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
            return picture.width * picture.height
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise CannotRedraw from error


def redraw(content: bytes, longest_side: int, quality: int) -> bytes:
    """Return a picture as JPEG, upright, at most so many pixels a side, without anything else in the file.

    Raises CannotRedraw and TooBusy.
    """
    if not _waiting.acquire(blocking=False):
        raise TooBusy
    try:
        with _drawing:
            done = subprocess.run(
                [sys.executable, "-I", __file__, str(longest_side), str(quality)],
                input=content,
                capture_output=True,
                timeout=SECONDS,
                check=True,
            )
    except subprocess.SubprocessError as error:
        raise CannotRedraw from error
    finally:
        _waiting.release()
    return done.stdout


def _main(longest_side: int, quality: int) -> None:
    with contextlib.suppress(ValueError, OSError):  # where the system knows no such limit
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    os.nice(5)
    size = (longest_side, longest_side)
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    picture: Image.Image = Image.open(io.BytesIO(sys.stdin.buffer.read()), formats=("JPEG", "PNG"))
    picture.draft("RGB", size)
    if picture.has_transparency_data:
        picture = picture.convert("RGBA")
        picture = Image.alpha_composite(Image.new("RGBA", picture.size, "white"), picture)
    picture = picture.convert("RGB")
    picture.thumbnail(size)
    picture = ImageOps.exif_transpose(picture)
    picture.info.clear()
    picture.save(sys.stdout.buffer, "JPEG", quality=quality)


if __name__ == "__main__":
    _main(int(sys.argv[1]), int(sys.argv[2]))
