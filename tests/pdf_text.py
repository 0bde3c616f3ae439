"""The words that a PDF shows, for tests."""

import io

from pypdf import PdfReader

from tests.drawn_once import drawn


def pages_of(pdf: bytes | memoryview) -> list[str]:
    """Read the text of each page, every run of white space as one space; it is drawn now if it wasn't."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(drawn(pdf))).pages]


def text_of(pdf: bytes | memoryview) -> str:
    return " ".join(pages_of(pdf))
