"""A source is named beside the figures that it gave, not beside those that the firm put in their place."""

from decimal import Decimal
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Assembly, Component, Material, Operation, Package
from catalog.starter.load import load
from catalog.starter.own_jobs import OWN_JOBS
from catalog.starter.restore import restore_shipped
from catalog.starter.shipped import changes
from catalog.starter.source_labels import material_source
from tests.catalog.starter.small_catalog import SMALL, write

BOOK = "Carpentry, 1916: 150 sq ft an hour"
OWN_HOURS = f"Your own numbers. Those supplied came from: {BOOK}"
MARKET = {**SMALL["materials"][0], "source": "Price invented for the demo. Tax differs by state."}


@pytest.fixture(autouse=True)
def shipped(db: None, tmp_path: Path) -> None:
    roll = SMALL["operations"][0] | {"source": BOOK}
    load(write(tmp_path, paint={**SMALL, "operations": [roll], "materials": [MARKET]}))


@pytest.fixture
def roll() -> Operation:
    return Operation.objects.get()


def save_hours(client: Client, row: Operation, **typed: str) -> None:
    kept = {
        name: getattr(row, name)
        for name in ("name", "unit", "low_typed", "rate_typed", "high_typed", "set_up_hours", "wait_hours")
    }
    sent = kept | {"source": row.source} | typed
    assert client.post(reverse("operation", args=[row.pk]), sent).status_code == 302
    row.refresh_from_db()


def test_hours_of_the_firms_own_no_longer_name_the_book(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, rate_typed="120 sq ft per hour")
    assert roll.source == OWN_HOURS


def test_hours_typed_as_they_were_shipped_name_the_book_again(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, set_up_hours="0.5")
    assert roll.source == OWN_HOURS
    save_hours(signed_in, roll, set_up_hours="0")
    assert roll.source == BOOK


def test_another_name_leaves_the_source_alone(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, name="Roll it on")
    assert roll.source == BOOK


def test_a_source_that_the_firm_wrote_stays(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, rate_typed="120 sq ft per hour", source="my last three kitchens")
    assert roll.source == "my last three kitchens"


def test_a_source_left_beside_own_hours_is_no_change_of_its_own(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, rate_typed="120 sq ft per hour")
    assert [change.key for change in changes(roll)] == ["rate_typed"]


def test_hours_that_are_put_back_bring_their_source_back(signed_in: Client, roll: Operation) -> None:
    save_hours(signed_in, roll, rate_typed="120 sq ft per hour")
    restore_shipped(roll, "rate_typed")
    assert roll.source == BOOK
    assert changes(roll) == ()


def save_part(client: Client, part: Component, **typed: str) -> None:
    sent = {
        "uses": f"material:{part.material_id}",
        "scales_with": part.scales_with,
        "rate_typed": part.rate_typed,
        "times": "1",
        "waste_percent": "0",
        "set_up": "0",
        "set_up_per": part.set_up_per,
        "source": part.source,
    }
    assert client.post(reverse("component", args=[part.pk]), sent | typed).status_code == 302
    part.refresh_from_db()


def test_a_rate_of_the_firms_own_names_the_shipped_source_as_that_of_the_shipped_rate(
    signed_in: Client,
) -> None:
    part = Component.objects.get(material__isnull=False)
    save_part(signed_in, part, rate_typed="300 sq ft per gal")
    assert part.source == "Your own numbers. Those supplied came from: invented"
    save_part(signed_in, part, rate_typed="350 sq ft per gal")
    assert part.source == "invented"
    assert changes(Assembly.objects.get()) == ()


def test_a_price_of_the_firms_own_is_not_said_to_be_invented(signed_in: Client) -> None:
    material = Material.objects.get()
    assert material_source(material) == MARKET["source"]
    Package.objects.update(price=Decimal("41.50"))
    for page in ("material", "material-where"):
        said = signed_in.get(reverse(page, args=[material.pk])).content.decode()
        assert "Prices are your own. Tax differs by state." in said
        assert "invented" not in said.partition("Prices are your own")[0].rpartition("<h1>")[2]


def test_a_source_from_own_jobs_holds_for_the_rate_that_it_names(signed_in: Client, roll: Operation) -> None:
    learned = f"{OWN_JOBS}8 hours per 1000 sq ft, from 4 jobs."
    save_hours(signed_in, roll, rate_typed="8 hours per 1000 sq ft", source=learned)
    assert roll.source == learned
    save_hours(signed_in, roll, rate_typed="7 hours per 1000 sq ft")
    assert roll.source == OWN_HOURS


def test_restored_hours_have_their_shipped_source_again_instead_of_own_jobs(
    signed_in: Client, roll: Operation
) -> None:
    learned = f"{OWN_JOBS}8 hours per 1000 sq ft, from 4 jobs."
    save_hours(signed_in, roll, rate_typed="8 hours per 1000 sq ft", source=learned)
    restore_shipped(roll, "rate_typed")
    assert roll.source == BOOK
