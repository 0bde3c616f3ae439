"""The pages of the demo's kitchen: how many, how full, what stands on the first, and what is never parted."""

import io
import re
from pathlib import Path

import pdfua
import pytest
from pypdf import PdfReader

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from demo.firm import FIXTURES, load_firm
from demo.payments import add_plan
from estimating.documents.estimate import prepare_estimate
from estimating.documents.pdf import make_pdf
from estimating.estimate_file.reading import read
from estimating.estimates.draft import read_draft
from estimating.models import Estimate, Job, SigningPlace
from tests.drawn_once import drawn
from tests.estimating.issuing import DAY
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

        def note(text: str, _: object, at: list[float], *rest: object, lowest: list[float] = lowest) -> None:
            if text.strip() and at[5] > 60:  # above the foot
                lowest.append(at[5])

        page.extract_text(visitor_text=note)
        found.append((750 - min(lowest)) / (750 - 60))
    return found


@pytest.mark.parametrize("detail", ["line", "total"])
def test_the_kitchen_answers_on_its_first_page_and_fits_in_five_with_none_half_empty(
    kitchen: Estimate, detail: str, tmp_path: Path
) -> None:
    pdf = paper_of(kitchen, detail)
    pages = pages_of(pdf)
    assert len(pages) <= 7
    assert [text for text in pages if "NOTICE OF CANCELLATION" in text] == pages[-2:]
    assert all(share >= 2 / 3 for share in fill(pdf)[:-3])
    (signing,) = (number for number, text in enumerate(pages, 1) if "Acceptance" in text)
    assert signing == len(pages) - 2
    assert f"sign at the end, page {signing}" in pages[0]
    answers = ("$25,607.36", "To begin $2,560.73", "About 29 working days", "Good until", "Appliances")
    assert [answer for answer in answers if answer not in pages[0]] == []
    whole = " ".join(pages)
    assert whole.count("Check the subfloor and screw it down") == 1
    assert not [text for text in pages if re.search(r"(Trim|Floor|Board)( \$[\d,.]+)? Estimate:", text)]
    path = tmp_path / "estimate.pdf"
    path.write_bytes(pdf)
    # It knows 15 % of the machine-checkable rules of PDF/UA-1, and says itself that it proves no more.
    assert [str(finding) for finding in pdfua.validate(str(path)).findings] == []
