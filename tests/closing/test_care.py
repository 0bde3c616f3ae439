"""The care sheet: what stands on it, and who gets the makers' papers."""

from datetime import date
from decimal import Decimal
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
from estimating.models import Document, Job, JobLink
from jobsite.models import Choice, ChoiceMade
from tests.closing.lists import end_job, floor_with_warranty
from tests.drawn_once import drawn
from tests.estimating.client_visits import sent, visit
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import agreed, make_change, signed_change

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
    monkeypatch.setattr("closing.care.read.MOST_ENCLOSED", len(PDF) - 1)
    sheet = PdfReader(BytesIO(drawn(signed_in.get(f"/jobs/{job.pk}/care/sheet.pdf").content)))
    assert sheet.attachments == {}
    assert "attached to this file" not in sheet.pages[0].extract_text()


def test_what_the_client_chose_stands_on_the_sheet_once_its_change_is_signed_and_until_it_is_filled_in(
    signed_in: Client,
) -> None:
    job = floor_with_warranty()
    page = JobLink.objects.create(
        job=job, name="Dean", seed="s", secret_sha256="s", made_at=AT, expires_at=AT
    )
    change = make_change(job, "Finish: Gloss")
    for what, of in (("Grout color", None), ("Finish", change)):
        choice = Choice.objects.create(job=job, what=what, shown_at=AT)
        offer = choice.offers.create(title="Sand", says="Sealed")
        made = {"name": "Dean", "at": AT, "page": page, "difference": Decimal(of and 60 or 0), "change": of}
        ChoiceMade.objects.create(choice=choice, offer=offer, **made)
    (grout,) = read_care_snapshot(job, Firm.current(), DAY)["entries"]
    assert (grout["name"], grout["facts"]) == ("Grout color", ["Chosen: Sand", "Note: Sealed"])
    agreed(change, "Gloss", "1", "", "60.00")
    signed_change(change)
    names = [entry["name"] for entry in read_care_snapshot(job, Firm.current(), DAY)["entries"]]
    assert names == ["Grout color", "Finish"]
    signed_in.post(f"/jobs/{job.pk}/care/", {"name": "grout color", "color": "Sand, lot 7", "on": ""})
    entries = read_care_snapshot(job, Firm.current(), DAY)["entries"]
    assert [entry["facts"] for entry in entries[:1]] == [["Color or finish: Sand, lot 7"]]
    assert len(entries) == 2


def test_a_paper_that_may_ask_for_a_password_is_kept_and_said_to(signed_in: Client) -> None:
    job = floor_with_warranty()
    locked = SimpleUploadedFile("a.pdf", PDF.replace(b"keep", b"trailer << /Encrypt 9 0 R >> keep"))
    url = f"/materials/{paint_of(job).pk}/papers/"
    answer = signed_in.post(url, {"name": "Care", "file": locked}, follow=True)
    assert "if it asks for a password" in answer.content.decode()
