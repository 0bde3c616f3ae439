"""What a paper says, read from its PDF."""

import io

from pypdf import PdfReader


def text_of(pdf: bytes | memoryview) -> str:
    """The words of all pages in a row, with single spaces."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())
