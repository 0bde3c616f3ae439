"""Pictures are drawn anew one at a time, within bounds, beside the server."""

import io
import subprocess
import threading
import time
from typing import Any

import pytest
from PIL import Image

from estimating.client.photos import clean_photo
from estimating.client.redraw import MOST_WAITING, CannotRedraw, TooBusy, pixels_of, redraw
from estimating.client.uploads import UnreadableScan
from tests.estimating.signed_kitchen import photo


def png(width: int, height: int, mode: str = "RGBA") -> bytes:
    file = io.BytesIO()
    Image.new(mode, (width, height)).save(file, "PNG")
    return file.getvalue()


def test_a_picture_is_drawn_to_the_longest_side_as_jpeg() -> None:
    with Image.open(io.BytesIO(redraw(png(900, 300), 600, 80))) as drawn:
        assert (drawn.format, drawn.mode, drawn.size) == ("JPEG", "RGB", (600, 200))


def test_pixels_are_counted_from_the_header_without_decoding() -> None:
    whole = png(7000, 7000, "L")
    assert pixels_of(whole[:100]) == 49_000_000


def test_a_picture_with_too_many_pixels_is_refused_without_drawing_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("estimating.client.uploads.redraw", None)
    flood = png(8000, 8000, "L")
    with pytest.raises(UnreadableScan, match="over 50 million pixels"):
        clean_photo(io.BytesIO(flood), len(flood))


@pytest.mark.parametrize("spoiled", [png(300, 300)[:-40], photo().getvalue()[:200], b"GIF89a"])
def test_what_cannot_be_drawn_is_said(spoiled: bytes) -> None:
    with pytest.raises(CannotRedraw):
        redraw(spoiled, 600, 80)


def test_one_is_drawn_at_a_time_and_few_may_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once: list[int] = []
    drawn, now = 0, 0

    def run(*args: Any, **kwargs: Any) -> Any:
        nonlocal drawn, now
        now += 1
        at_once.append(now)
        time.sleep(0.2)
        now, drawn = now - 1, drawn + 1
        raise subprocess.TimeoutExpired("redraw", 1)

    def ask() -> None:
        with pytest.raises(CannotRedraw):
            redraw(b"", 600, 80)

    monkeypatch.setattr(subprocess, "run", run)
    threads = [threading.Thread(target=ask) for _ in range(MOST_WAITING)]
    for thread in threads:
        thread.start()
    with pytest.raises(TooBusy):
        redraw(b"", 600, 80)
    for thread in threads:
        thread.join()
    assert (max(at_once), drawn) == (1, MOST_WAITING)


def test_the_many_others_are_said_beside_the_field(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("estimating.client.redraw._waiting", threading.Semaphore(0))
    taken = photo()
    with pytest.raises(UnreadableScan, match="Wait a minute"):
        clean_photo(taken, taken.getbuffer().nbytes)
