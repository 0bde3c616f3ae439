"""The care sheet: what stands on it, and who gets the makers' papers."""

from datetime import date
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from catalog.models import Firm, Material
from closing.care.read import read_care, read_care_snapshot
from closing.care.sheet import title_of
from closing.models import Installed, MaterialPaper
from estimating.models import Document, Job
from tests.closing.lists import end_job, floor_with_warranty
from tests.drawn_once import drawn
from tests.estimating.client_visits import sent, visit
from tests.estimating.issuing import DAY

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\nkeep it dry\n%%EOF\n"


def paint_of(job: Job) -> Material:
    material = read_care(job)[0].material
    assert material
    return material


def test_one_room_names_the_sheet_and_several_do_not() -> None:
    assert title_of(["Kitchen"]) == "Care of your new kitchen"
    assert title_of(["Kitchen", "Hall"]) == "Care of your new rooms"


def test_a_material_stands_on_the_sheet_once_it_has_words_of_care_or_something_filled_in(
    signed_in: Client,
) -> None:
    job = floor_with_warranty()
    paint = paint_of(job)
    assert read_care_snapshot(job, Firm.current(), DAY)["entries"] == []
    url = f"/jobs/{job.pk}/care/{paint.pk}/"
    posted = {"color": "Oak gray 12", "lot": "7731 B", "grout": "", "on": "2026-11-20", "says": ""}
    assert signed_in.post(url, posted).status_code == 302
    signed_in.post(url, posted | {"lot": "7731 C"})
    Material.objects.filter(pk=paint.pk).update(care="Damp cloth only.")
    signed_in.post(f"/jobs/{job.pk}/care/", {"name": "Cabinet pulls", "color": "Brass", "on": ""})
    first, second = read_care_snapshot(job, Firm.current(), DAY)["entries"]
    assert first == {
        "name": paint.name,
        "facts": ["Color or finish: Oak gray 12", "Lot: 7731 C"],
        "installed_on": "2026-11-20",
        "care": ["Damp cloth only."],
        "papers": [],
    }
    assert second["name"] == "Cabinet pulls"
    assert Installed.objects.count() == 2


def test_the_sheet_says_the_end_and_the_warranty_once_they_are_signed() -> None:
    job = floor_with_warranty()
    assert read_care_snapshot(job, Firm.current(), DAY)["ended_on"] == ""
    end_job(job)
    snapshot = read_care_snapshot(job, Firm.current(), DAY)
    assert (snapshot["ended_on"], snapshot["warranty_to"]) == ("2026-11-24", "2027-11-24")


def test_only_a_pdf_is_kept_as_a_makers_paper_and_once(signed_in: Client) -> None:
    job = floor_with_warranty()
    url = f"/materials/{paint_of(job).pk}/papers/"
    wrong = signed_in.post(url, {"name": "Care", "file": SimpleUploadedFile("a.pdf", b"<html>")})
    assert wrong.status_code == 422
    assert "isn&#x27;t a PDF" in wrong.content.decode()
    cut = signed_in.post(url, {"name": "Care", "file": SimpleUploadedFile("a.pdf", PDF[:-6])})
    assert "The PDF is cut off: its end is missing." in cut.content.decode()
    for name in ("Care", "Care and cleaning"):
        signed_in.post(url, {"name": name, "file": SimpleUploadedFile("a.pdf", PDF)})
    assert MaterialPaper.objects.get().name == "Care and cleaning"
    assert signed_in.get(f"/materials/papers/{MaterialPaper.objects.get().pk}.pdf").content == PDF


def test_a_material_that_is_not_of_the_job_has_no_page_there(signed_in: Client) -> None:
    job = floor_with_warranty()
    other = Material.objects.create(code="other", name="Other", unit="each")
    assert signed_in.get(f"/jobs/{job.pk}/care/{other.pk}/").status_code == 404


def test_a_day_to_come_is_refused(signed_in: Client) -> None:
    job = floor_with_warranty()
    page = signed_in.post(f"/jobs/{job.pk}/care/", {"name": "Pulls", "on": f"{date.max.year - 1}-01-01"})
    assert page.status_code == 422
    assert "still to come" in page.content.decode()


def test_the_client_gets_sheet_and_papers_with_the_signed_end_and_not_before(
    signed_in: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *at: DAY)
    job = floor_with_warranty()
    paint = paint_of(job)
    Material.objects.filter(pk=paint.pk).update(care="Damp cloth only.")
    MaterialPaper.objects.create(material=paint, name="Care and cleaning", content=PDF, sha256="1")
    estimate = job.documents.get(kind=Document.Kind.ESTIMATE)
    client, page = visit(sent(signed_in, estimate))
    assert client.get(f"{page}makers-paper.pdf?number=1").status_code == 404
    client, page = visit(sent(signed_in, end_job(job)))
    assert "Care and cleaning" in client.get(page).content.decode()
    assert client.get(f"{page}makers-paper.pdf?number=1").content == PDF
    assert client.get(f"{page}makers-paper.pdf?number=2").status_code == 404
    assert client.get(f"{page}makers-paper.pdf?number=x").status_code == 404


def test_the_papers_are_attached_to_the_sheet_unless_they_are_too_much_for_a_mail(
    signed_in: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = floor_with_warranty()
    paint = paint_of(job)
    Material.objects.filter(pk=paint.pk).update(care="Damp cloth only.")
    MaterialPaper.objects.create(material=paint, name="Care and cleaning", content=PDF, sha256="1")
    sheet = PdfReader(BytesIO(signed_in.get(f"/jobs/{job.pk}/care/sheet.pdf").content))
    assert sheet.attachments == {"1 care-and-cleaning.pdf": [PDF]}
    assert "attached to this file" in sheet.pages[0].extract_text()
    monkeypatch.setattr("closing.views.care.MOST_ENCLOSED", len(PDF) - 1)
    sheet = PdfReader(BytesIO(drawn(signed_in.get(f"/jobs/{job.pk}/care/sheet.pdf").content)))
    assert sheet.attachments == {}
    assert "attached to this file" not in sheet.pages[0].extract_text()
