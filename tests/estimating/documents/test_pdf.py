"""Papers as PDF: what they read, how they are built, where their pages break."""

import builtins
import gc
import hashlib
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from django.conf import settings
from pypdf import PdfReader

from estimating.documents import pdf
from estimating.documents.pdf import ForeignAddress, PangoMissing, PdfRenderer, make_pdf, renderer
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.shopping_list import shopping_snapshot
from estimating.snapshots.wording import DocumentParty
from tests.estimating.hidden_sums import hidden_sums, sums_in
from tests.estimating.plain_kitchen import FIRM, kitchen, kitchen_list, kitchen_words, kitchen_work
from tests.pdf_text import pages_of, text_of

pytestmark = pytest.mark.usefixtures("draw_anew")

ROOT = Path(settings.BASE_DIR)
HOSTILE = (
    "<img src=file:///etc/passwd>",
    "<link rel=attachment href=file:///etc/hosts>",
    "<style>p { background: url(http://169.254.169.254/) }</style>",
    "<img src='data:image/svg+xml,<svg xmlns=\"http://www.w3.org/2000/svg\"/>'>",
    "<object data=file:///etc/passwd></object>",
    "<style>@import url(http://example.com/a.css)</style>",
    "<img src=asset:../../../config/settings.py>",
)


def snapshot(**words: Any) -> dict[str, Any]:
    return estimate_snapshot(kitchen_words(**words), kitchen())


def long_snapshot(lines: int = 60, **words: Any) -> dict[str, Any]:
    line = kitchen_work()[0]
    work = tuple(replace(line, key=f"w{n}", title=f"Work item {n}") for n in range(lines))
    return estimate_snapshot(kitchen_words(brought=(), **words), kitchen(work))


def run_python(code: str, **environment: str) -> str:
    """What a fresh Python prints that has this project set up."""
    begin = "import django; django.setup()\n"
    done = subprocess.run(
        [sys.executable, "-c", begin + code],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings", **environment},
    )
    return done.stdout.strip()


@pytest.fixture(scope="module")
def estimate_pdf() -> bytes:
    return make_pdf(snapshot())


def test_the_paper_is_a_tagged_document_with_language_and_title(estimate_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(estimate_pdf)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en-US"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        assert "/StructTreeRoot" in pdf.Root
        with pdf.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["dc:title"] == "Estimate: Kitchen, Marisol and Dean Okonjo"


def test_only_our_own_typeface_is_used_and_it_is_inside(estimate_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(estimate_pdf)) as pdf:
        fonts = [item for item in pdf.objects if _is_font(item)]
        names = {str(font.FontName).partition("+")[2] for font in fonts}
        assert names == {"Inter", "Inter-Bold"}
        assert all("/FontFile2" in font or "/FontFile3" in font for font in fonts)


def _is_font(item: pikepdf.Object) -> bool:
    return isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/FontDescriptor"


def test_nothing_is_attached_linked_or_run(estimate_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(estimate_pdf)) as pdf:
        assert {"/OpenAction", "/AA", "/AF"} & set(pdf.Root.keys()) == set()
        assert "/EmbeddedFiles" not in pdf.Root.get("/Names", {})
        assert [page for page in pdf.pages if "/Annots" in page] == []


def test_the_same_snapshot_gives_the_same_bytes_in_another_process() -> None:
    plain = snapshot()
    here = hashlib.sha256(make_pdf(plain)).hexdigest()
    code = (
        "import hashlib, json, os; from estimating.documents.pdf import make_pdf\n"
        "pdf = make_pdf(json.loads(os.environ['SNAPSHOT'])); print(hashlib.sha256(pdf).hexdigest())"
    )
    assert run_python(code, SNAPSHOT=json.dumps(plain), PYTHONHASHSEED="7") == here


def test_the_file_is_identified_by_its_snapshot_and_dated_by_it(estimate_pdf: bytes) -> None:
    plain = json.dumps(snapshot(), sort_keys=True, ensure_ascii=False).encode()
    with pikepdf.open(io.BytesIO(estimate_pdf)) as pdf:
        assert bytes(pdf.trailer.ID[0]) == hashlib.sha256(plain).hexdigest()[:32].encode()
        assert str(pdf.docinfo["/CreationDate"]).startswith("D:20261124")


@pytest.mark.parametrize(("name", "size"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_the_paper_has_the_size_that_the_firm_chose(name: str, size: tuple[int, int]) -> None:
    for page in PdfReader(io.BytesIO(make_pdf(snapshot(paper_size=name)))).pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == size


@pytest.mark.parametrize("detail", ["total", "phase", "line"])
def test_no_cost_hours_rate_or_profit_reaches_the_page(detail: str) -> None:
    draft = kitchen(runs=4)  # with three, what the trips are sold for is what the cleaning costs
    text = text_of(make_pdf(estimate_snapshot(kitchen_words(detail=detail), draft)))
    assert hidden_sums(draft) & sums_in(text) == set()
    assert "hour" not in text.lower()


def test_the_client_reads_the_answer_then_the_work_then_the_terms_and_signs(estimate_pdf: bytes) -> None:
    text = text_of(estimate_pdf)
    parts = ["On site", "Good until", "Where the money goes", "Yours to decide", "Not in this price"]
    parts += ["Scope of work and price", "Allowance: ", "Options, not"]
    parts += ["Assumptions", "Cautions", "Terms", "Acceptance"]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_firm_and_client_are_introduced_once(estimate_pdf: bytes) -> None:
    text = text_of(estimate_pdf)
    assert text.count("License FF-20418") == 1
    assert text.count("418 Larkspur Lane") == 1
    assert text.count("okonjo@example.com") == 1


def test_every_page_has_its_number_and_what_it_belongs_to() -> None:
    found = pages_of(make_pdf(long_snapshot()))
    assert len(found) > 3
    for number, text in enumerate(found, 1):
        assert f"Page {number} of {len(found)}" in text
        assert "Estimate: Kitchen, Marisol and Dean Okonjo" in text


@pytest.mark.parametrize("lines", [34, 35, 36, 37, 38, 39, 60])
def test_a_total_is_never_parted_from_its_last_rows(lines: int) -> None:
    plain = long_snapshot(lines, detail="line")
    *_, last = (text for text in pages_of(make_pdf(plain)) if f"Total ${float(plain['total']):,.2f}" in text)
    for row in plain["prices"][-2:]:
        assert row["label"] in last


def test_the_head_of_the_price_table_is_on_every_page_of_it() -> None:
    found = pages_of(make_pdf(long_snapshot(80, detail="line")))
    priced = [text for text in found if "$633" in text]
    assert len(priced) > 1
    assert all("Work Price" in text for text in priced)


def test_a_hostile_name_is_shown_as_text_and_nothing_is_asked_for() -> None:
    hostile = " ".join(HOSTILE)
    words = {
        "client": DocumentParty(hostile, address=hostile),
        "firm": replace(FIRM, name=hostile, owner=hostile),
        "job": hostile,
        "terms": hostile,
        "exclusions": hostile,
        "assumptions": hostile,
    }
    draft = kitchen(tuple(replace(work, title=hostile, scope=hostile) for work in kitchen_work()))
    plain = estimate_snapshot(kitchen_words(**words), draft)
    asked_before = len(renderer().asked_for)
    text = text_of(make_pdf(plain)).replace(" ", "")
    assert renderer().asked_for[asked_before:] == []
    for name in HOSTILE:
        assert text.count(name.replace(" ", "")) > 10


@pytest.mark.parametrize("hostile", HOSTILE)
def test_html_that_asks_for_anything_else_is_not_printed(hostile: str) -> None:
    with pytest.raises(ForeignAddress):
        renderer().render(f"<html lang=en><title>t</title>{hostile}<p>text</p>", b"0" * 16)


def test_the_press_reads_its_fonts_and_nothing_else() -> None:
    assert sorted(PdfRenderer().asked_for) == sorted(pdf.ASSETS)


def test_a_note_of_ten_thousand_letters_is_printed_whole() -> None:
    words = {"terms": "word " * 2000, "left_as_is": "x" * 1000}  # one word of ten lines, where none breaks
    text = text_of(make_pdf(snapshot(**words)))
    assert text.count("word") >= 2000
    assert text.count("x") >= 1000


def test_letters_of_other_languages_are_printed_in_our_typeface() -> None:
    pdf = make_pdf(snapshot(client=DocumentParty("Łucja Őrsi-Šimić")))
    assert "Łucja Őrsi-Šimić" in text_of(pdf)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        names = {str(item.FontName).partition("+")[2] for item in opened.objects if _is_font(item)}
    assert {name for name in names if not name.startswith("Inter")} == set()


def test_a_missing_pango_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    real: Callable[..., object] = builtins.__import__

    def without_pango(name: str, *args: object, **kwargs: Any) -> object:
        if name.startswith("weasyprint"):
            print("advice of the library's own")
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without_pango)
    with pytest.raises(PangoMissing) as caught:
        PdfRenderer()
    assert (
        "apt-get install --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
        in str(caught.value)
    )
    assert "brew install pango" in str(caught.value)


def test_measurements_can_be_copied_from_the_paper_as_they_were_typed(estimate_pdf: bytes) -> None:
    assert "Set 12x24 porcelain" in text_of(estimate_pdf)


def test_advice_of_the_pdf_library_does_not_reach_the_user(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    test_a_missing_pango_says_how_to_get_it(monkeypatch)
    assert capsys.readouterr().out == ""


def test_the_pdf_library_is_not_imported_until_a_paper_is_made() -> None:
    assert run_python("import sys, config.urls; print('weasyprint' in sys.modules)") == "False"


@pytest.mark.parametrize("on", [True, False])
def test_the_collector_is_left_as_it_was(on: bool) -> None:
    was_on = gc.isenabled()
    try:
        (gc.enable if on else gc.disable)()
        renderer().render("<html lang=en><title>t</title><p>text</p>", b"0" * 16)
        assert gc.isenabled() is on
    finally:
        (gc.enable if was_on else gc.disable)()


def styles() -> int:
    return sum(type(left).__name__ == "ComputedStyle" for left in gc.get_objects())


def test_the_styles_of_pages_don_t_outlive_their_drawing() -> None:
    """Pages that stay until some later collection are ten megabytes an estimate."""
    usual = gc.get_threshold()
    gc.set_threshold(10**6, 10**6, 10**6)  # nothing is collected by itself
    try:
        gc.collect()
        before = styles()
        renderer().render("<html lang=en><title>t</title><p>text</p>", b"1" * 16)
        assert styles() == before
    finally:
        gc.set_threshold(*usual)


def test_the_shopping_list_is_a_tagged_paper_that_shows_what_to_buy() -> None:
    plain = shopping_snapshot(kitchen_list(), kitchen())
    pdf = make_pdf(plain)
    text = text_of(pdf)
    # ten sheets by layout, as the 142.22 sq ft are 9.5 of them; 142.22 / 95 + 165 / 42 bags of thinset
    assert "10 sheets 3 x 5 ft" in text
    assert "6 × 50 lb bag at $21.40" in text
    assert "Written Tue 24 Nov 2026" in text
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert opened.Root.MarkInfo.Marked


def test_the_last_day_to_sign_and_the_page_to_sign_on_stand_on_the_first_page() -> None:
    pages = pages_of(make_pdf(snapshot(valid_to=date(2027, 1, 2))))
    (signing,) = (number for number, text in enumerate(pages, 1) if "Acceptance" in text)
    assert "Good until Sat 2 Jan 2027" in pages[0]
    assert f"Sign on page {signing}" in pages[0]
