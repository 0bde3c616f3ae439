"""The words that a PDF shows, for tests."""

import subprocess
from functools import lru_cache

from lxml import html

from tests.drawn_once import drawn, html_of


def pages_of(pdf: bytes | memoryview) -> list[str]:
    """Read the text of each page, every run of white space as one space; it is drawn now if it wasn't."""
    return list(_pages(drawn(pdf)))


@lru_cache(maxsize=8)  # several tests ask for words of one paper
def _pages(pdf: bytes) -> tuple[str, ...]:
    command = ["pdftotext", "-raw", "-enc", "UTF-8", "-", "-"]
    text = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout.decode()
    return tuple(" ".join(page.split()) for page in text.removesuffix("\f").split("\f"))


def text_of(pdf: bytes | memoryview) -> str:
    return " ".join(pages_of(pdf))


def words_drawn_from(pdf: bytes | memoryview) -> str:
    """Read the words of the HTML that a paper is drawn from, which is left undrawn: for figures alone, as
    it takes a hundredth of the time, and where the words stand isn't known."""
    body = html.fromstring(html_of(pdf)).find("body")
    return " ".join(" ".join(body.itertext()).split())
