"""PDFs drawn once: drawing takes most of a second, and many tests issue the same paper.

No stand-in: the renderer draws each, and what it drew is kept as a file. That depends on HTML, identifier
and attachment, and on code, style sheet and fonts, which stay as they are while the tests run. So the
folder must be made anew for each run, or for several on the same code.
"""

import hashlib
import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from estimating.documents.pdf import PdfRenderer
from estimating.documents.pdf_metadata import Attachment

DRAW = PdfRenderer.render


@contextmanager
def drawn_once(folder: Path) -> Iterator[None]:
    """Keep what is drawn in this folder, which several processes may share, and draw nothing twice."""
    folder.mkdir(exist_ok=True)

    def draw_once(
        renderer: PdfRenderer, html: str, identifier: bytes, attachment: Attachment | None = None
    ) -> bytes:
        asked_for = repr((html, identifier, attachment))
        drawn = folder / f"{hashlib.sha256(asked_for.encode()).hexdigest()}.pdf"
        if not drawn.exists():
            draft = drawn.with_suffix(f".{os.getpid()}.{threading.get_ident()}")
            draft.write_bytes(DRAW(renderer, html, identifier, attachment))
            draft.replace(drawn)  # whole or not at all
        return drawn.read_bytes()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PdfRenderer, "render", draw_once)
        yield


@contextmanager
def drawn_anew() -> Iterator[None]:
    """Draw all that is asked for, even what was drawn before."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PdfRenderer, "render", DRAW)
        yield
