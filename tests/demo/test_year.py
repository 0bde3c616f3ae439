"""The year of the demo is made by the same code as the pages, and holds up to the same checks."""

import io
from datetime import date, timedelta

import pytest
from django.core.management import call_command
from django.test import Client as Browser
from django.urls import reverse

from catalog.starter.load import load
from demo.firm import load_firm
from demo.year import load_year
from estimating.models import Document, Job
from estimating.progress.read import jobs_with_progress
from jobsite.models import CallBack

pytestmark = pytest.mark.django_db(transaction=True)
TODAY = date(2026, 11, 24)


def test_a_year_has_a_job_at_every_stage_and_all_its_papers_hold(browser_of_nobody: Browser) -> None:
    firm, _ = load_firm()
    load()
    pages = load_year(firm, TODAY)
    jobs = {job.name: progress for job, progress in jobs_with_progress(Job.objects.open_jobs(), TODAY)}
    assert {name: progress.next_words for name, progress in jobs.items()} == {
        "Powder room walls": "all is billed and paid",
        "Entry floor": "Invoice INV-1007 is late: remind the client",
        "Laundry room": "2 items left on the punch list",
        "Hall bath, floor and walls": "a question waits: answer the client",
        "Closet shelves and paint": "wait with work and orders: the client can cancel until Fri 27 Nov 2026",
        "Basement walls, to be measured": "measure the first room",
    }
    assert Job.objects.filter(closed=True).count() == 3
    kinds = {"estimate", "change_order", "invoice", "completion"}
    assert set(Document.objects.values_list("kind", flat=True)) == kinds
    assert CallBack.objects.get().job.closed
    first = Document.objects.earliest("issued_at").dated
    assert TODAY - timedelta(days=341) < first < TODAY - timedelta(days=330)
    out = io.StringIO()
    call_command("verify_documents", stdout=out)
    assert "Differences" not in out.getvalue()
    for page in pages:
        address = reverse("client-open", args=[page.secret])
        assert browser_of_nobody.get(address, follow=True).status_code == 200


@pytest.fixture
def browser_of_nobody() -> Browser:
    return Browser()
