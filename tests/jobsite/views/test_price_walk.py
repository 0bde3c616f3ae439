"""The walk over the prices of what the firm buys most."""

from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from catalog.models import Package
from jobsite.receipts.most_bought import most_bought
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_job,
    make_material,
    make_painting,
    make_room,
    put_on,
)

pytestmark = pytest.mark.django_db


def test_what_the_work_of_its_jobs_uses_comes_first() -> None:
    for name in ("aaa", "bbb"):
        add_component(make_assembly(f"work {name}"), make_material(name), "1 gal per 10 sq ft")
    job = make_job()
    put_on(make_estimate(job), make_painting(), make_room(job))
    assert [package.material.name for package in most_bought()] == ["paint", "aaa", "bbb"]
    assert len(most_bought(2)) == 2


def test_a_typed_price_counts_as_seen_today_and_an_empty_field_changes_nothing(signed_in: Browser) -> None:
    paint, tape = (make_material(name).packages.get() for name in ("paint", "tape"))
    Package.objects.update(priced_on=None, estimated_by="moved")
    signed_in.post(reverse("price-walk"), {f"price-{paint.pk}": "42.00", f"price-{tape.pk}": ""})
    paint.refresh_from_db()
    tape.refresh_from_db()
    assert (paint.price.amount, paint.priced_on, paint.estimated_by) == (
        Decimal("42.00"),
        timezone.localdate(),
        "",
    )
    assert (tape.priced_on, tape.estimated_by) == (None, "moved")


def test_a_price_that_jumps_is_taken_only_once_it_is_ticked(signed_in: Browser) -> None:
    paint = make_material("paint").packages.get()
    typed = {f"price-{paint.pk}": "4.20"}
    page = signed_in.post(reverse("price-walk"), typed)
    assert "$4.20 is 90% less than $40.00" in page.content.decode()
    signed_in.post(reverse("price-walk"), typed | {f"right-{paint.pk}": "on"})
    paint.refresh_from_db()
    assert paint.price.amount == Decimal("4.20")
