"""A rate that was mistyped makes years of work: pages say what it comes to, and none fails."""

import pytest
from django.test import Client as Browser
from django.urls import reverse

from catalog.models import Operation
from tests.estimating.issuing import painted_floor

pytestmark = pytest.mark.django_db


def test_every_page_of_a_job_opens_with_more_work_than_a_calendar_holds(signed_in: Browser) -> None:
    job = painted_floor().job
    Operation.objects.update(hours_per_unit=900)  # for each of 120 sq ft: fifty years
    for page in ("rooms", "work", "price", "money", "papers", "made"):
        assert signed_in.get(reverse(f"job-{page}", args=[job.pk])).status_code == 200, page
    for page in ("days", "hours"):
        assert signed_in.get(reverse(page, args=[job.pk])).status_code == 200, page
    assert signed_in.get(reverse("today")).status_code == 200
    assert signed_in.get(reverse("firm-days")).status_code == 200
    price = signed_in.get(reverse("job-price", args=[job.pk])).content.decode()
    assert "108,000" in price  # hours
