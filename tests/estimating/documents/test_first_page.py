"""The pages of the demo's kitchen: how many, how full, what stands on the first, and what is never parted."""

import io
import re
import subprocess
from decimal import Decimal
from pathlib import Path

import pdfua
import pytest
from pypdf import PdfReader

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from demo.firm import FIXTURES, load_firm
from demo.payments import add_plan
from estimating.changes.issue import prepare_change
from estimating.documents.estimate import prepare_estimate
from estimating.documents.pdf import make_pdf
from estimating.estimate_file.reading import read
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, Job, SigningPlace, WorkItem
from tests.drawn_once import drawn
from tests.estimating.issuing import DAY
from tests.estimating.signed_kitchen import agreed, make_change, photo, signed_kitchen
from tests.pdf_text import pages_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def kitchen() -> Estimate:
    firm, _ = load_firm()
    load()
    file = FIXTURES / "kitchen.json"
    job = read(file.read_text("utf-8"), firm, CatalogReader(firm)).save().job
    add_plan("kitchen", job)
    Job.objects.filter(pk=job.pk).update(signing_place=SigningPlace.HOME)
    return Estimate.current(Job.objects.get(pk=job.pk), firm, DAY)


def paper_of(estimate: Estimate, detail: str) -> bytes:
    estimate.detail = detail
    firm = Firm.current()
    return drawn(make_pdf(prepare_estimate(estimate, firm, read_draft(estimate, firm)).snapshot))


def fill(pdf: bytes) -> list[float]:
    """How far down its text reaches on each page, as a share of the height between the margins."""
    found = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        lowest: list[float] = []

        def note(
            text: str, page: list[float], at: list[float], *rest: object, lowest: list[float] = lowest
        ) -> None:
            height = page[3] * at[5] + page[5]  # the page counts from its top, in pixels
            if text.strip() and height > 60:  # above the foot
                lowest.append(height)

        page.extract_text(visitor_text=note)
        found.append((750 - min(lowest)) / (750 - 60))
    return found


@pytest.mark.parametrize(
    ("detail", "walls", "most"),
    [("line", False, 5), ("phase", False, 5), ("total", False, 5), ("line", True, 6)],
)
def test_the_kitchen_answers_on_its_first_page_and_fits_in_five_with_none_half_empty(
    kitchen: Estimate, detail: str, walls: bool, most: int, tmp_path: Path
) -> None:
    kitchen.show_walls = walls
    pdf = paper_of(kitchen, detail)
    pages = pages_of(pdf)
    assert len(pages) <= most + 2
    assert [text for text in pages if "NOTICE OF CANCELLATION" in text] == pages[-2:]
    assert all(share >= 2 / 3 for share in fill(pdf)[:-3])
    (signing,) = (number for number, text in enumerate(pages, 1) if "Acceptance" in text)
    assert signing == len(pages) - 2
    assert f"Sign on page {signing}" in pages[0]
    answers = ("$24,902.11", "To begin $2,490.21", "About 28 working days", "Good until", "Appliances")
    assert [answer for answer in answers if answer not in pages[0]] == []
    whole = " ".join(pages)
    cabinets = 'Kitchen, wall A, base cabinets: filler 4", drawers 18", 21", 21", sink 36"'
    assert (cabinets in whole) == walls
    assert ("How the walls look" in whole) == walls
    assert whole.count("Check the subfloor and screw it down") == 1
    assert not [text for text in pages if re.search(r"(Trim|Floor|Board)( \$[\d,.]+)? Estimate:", text)]
    path = tmp_path / "estimate.pdf"
    path.write_bytes(pdf)
    # It knows 15 % of the machine-checkable rules of PDF/UA-1, and says itself that it proves no more.
    assert [str(finding) for finding in pdfua.validate(str(path)).findings] == []


def test_no_sum_reaches_past_the_margin_however_large(kitchen: Estimate, tmp_path: Path) -> None:
    WorkItem.objects.create(estimate=kitchen, title="More", phase="trim", material_cost=Decimal(900_000))
    path = tmp_path / "estimate.pdf"
    path.write_bytes(paper_of(kitchen, "line"))
    read = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True)
    words = re.findall(r'xMax="([\d.]+)" yMax="[^"]+">(.*?)</word>', read.stdout)
    margin = max(float(end) for end, word in words if word.isdecimal())  # the number of pages ends there
    assert [word for end, word in words if float(end) > margin + 0.5] == []


def test_a_change_of_three_lines_is_one_page_and_its_notices() -> None:
    change = make_change(signed_kitchen(), days=2, found="The dishwasher leaked under the sink run.")
    for title, quantity, unit in (
        ("Joist", "1", "each"),
        ("Hanger", "2", "each"),
        ("Drying fan", "2", "days"),
    ):
        agreed(change, title, quantity, unit, "30.00")
    Job.objects.update(signing_place=SigningPlace.HOME)
    change.job.refresh_from_db()
    pdf = make_pdf(prepare_change(change, Firm.current(), DAY).snapshot)
    first, *rest = pages_of(pdf)
    assert [page[:22] for page in rest] == ["NOTICE OF CANCELLATION"] * 2
    words = (
        "1 at $30.00.",
        "2 at $30.00 each.",
        "2 days at $30.00.",
        "New sum",
        "Acceptance",
        "Wren Tolliver",
    )
    assert [word for word in words if word not in first] == []


def test_four_photos_stand_two_to_a_row_over_their_captions(kitchen: Estimate) -> None:
    captions = ["Sink wall", "Under the dishwasher", "Panel", "Base cabinets"]
    for number, caption in enumerate(captions):
        content = photo(600).getvalue()
        kitchen.photos.create(content=content, sha256=f"{number:064}", caption=caption)
    pdf = paper_of(kitchen, "line")
    assert all(share >= 2 / 3 for share in fill(pdf)[:-3])
    pages = PdfReader(io.BytesIO(pdf)).pages
    (page,) = (page for page in pages if "Photos" in page.extract_text())
    at: dict[str, tuple[float, float]] = {}

    def note(text: str, moved: list[float], matrix: list[float], *rest: object) -> None:
        if text.strip() in captions:
            at[text.strip()] = (round(matrix[4]), round(moved[3] * matrix[5] + moved[5]))

    page.extract_text(visitor_text=note)
    first, second, third, fourth = (at[caption] for caption in captions)
    assert first[1] == second[1] > third[1] == fourth[1]
    assert first[0] == third[0] < second[0] == fourth[0]


def test_the_sentence_on_tax_stands_with_the_total(kitchen: Estimate) -> None:
    (page,) = (text for text in pages_of(paper_of(kitchen, "line")) if "Sales tax on materials" in text)
    assert "30 Walk through" in page
    assert "Total $24,902.11 Sales tax on materials" in page
