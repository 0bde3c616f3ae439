"""From a snapshot to the bytes of a PDF. The only file that imports the PDF library.

The library is slow to import and needs Pango, so it is imported when the first PDF is made. A PDF depends
on its snapshot alone: the same snapshot gives the same bytes.
"""

import contextlib
import gc
import hashlib
import io
import json
import threading
from base64 import b64decode
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from estimating.documents.billing_hooks import billing
from estimating.documents.drawing_process import beside
from estimating.documents.pdf_metadata import ACCESSIBLE, Attachment, with_schemas

STATIC = Path(settings.BASE_DIR) / "static"
TEMPLATES = {
    "care": "documents/care.html",
    "change_order": "documents/change_order.html",
    "completion": "documents/completion.html",
    "contract": "documents/contract.html",
    "credit_note": "documents/credit_note.html",
    "estimate": "documents/estimate.html",
    "invoice": "documents/invoice.html",
    "job_file": "documents/job_file.html",
    "lead_pamphlet": "documents/lead_pamphlet.html",
    "lead_record": "documents/lead_record.html",
    "letter": "documents/letter.html",
    "receipt": "documents/receipt.html",
    "shopping list": "documents/shopping_list.html",
    "signed": "documents/signed.html",
    "statement": "documents/statement.html",
    "cut_sheet": "documents/cut_sheet.html",
    "waiver": "documents/waiver.html",
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

# What follows it in the style sheet asks for widths of screens, which the library doesn't know.
SCREEN_ALONE = "/* On a screen alone"

UNDATED = datetime(2000, 1, 1, tzinfo=UTC)  # of a file inside, so that the same papers give the same bytes
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
    """The HTML of a document asked for something that isn't one of the project's own assets."""


def make_pdf(snapshot: Mapping[str, Any], enclosed: Sequence[tuple[str, bytes]] = ()) -> bytes:
    """Return the PDF of a snapshot: PDF/UA-1, and PDF/A-3 too where billing puts a file inside.

    `enclosed` are names and contents of files that a reader of the PDF finds attached to it.

    Raises PangoMissing, ForeignAddress, and what the writer of the attached file raises.
    """
    key = json.dumps(snapshot, sort_keys=True, ensure_ascii=False).encode()
    attachment = billing().attachment(snapshot)
    html = render_to_string(TEMPLATES[snapshot["kind"]], {"snapshot": snapshot})
    identifier = hashlib.sha256(key).hexdigest()[:32].encode()
    return beside(_render, html, identifier, attachment, tuple(enclosed))


def _render(
    html: str, identifier: bytes, attachment: Attachment | None, enclosed: Sequence[tuple[str, bytes]]
) -> bytes:
    return renderer().render(html, identifier, attachment, enclosed)


@cache
def renderer() -> "PdfRenderer":
    """Return the one renderer of this process: style sheets parsed and fonts read once.

    Raises PangoMissing.
    """
    return PdfRenderer()


class PdfRenderer:
    """Turns HTML into PDF. It reads the project's own fonts and nothing else, whatever the HTML asks for."""

    def __init__(self) -> None:
        self._library = _library()
        self._one_at_a_time = threading.Lock()
        self.asked_for: list[str] = []
        self._fetcher = _own_assets_only(self._library, self.asked_for)
        self._fonts = self._library.text.fonts.FontConfiguration()
        self._sheets = [
            self._library.CSS(string=text, url_fetcher=self._fetcher, font_config=self._fonts)
            for text in (FONT_FACES, (STATIC / "paper.css").read_text().partition(SCREEN_ALONE)[0])
        ]

    def render(
        self,
        html: str,
        identifier: bytes,
        attachment: Attachment | None = None,
        enclosed: Sequence[tuple[str, bytes]] = (),
    ) -> bytes:
        """Return the pages as a tagged PDF; `identifier` is the file's own ID, in letters that a
        reader keeps: the library writes it as it is, and a carriage return would be read as a line feed.

        Raises ForeignAddress.
        """
        with self._one_at_a_time, _garbage_collection_off():
            return self._drawn(html, identifier, attachment, enclosed)  # whose pages are then garbage

    def _drawn(
        self,
        html: str,
        identifier: bytes,
        attachment: Attachment | None,
        enclosed: Sequence[tuple[str, bytes]],
    ) -> bytes:
        try:
            pages = self._library.HTML(string=html, url_fetcher=self._fetcher).render(
                stylesheets=self._sheets, font_config=self._fonts
            )
            if attachment is None:
                pdf: bytes = pages.write_pdf(
                    finisher=_scope_heads,
                    pdf_variant="pdf/ua-1",
                    pdf_identifier=identifier,
                    attachments=[self._enclosed(name, content) for name, content in enclosed],
                )
                return pdf
            return self._archival(pages, identifier, attachment)
        except self._library.urls.FatalURLFetchingError as error:
            raise ForeignAddress(str(error)) from error

    def _enclosed(self, name: str, content: bytes) -> Any:
        return self._library.Attachment(
            string=content, name=name, description=name, created=UNDATED, modified=UNDATED
        )

    def _archival(self, pages: Any, identifier: bytes, attachment: Attachment) -> bytes:
        """Write PDF/A-3 with a file inside.

        For that variant the library leaves out the property that marks the PDF as PDF/UA, so it is added.
        """
        describe = pages.metadata.generate_rdf_metadata
        pages.metadata.generate_rdf_metadata = lambda *variant: with_schemas(
            describe(*variant), ACCESSIBLE, attachment.schema
        )
        file = self._library.Attachment(
            string=attachment.content,
            name=attachment.name,
            description=attachment.description,
            relationship="Alternative",
            created=attachment.created,
            modified=attachment.created,
        )
        pdf: bytes = pages.write_pdf(
            finisher=_finish_archival, pdf_variant="pdf/a-3a", pdf_identifier=identifier, attachments=[file]
        )
        return pdf


def _finish_archival(document: Any, pdf: Any) -> None:
    """Put right what the library leaves that PDF/A-3 forbids, or a checker of it holds against a file.

    It lists the attached file twice, packs the metadata, and lets readers smooth images.
    """
    files = pdf.catalog["AF"]
    files[:] = dict.fromkeys(files)
    for item in pdf.objects:
        values = getattr(item, "extra", {})
        if values.get("Type") == "/Metadata":
            item.compress = False
        if "Interpolate" in values:
            values["Interpolate"] = "false"
    _scope_heads(document, pdf)


def _scope_heads(document: Any, pdf: Any) -> None:
    """Say of each head of a table whether it is one of a column or of a row, which the library leaves out.

    PDF/UA-1 (ISO 14289-1, 7.5) wants heads to be told from data without guessing. A head inside the head of
    its table is one of a column.
    """
    elements = {item.reference: item for item in pdf.objects if _tag(item)}
    for element in elements.values():
        if _tag(element) == "/TH" and "A" in element:
            above = element
            while _tag(above) in ("/TH", "/TR"):
                above = elements[above["P"]]
            element["A"]["Scope"] = "/Column" if _tag(above) == "/THead" else "/Row"


def _tag(item: Any) -> str:
    """Return the tag of an element of the structure; empty for any other object."""
    return item.get("S", "") if hasattr(item, "get") and item.get("Type") == "/StructElem" else ""


def _library() -> ModuleType:
    """Import the PDF library, without the advice that it prints before it fails; ours replaces it."""
    try:
        with contextlib.redirect_stdout(io.StringIO()):
            import weasyprint
            import weasyprint.text.fonts
            import weasyprint.urls
    except OSError as error:
        raise PangoMissing(PANGO_MISSING) from error
    library: ModuleType = weasyprint
    return library


def _own_assets_only(library: ModuleType, asked_for: list[str]) -> Any:
    """Return a URL fetcher that serves the table of assets and notes every address asked for.

    It stops the rendering at any other address: an ordinary exception would let the document go out with a
    hole. A photo comes from the HTML itself, as a data URL, and nothing is fetched for it.
    """
    urls = library.urls

    # The library is imported late and carries no types.
    class OwnAssets(urls.URLFetcher):  # type: ignore[name-defined, misc]
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
def _garbage_collection_off() -> Iterator[None]:
    """Put off the collection of garbage to the end of a rendering.

    Collecting in the middle costs a quarter of the time; what a rendering leaves is collected after it,
    when all of it is still in the youngest generation.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
            gc.collect(0)
