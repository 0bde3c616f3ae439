"""How long pricing takes: figures to read, printed beside the aim; no time decides whether a test passes."""

import statistics
import time
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from catalog.models import Assembly, Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from demo.firm import load_firm
from estimating.estimate_file.reading import read
from estimating.estimate_file.rows import EstimateFile
from estimating.estimates.draft import price_draft
from estimating.models import Estimate
from tests.factories import make_estimate, make_job, make_room, put_on

pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]

KITCHEN = Path(settings.BASE_DIR) / "demo_fixtures" / "kitchen.json"
ROUNDS = 30
Report = Callable[[str, int, Callable[[], object]], None]


@pytest.fixture
def report(capsys: pytest.CaptureFixture[str]) -> Report:
    """Takes the time of a call some rounds long, after one that warms up, and prints the median."""

    def taken(what: str, aim_ms: int, call: Callable[[], object]) -> None:
        call()
        took = []
        for _ in range(ROUNDS):
            begun = time.perf_counter()
            call()
            took.append(1000 * (time.perf_counter() - begun))
        with capsys.disabled():
            print(
                f"\n{what}: median {statistics.median(took):.1f} ms,"
                f" least {min(took):.1f}, most {max(took):.1f} (aim: {aim_ms} ms)"
            )

    return taken


@pytest.fixture
def firm(db: None) -> Firm:
    """The demo firm with the shipped catalog."""
    load()
    return load_firm()[0]


@pytest.fixture
def kitchen(firm: Firm) -> EstimateFile:
    return read(KITCHEN.read_text("utf-8"), firm, CatalogReader(firm))


def test_the_kitchen_from_its_file_to_its_price(firm: Firm, report: Report) -> None:
    text = KITCHEN.read_text("utf-8")

    def parse_to_price() -> Decimal:
        firm = Firm.current()
        return read(text, firm, CatalogReader(firm)).draft().priced.total

    assert 20_000 < parse_to_price() < 30_000
    report("Kitchen, file to price, database included", 50, parse_to_price)


def test_the_kitchen_by_the_pure_rules_alone(kitchen: EstimateFile, report: Report) -> None:
    draft = kitchen.draft()
    given = (draft.rooms, draft.works, draft.policy, draft.conventions, draft.allowances)
    assert price_draft(*given).priced.total == draft.priced.total
    report("Kitchen, rules alone", 5, lambda: price_draft(*given))


@pytest.fixture
def long_estimate(firm: Firm) -> Estimate:
    """300 work items on three rooms, of all assemblies that a room measures."""
    job = make_job()
    estimate = make_estimate(job, firm)
    rooms = [make_room(job, name=name) for name in ("Kitchen", "Hall", "Bath")]
    measured = list(Assembly.objects.exclude(measure__in=("each", "length", "area")))
    for number in range(300):
        put_on(estimate, measured[number % len(measured)], rooms[number % 3], title=f"Work {number}")
    return estimate


@pytest.mark.parametrize("place", ["job-work", "job-price", "job-papers"])
def test_a_page_of_a_long_estimate(
    place: str, long_estimate: Estimate, signed_in: Client, report: Report
) -> None:
    address = reverse(place, args=[long_estimate.job_id])
    assert "Work 299" in signed_in.get(address).content.decode()
    report(f"300 lines, {place}", 200, lambda: signed_in.get(address))
