"""A supplier's file taken in three steps, and old prices moved by an index."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from catalog.models import Package, PriceColumns, Supplier, SupplierItem
from tests.factories import make_material

pytestmark = pytest.mark.django_db

PASTED = "Cost\tNo\tItem\n44.00\tA1\tpaint\n90.00\tA2\tgrout\n5.00\tA3\tmystery\n"


@pytest.fixture
def supplier() -> Supplier:
    make_material("paint")
    make_material("grout", "lb", "25", "21.40")
    return Supplier.objects.create(name="Larkin Paint Store")


def columns_page(browser: Browser, supplier: Supplier) -> str:
    page = browser.post(reverse("supplier-file"), {"supplier": supplier.pk, "pasted": PASTED})
    assert "Which column is which" in page.content.decode()
    sent: str = page.context["sent"]
    return sent


def prices_page(browser: Browser, supplier: Supplier) -> str:
    chosen = {"sent": columns_page(browser, supplier), "price": "0", "code": "1", "words": "2", "unit": ""}
    page = browser.post(reverse("supplier-columns"), chosen)
    said = page.content.decode()
    assert "paint, 1 gal; now $40.00" in " ".join(said.split())
    assert "$90.00 is 321% more than $21.40, the price so far." in said
    assert "no package here" in said
    sent: str = page.context["sent"]
    return sent


def test_prices_are_taken_once_seen_and_a_doubtful_one_only_where_it_is_ticked(
    signed_in: Browser, supplier: Supplier
) -> None:
    sent = prices_page(signed_in, supplier)
    signed_in.post(reverse("supplier-take"), {"sent": sent})
    paint, grout = (Package.objects.get(material__name=name) for name in ("paint", "grout"))
    assert (paint.price.amount, paint.priced_on) == (Decimal("44.00"), timezone.localdate())
    assert grout.price.amount == Decimal("21.40")
    signed_in.post(reverse("supplier-take"), {"sent": sent, "right": ["3"]})
    grout.refresh_from_db()
    assert grout.price.amount == Decimal("90.00")


def test_columns_and_what_the_supplier_calls_a_package_are_remembered(
    signed_in: Browser, supplier: Supplier
) -> None:
    sent = prices_page(signed_in, supplier)
    assert PriceColumns.objects.get().columns == {"code": 1, "words": 2, "price": 0}
    asked = signed_in.post(reverse("supplier-take"), {"sent": sent, "for-4": "paint, 1 gal"})
    assert "$5.00 is 88% less than $40.00" in asked.content.decode()  # the package named just now
    again = {"sent": asked.context["sent"], "for-4": "paint, 1 gal", "right": ["4"]}
    signed_in.post(reverse("supplier-take"), again)
    assert {item.key for item in SupplierItem.objects.all()} == {"a1", "a3"}


def test_nothing_is_taken_of_a_page_that_was_tampered_with(signed_in: Browser, supplier: Supplier) -> None:
    answer = signed_in.post(reverse("supplier-take"), {"sent": "x"}, follow=True)
    assert "Choose the file again" in answer.content.decode()
    assert Package.objects.get(material__name="paint").price.amount == Decimal("40.00")


def test_an_old_price_moved_by_an_index_is_an_estimate_until_it_is_typed(signed_in: Browser) -> None:
    make_material("board", price="18.50")
    long_ago = timezone.localdate() - timedelta(days=900)
    Package.objects.update(priced_on=long_ago)
    package = Package.objects.get()
    typed = {
        "name": "WPU1371 gypsum products",
        "then": "310.2",
        "then_month": "Nov 2025",
        "now": "333.4",
        "now_month": "Oct 2026",
        "packages": [package.pk],
    }
    signed_in.post(reverse("price-index"), typed)
    package.refresh_from_db()
    assert (package.price.amount, package.priced_on) == (Decimal("19.88"), long_ago)
    listed = signed_in.get(reverse("materials")).content.decode()
    assert "an estimate, moved by WPU1371 gypsum products: 310.2 in Nov 2025" in " ".join(listed.split())
    signed_in.post(
        reverse("package-price", args=[package.pk]),
        {"price": "20.00", "priced_on": timezone.localdate().isoformat()},
    )
    package.refresh_from_db()
    assert (package.price.amount, package.estimated_by) == (Decimal("20.00"), "")


def test_an_index_that_doubles_prices_is_asked_about(signed_in: Browser) -> None:
    make_material("board")
    Package.objects.update(priced_on=timezone.localdate() - timedelta(days=900))
    typed = {"name": "x", "then": "100", "then_month": "a", "now": "250", "now_month": "b"}
    page = signed_in.post(reverse("price-index"), typed | {"packages": [Package.objects.get().pk]})
    assert "less than half or more than twice" in page.content.decode()
    assert Package.objects.get().price.amount == Decimal("40.00")
