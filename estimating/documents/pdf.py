"""From a snapshot to the bytes of a PDF. The only file that imports the PDF library.

The library is slow to import and needs Pango, so it is imported when the first paper is made. A paper
depends on its snapshot alone: the same snapshot gives the same bytes.
"""

import contextlib
import gc
import hashlib
import io
import json
import threading
from base64 import b64decode
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from estimating.documents.pdf_metadata import ACCESSIBLE, Schema, with_marks

STATIC = Path(settings.BASE_DIR) / "static"
TEMPLATES = {
    "change_order": "documents/change_order.html",
    "contract": "documents/contract.html",
    "credit_note": "documents/credit_note.html",
    "estimate": "documents/estimate.html",
    "invoice": "documents/invoice.html",
    "job_file": "documents/job_file.html",
    "receipt": "documents/receipt.html",
    "shopping list": "documents/shopping_list.html",
    "signed": "documents/signed.html",
    "statement": "documents/statement.html",
    "cut_sheet": "documents/cut_sheet.html",
}

# Static fonts embed faster than variable ones, and unpacked ones faster than WOFF2. The second family has
# the letters that the first lacks.
FONTS = (
    ("Inter", 400, "inter-latin-400.ttf"),
    ("Inter", 700, "inter-latin-700.ttf"),
    ("Inter Extended", 400, "inter-latin-ext-400.ttf"),
    ("Inter Extended", 700, "inter-latin-ext-700.ttf"),
)
ASSETS: Mapping[str, Path] = {f"asset:{name}": STATIC / "vendor" / "inter" / name for _, _, name in FONTS}
FONT_FACES = "\n".join(
    f'@font-face {{ font-family: "{family}"; font-weight: {weight}; src: url("asset:{name}"); }}'
    for family, weight, name in FONTS
)

PHOTO = "data:image/jpeg;base64,"

PANGO_MISSING = (
    "PDF papers need Pango, which this machine lacks. Install it and start again.\n"
    "Debian or Ubuntu: apt-get install --no-install-recommends "
    "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0\n"
    "macOS: brew install pango"
)


class PangoMissing(RuntimeError):
    """The library that sets text isn't on this machine; the message says how to install it."""


class ForeignAddress(RuntimeError):
    """A paper asked for something that isn't one of the project's own assets."""


@dataclass(frozen=True)
class Inside:
    """A file inside a PDF that says the same for machines. `schema` marks the PDF as its bearer."""

    name: str
    content: bytes
    says: str
    schema: Schema
    dated: datetime


# A higher app puts in what writes that file for a kind of paper, from the same snapshot.
INSIDE: dict[str, Callable[[Mapping[str, Any]], Inside]] = {}


def make_pdf(snapshot: Mapping[str, Any]) -> bytes:
    """The paper of a snapshot as PDF/UA-1 bytes; as PDF/A-3 too where a file stands inside.

    Raises PangoMissing and ForeignAddress, and what the writer of that file raises.
    """
    key = json.dumps(snapshot, sort_keys=True, ensure_ascii=False).encode()
    write = INSIDE.get(snapshot["kind"])
    inside = write(snapshot) if write else None
    html = render_to_string(TEMPLATES[snapshot["kind"]], {"paper": snapshot})
    return press().print(html, hashlib.sha256(key).digest()[:16], inside)


@cache
def press() -> "Press":
    """The one press of this process: style sheets parsed and fonts read once. Raises PangoMissing."""
    return Press()


class Press:
    """Prints HTML. It reads the project's own fonts and nothing else, whatever the HTML asks for."""

    def __init__(self) -> None:
        self._library = _library()
        self._one_at_a_time = threading.Lock()
        self.asked_for: list[str] = []
        self._fetcher = _own_assets_only(self._library, self.asked_for)
        self._fonts = self._library.text.fonts.FontConfiguration()
        self._sheets = [
            self._library.CSS(string=text, url_fetcher=self._fetcher, font_config=self._fonts)
            for text in (FONT_FACES, (STATIC / "paper.css").read_text())
        ]

    def print(self, html: str, identifier: bytes, inside: Inside | None = None) -> bytes:
        """The pages as a tagged PDF. `identifier` is the file's own 16 bytes. Raises ForeignAddress."""
        fatal = self._library.urls.FatalURLFetchingError
        with self._one_at_a_time, _collector_off():
            try:
                pages = self._library.HTML(string=html, url_fetcher=self._fetcher).render(
                    stylesheets=self._sheets, font_config=self._fonts
                )
                if inside is None:
                    return pages.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=identifier)
                return self._archived(pages, identifier, inside)
            except fatal as error:
                raise ForeignAddress(str(error)) from error

    def _archived(self, pages: Any, identifier: bytes, inside: Inside) -> bytes:
        """With a file inside, by PDF/A-3; the library leaves out the mark of PDF/UA then, so it is added."""
        describe = pages.metadata.generate_rdf_metadata
        pages.metadata.generate_rdf_metadata = lambda *variant: with_marks(
            describe(*variant), ACCESSIBLE, inside.schema
        )
        file = self._library.Attachment(
            string=inside.content,
            name=inside.name,
            description=inside.says,
            relationship="Alternative",
            created=inside.dated,
            modified=inside.dated,
        )
        return pages.write_pdf(
            finisher=_named_once, pdf_variant="pdf/a-3a", pdf_identifier=identifier, attachments=[file]
        )


def _named_once(document: Any, pdf: Any) -> None:
    """The library names the file inside twice among the associated files of the PDF."""
    files = pdf.catalog["AF"]
    files[:] = dict.fromkeys(files)


def _library() -> ModuleType:
    """The PDF library. It prints advice of its own before it fails, which ours replaces."""
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            import weasyprint
            import weasyprint.text.fonts
            import weasyprint.urls
    except OSError as error:
        raise PangoMissing(PANGO_MISSING) from error
    return weasyprint


def _own_assets_only(library: ModuleType, asked_for: list[str]) -> Any:
    """A fetcher with a table of assets. It notes every address asked for, and stops the print at any
    that isn't in the table: an ordinary exception would let the paper go out with a hole. A photo that
    stands in the HTML itself is asked of nobody."""
    urls = library.urls

    class OwnAssets(urls.URLFetcher):
        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> Any:
            if url.startswith(PHOTO):
                jpeg = b64decode(url.removeprefix(PHOTO), validate=True)
                return urls.URLFetcherResponse("", jpeg, {"Content-Type": "image/jpeg"})
            asked_for.append(url)
            if url not in ASSETS:
                raise urls.FatalURLFetchingError(f"{url[:200]} isn't an asset of this project.")
            return urls.URLFetcherResponse(url, ASSETS[url].read_bytes(), {"Content-Type": "font/ttf"})

    return OwnAssets(allowed_protocols=("asset", "data"), allow_redirects=False)


@contextlib.contextmanager
def _collector_off() -> Iterator[None]:
    """Collecting garbage in the middle costs a quarter of a print; what a print leaves is collected at its
    end, as all of it is young then."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
            gc.collect(0)
