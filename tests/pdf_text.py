"""The words that a PDF shows, for tests."""

import io

from pypdf import PdfReader


def pages_of(pdf: bytes | memoryview) -> list[str]:
    """Read the text of each page, every run of white space as one space."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def text_of(pdf: bytes | memoryview) -> str:
    return " ".join(pages_of(pdf))
