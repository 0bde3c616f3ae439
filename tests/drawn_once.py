"""PDFs drawn when a test reads them, and each once: drawing takes most of a second, and most tests that
issue a paper never open it.

Until then a paper is a note of what it will be drawn from, which no reader of PDFs takes: `drawn` gives the
real one for it, and the site is given it where it reads the XML inside a bill. No stand-in is ever read: the
renderer draws each, and what it drew is kept as a file. That depends on HTML, identifier and attachment, and
on code, style sheet and fonts, which stay as they are while the tests run. So the folder must be made anew
for each run, or for several on the same code.
"""

import hashlib
import os
import threading
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from estimating.documents import pdf as drawing
from estimating.documents.pdf_metadata import Attachment
from invoicing.invoices.einvoice_attachment import xml_of

DRAW = drawing._render
UNREAD = b"%PDF-1.7 drawn once a test reads it: "

_folder: Path
_unread: dict[bytes, tuple[bytes, bytes, Attachment | None]] = {}


@contextmanager
def drawn_once(folder: Path) -> Iterator[None]:
    """Draw what is read alone, keep it in this folder, which several processes may share, and draw nothing
    twice."""
    global _folder
    _folder = folder
    folder.mkdir(exist_ok=True)

    def put_off(
        html: str, identifier: bytes, attachment: Attachment | None, enclosed: Sequence[tuple[str, bytes]]
    ) -> bytes:
        if enclosed:
            return DRAW(html, identifier, attachment, enclosed)
        asked_for = repr((html, identifier, attachment))
        key = UNREAD + hashlib.sha256(asked_for.encode()).hexdigest().encode()
        _unread.setdefault(key, (zlib.compress(html.encode(), 1), identifier, attachment))
        return key

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawing, "_render", put_off)  # and the renderer isn't made before it draws
        for reader in ("invoicing.views.issued", "invoicing.invoices.verification"):
            patch.setattr(f"{reader}.xml_of", lambda pdf: xml_of(drawn(pdf)))
        yield


def drawn(pdf: bytes | memoryview) -> bytes:
    """Return the PDF itself, drawn where it was put off; anything else as it is."""
    pdf = bytes(pdf)
    if not pdf.startswith(UNREAD):
        return pdf
    html, identifier, attachment = _unread[pdf]
    file = _folder / f"{pdf.removeprefix(UNREAD).decode()}.pdf"
    if not file.exists():
        draft = file.with_suffix(f".{os.getpid()}.{threading.get_ident()}")
        draft.write_bytes(DRAW(zlib.decompress(html).decode(), identifier, attachment, ()))
        draft.replace(file)  # whole or not at all
    return file.read_bytes()


def html_of(pdf: bytes | memoryview) -> str:
    """Return what a paper is drawn from, where that was put off."""
    html, _, _ = _unread[bytes(pdf)]
    return zlib.decompress(html).decode()


@contextmanager
def drawn_anew() -> Iterator[None]:
    """Draw all that is asked for, at once, even what was drawn before."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawing, "_render", DRAW)
        yield
