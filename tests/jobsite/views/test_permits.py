"""Permits with their inspections, and the papers of lead-safe work, as they are entered."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job, MeasureOverride
from jobsite.models import LeadRecord, OutsideEvent, Permit, PermitPhoto
from tests.factories import make_assembly, make_estimate, make_job, make_room, put_on
from tests.jobsite.views.test_receipts import picture
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job(year_built=1951)


@pytest.fixture
def permit(job: Job) -> Permit:
    return Permit.objects.create(job=job, what="Electrical, kitchen", number="E-1042")


def inspected(signed_in: Client, permit: Permit, **typed: Any) -> PageResponse:
    whole = {"title": "Rough wiring", "on": f"{timezone.localdate()}", "result": "", "said": "", **typed}
    return signed_in.post(reverse("inspection-new", args=[permit.pk]), whole)


def test_a_permit_is_kept_with_a_photo_of_its_card(signed_in: Client, job: Job) -> None:
    typed = {"what": "Electrical, kitchen", "number": "E-1042", "photos": picture()}
    signed_in.post(reverse("permit-new", args=[job.pk]), typed)
    permit = Permit.objects.get()
    assert signed_in.get(reverse("permit-photo", args=[PermitPhoto.objects.get().pk])).status_code == 200
    assert f"{permit}" in signed_in.get(reverse("permits", args=[job.pk])).content.decode()


def test_days_of_a_permit_that_are_the_wrong_way_round_are_asked_about(signed_in: Client, job: Job) -> None:
    typed = {"what": "Electrical", "applied_on": "2026-03-02", "issued_on": "2026-03-01"}
    page = signed_in.post(reverse("permit-new", args=[job.pk]), typed)
    assert page.status_code == 422
    assert "That is before Mon 2 Mar 2026" in page.content.decode()


def test_an_inspection_stands_among_the_days_of_the_job(signed_in: Client, permit: Permit) -> None:
    inspected(signed_in, permit)
    event = OutsideEvent.objects.get()
    assert (event.job, event.kind, event.done) == (permit.job, OutsideEvent.Kind.INSPECTION, False)


def test_one_that_is_not_passed_is_followed_by_one_that_holds_back_the_same_work(
    signed_in: Client, permit: Permit
) -> None:
    inspected(signed_in, permit)
    OutsideEvent.objects.update(holds_back="phase:board")
    first = OutsideEvent.objects.get()
    address = reverse("inspection", args=[first.pk])
    typed = {"title": first.title, "on": f"{first.on}", "result": "failed", "said": "Nail plates are missing"}
    signed_in.post(address, typed)
    signed_in.post(address, typed)
    again = OutsideEvent.objects.exclude(pk=first.pk).get()
    assert (again.title, again.holds_back, again.on, again.done) == (
        "Rough wiring, again",
        "phase:board",
        None,
        False,
    )
    first.refresh_from_db()
    assert first.done


@pytest.mark.parametrize(
    ("days", "sentence"), [(None, "Type the day on which it was inspected."), (1, "is still to come")]
)
def test_a_result_has_a_day_that_has_come(
    signed_in: Client, permit: Permit, days: int | None, sentence: str
) -> None:
    on = "" if days is None else f"{timezone.localdate() + timedelta(days=days)}"
    page = inspected(signed_in, permit, on=on, result="passed")
    assert page.status_code == 422
    assert sentence in page.content.decode()


def test_a_removed_permit_leaves_its_inspections_among_the_days(signed_in: Client, permit: Permit) -> None:
    inspected(signed_in, permit)
    signed_in.post(reverse("permit-remove", args=[permit.pk]))
    assert OutsideEvent.objects.get().permit is None


def test_lead_is_asked_about_only_in_a_house_that_may_hold_it(signed_in: Client, job: Job) -> None:
    old = signed_in.get(reverse("permits", args=[job.pk])).content.decode()
    Job.objects.update(year_built=1978)
    newer = signed_in.get(reverse("permits", args=[job.pk])).content.decode()
    assert "Lead-safe work" in old
    assert "Lead-safe work" not in newer


def test_the_papers_of_lead_are_filled_in_from_what_is_known(signed_in: Client, job: Job) -> None:
    typed = {
        "how": "signed",
        "given_to": job.client.name,
        "renovator": "Wren Tolliver",
        "done": ["signs", "floors"],
        "ended_on": "2026-03-09",
    }
    signed_in.post(reverse("lead-record", args=[job.pk]), typed)
    page = signed_in.get(reverse("lead-record", args=[job.pk])).content.decode()
    assert "by Wed 8 Apr 2026 at the latest. Keep it until Fri 9 Mar 2029" in page
    assert LeadRecord.objects.get().done == ["signs", "floors"]
    record = text_of(signed_in.get(reverse("lead-record-pdf", args=[job.pk])).content)
    assert record.count("[x]") == 2
    assert "Wren Tolliver" in record
    pamphlet = text_of(signed_in.get(reverse("lead-pamphlet-pdf", args=[job.pk])).content)
    assert "1951" in pamphlet
    assert f"{job.client.name}, owner" in pamphlet


def scraping(job: Job, begins: date | None, area: str) -> None:
    """Give a job a wall that is scraped, in its bath, on a day."""
    job.work_begins_on = begins
    job.save()
    lead = "Paint is disturbed lead-safe (40 CFR 745.85)."
    scrape = make_assembly(f"scrape {job.pk}", "area", caution=lead)
    item = put_on(make_estimate(job), scrape, make_room(job, name="Bath"))
    MeasureOverride.objects.create(item=item, measure="area", typed=area, amount=Decimal(area), reason="seen")


@pytest.mark.parametrize(
    ("days", "says"),
    [
        (20, "Bath 8 sq ft, more than 6 sq ft"),
        (31, "Bath 4 sq ft, within 6 sq ft"),
        (None, "Not counted, as their days or those of this job aren&#x27;t known: Porch"),
    ],
)
def test_painted_surface_adds_up_over_jobs_at_one_address_within_30_days(
    signed_in: Client, job: Job, days: int | None, says: str
) -> None:
    today = timezone.localdate()
    scraping(job, today, "4")
    other = make_job(name="Porch", year_built=1951, client=job.client, closed=True)
    scraping(other, None if days is None else today + timedelta(days=days), "4")
    page = signed_in.get(reverse("permits", args=[job.pk])).content.decode()
    assert says in page
    assert ("Counted with it, as within 30 days at this address: Porch" in page) is (days == 20)


def test_a_newer_house_has_no_sum_of_painted_surface(signed_in: Client) -> None:
    job = make_job(year_built=1986)
    scraping(job, timezone.localdate(), "40")
    assert "Painted surface" not in signed_in.get(reverse("permits", args=[job.pk])).content.decode()
