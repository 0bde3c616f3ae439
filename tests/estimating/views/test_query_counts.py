"""Pages of an estimate ask the database as often for sixty lines as for three."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Assembly
from estimating.models import Allowance, ClientSupply, Estimate, MeasureOverride
from tests.factories import make_estimate, make_firm, make_job, make_painting, make_room, put_on

pytestmark = [pytest.mark.django_db, pytest.mark.every_database]


def add_lines(estimate: Estimate, assembly: Assembly, count: int) -> None:
    """Work items with two rooms, a measure by hand and a material by the client; as many allowances."""
    rooms = estimate.job.rooms.all()
    material = assembly.components.get(material__isnull=False).material
    assert material is not None
    for number in range(count):
        item = put_on(estimate, assembly, *rooms, title=f"Work {number}")
        MeasureOverride.objects.create(item=item, measure="floor", amount=90, typed="90", reason="half")
        ClientSupply.objects.create(item=item, material=material)
        Allowance.objects.create(estimate=estimate, name=f"Tap {number}", amount=100)


def queries(client: Client, place: str, estimate: Estimate) -> int:
    with CaptureQueriesContext(connection) as asked:
        page = client.get(reverse(place, args=[estimate.job_id]))
    assert page.status_code == 200
    return len(asked)


@pytest.mark.parametrize("place", ["job-work", "job-price", "job-papers"])
def test_the_number_of_queries_does_not_grow_with_the_lines(signed_in: Client, place: str) -> None:
    painting = make_painting()
    estimate = make_estimate(make_job(), make_firm())
    for name in ("Kitchen", "Hall"):
        make_room(estimate.job, name=name)
    add_lines(estimate, painting, 3)
    few = queries(signed_in, place, estimate)
    add_lines(estimate, painting, 57)
    assert queries(signed_in, place, estimate) == few
