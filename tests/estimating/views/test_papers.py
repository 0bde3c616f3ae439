"""The Papers place of a job: the preview, the PDFs, and what stands in their way."""

from datetime import date

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from estimating.documents.pdf import PANGO_MISSING, PangoMissing
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Allowance, ClientSupply, Estimate, Job
from estimating.views import papers
from tests.estimating.signed_kitchen import photo
from tests.factories import (
    add_component,
    make_assembly,
    make_client,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_operation,
    make_painting,
    make_room,
    put_on,
)
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db
PDFS = ["estimate-pdf", "shopping-list-pdf"]


@pytest.fixture
def estimate() -> Estimate:
    """A painted floor of 120 sq ft: 2 gal at $40.00 and 1.2 hours."""
    job = make_job(client=make_client(name="Marisol and Dean Okonjo", email="okonjo@example.com"))
    estimate = make_estimate(job)
    put_on(estimate, make_painting(), make_room(job))
    return estimate


def shown(browser: Browser, name: str, job: Job, status: int = 200) -> str:
    answer = browser.get(reverse(name, args=[job.pk]))
    assert answer.status_code == status
    return answer.content.decode()


def test_the_page_shows_the_estimate_as_it_is_printed(signed_in: Browser, estimate: Estimate) -> None:
    page = shown(signed_in, "job-papers", estimate.job)
    assert "Estimate: Kitchen" in page
    assert "120 sq ft of floor" in page
    # 1.2 h x 70.00, 2 x 40.00 and a supply run of 2 h x 70.00, each with 20 %: 100.80 + 96.00 + 168.00
    assert "$364.80" in page
    assert "paper.css" in page


def test_the_preview_shows_no_cost_rate_or_hours(signed_in: Browser, estimate: Estimate) -> None:
    page = shown(signed_in, "job-papers", estimate.job)
    article = page[page.index("<article") : page.index("</article>")]
    assert [figure for figure in ("84.00", "80.00", "70.00", "1.2", "hour") if figure in article] == []


@pytest.mark.parametrize("name", PDFS)
def test_a_paper_opens_in_the_browser_under_a_readable_name(
    signed_in: Browser, estimate: Estimate, name: str
) -> None:
    answer = signed_in.get(reverse(name, args=[estimate.job.pk]))
    assert answer.headers["Content-Type"] == "application/pdf"
    named = f"{name.removesuffix('-pdf')}-okonjo-kitchen.pdf"
    assert answer.headers["Content-Disposition"] == f'inline; filename="{named}"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "no-store"
    assert "Kitchen" in text_of(answer.content)


def test_the_estimate_says_what_the_database_holds(signed_in: Browser, estimate: Estimate) -> None:
    brought = make_material("light trim", unit="each")
    item = put_on(estimate, make_assembly("swap trims", measure="floor"), estimate.job.rooms.get())
    ClientSupply.objects.create(item=item, material=brought, needed_by=date(2027, 2, 1))
    aside = make_assembly("edge strip")
    estimate.asides.create(assembly=aside)
    Allowance.objects.create(estimate=estimate, name="Faucet", amount=300, decide_by=date(2026, 12, 11))
    option = put_on(estimate, make_assembly("second color"), estimate.job.rooms.get(), is_option=True)
    option.decide_by = date(2027, 1, 15)
    option.save()
    estimate.terms = "Paid in thirds."
    estimate.save()
    text = text_of(signed_in.get(reverse("estimate-pdf", args=[estimate.job.pk])).content)
    for words in (
        "light trim, for swap trims. At the house by Mon 1 Feb 2027.",
        "edge strip",
        "Faucet: $360.00 is inside the price. Choose by Fri 11 Dec 2026.",
        "Decide by Fri 15 Jan 2027.",
        "Paid in thirds.",
    ):
        assert words in text


def test_the_shopping_list_says_what_the_catalog_holds(signed_in: Browser, estimate: Estimate) -> None:
    text = text_of(signed_in.get(reverse("shopping-list-pdf", args=[estimate.job.pk])).content)
    assert "paint 2 gal 2 × 1 gal at $40.00" in text
    assert "No supplier named" in text


def test_a_price_older_than_the_firm_allows_is_marked(signed_in: Browser, estimate: Estimate) -> None:
    make_firm(stale_after_days=0)
    text = text_of(signed_in.get(reverse("shopping-list-pdf", args=[estimate.job.pk])).content)
    assert "old price, from Tue 24 Nov 2026: ask again" in text


@pytest.mark.parametrize("name", PDFS)
def test_without_work_there_is_no_paper_and_the_reason_is_said(signed_in: Browser, name: str) -> None:
    page = shown(signed_in, name, make_job(), status=409)
    assert "There is no work in the estimate yet." in page


@pytest.mark.parametrize(("name", "status"), [("job-papers", 200), ("estimate-pdf", 409)])
def test_work_that_cannot_be_taken_off_is_named(
    signed_in: Browser, estimate: Estimate, name: str, status: int
) -> None:
    brushing = make_assembly("trim paint", measure="base")
    add_component(brushing, make_operation("brush", rate="1 hour per 20 ft", unit="ft"))
    put_on(estimate, brushing)
    page = shown(signed_in, name, estimate.job, status=status)
    assert "trim paint: Base isn&#x27;t known here: type it in by hand." in page


def test_hostile_words_are_shown_as_text(signed_in: Browser, estimate: Estimate) -> None:
    estimate.job.client.name = "<script>alert(1)</script><img src=file:///etc/passwd>"
    estimate.job.client.save()
    page = shown(signed_in, "job-papers", estimate.job)
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page
    assert signed_in.get(reverse("estimate-pdf", args=[estimate.job.pk])).status_code == 200


def test_a_machine_without_pango_says_how_to_get_it(
    signed_in: Browser, estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_pango(snapshot: object) -> bytes:
        raise PangoMissing(PANGO_MISSING)

    monkeypatch.setattr(papers, "make_pdf", no_pango)
    assert "brew install pango" in shown(signed_in, "estimate-pdf", estimate.job, status=503)


@pytest.mark.parametrize("name", ["job-papers", *PDFS])
def test_papers_are_for_whoever_is_signed_in(client: Browser, estimate: Estimate, name: str) -> None:
    answer = client.get(reverse(name, args=[estimate.job.pk]))
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith(reverse("login"))


@pytest.mark.parametrize("name", ["job-papers", *PDFS])
def test_a_job_that_is_not_there_is_not_found(signed_in: Browser, name: str) -> None:
    assert signed_in.get(reverse(name, args=[999_999])).status_code == 404


@pytest.mark.parametrize(
    ("client", "job", "name"),
    [
        ("Marisol and Dean Okonjo", "Kitchen", "estimate-okonjo-kitchen.pdf"),
        ("Marisol and Dean Okonjo", "Okonjo kitchen", "estimate-okonjo-kitchen.pdf"),
        ("Łucja Őrsi", "Bath / 2nd floor", "estimate-orsi-bath-2nd-floor.pdf"),
        ("山田", "台所", "estimate.pdf"),
        ('a"; x=\r\n', "../../etc", "estimate-x-etc.pdf"),
    ],
)
def test_file_names_are_plain_and_name_the_client_once(client: str, job: str, name: str) -> None:
    assert pdf_file_name("estimate", make_job(client=make_client(name=client), name=job)) == name


def test_a_file_name_has_hyphens_alone_between_its_words() -> None:
    job = make_job(client=make_client(name="Marisol Okonjo"), name="Kitchen")
    assert pdf_file_name("signed change_order 2", job) == "signed-change-order-2-okonjo-kitchen.pdf"


def test_more_lines_cost_no_more_queries(signed_in: Browser, estimate: Estimate) -> None:
    address = reverse("job-papers", args=[estimate.job.pk])
    few = count_queries(signed_in, address)
    room, assembly = estimate.job.rooms.get(), estimate.items.get().assembly
    assert assembly
    for _ in range(20):
        put_on(estimate, assembly, room)
    assert count_queries(signed_in, address) == few


def count_queries(browser: Browser, address: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(address).status_code == 200
    return len(queries)


def test_photos_are_captioned_chosen_and_printed(signed_in: Browser, estimate: Estimate) -> None:
    page = reverse("estimate-photos", args=[estimate.job.pk])
    signed_in.post(page, {"photos": [photo(), photo(80)]})
    kept, other = estimate.photos.all()
    signed_in.post(page, {f"caption-{kept.pk}": "The sink wall", f"printed-{kept.pk}": "on"})
    paper = signed_in.get(reverse("job-papers", args=[estimate.job.pk])).content.decode()
    assert paper.count("<figcaption>") == 1
    assert 'alt="The sink wall"' in paper
    too_many = signed_in.post(page, {"photos": [photo(90 + number) for number in range(5)]})
    assert "at most 6 photos and has 2: remove one first" in too_many.content.decode()
    signed_in.post(reverse("estimate-photo-remove", args=[other.pk]))
    assert list(estimate.photos.all()) == [kept]
