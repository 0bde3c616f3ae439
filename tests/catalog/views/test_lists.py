"""The lists of the catalog: searching, retiring, deleting, copying, and what they cost in queries."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.models import Assembly, Companion, Kit, KitLine, Material, Operation, Package, Supplier
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_operation,
    make_painting,
    put_on,
)

pytestmark = pytest.mark.every_database

LISTS = ["assemblies", "materials", "operations", "suppliers", "kits"]


def text_of(client: Client, name: str, *args: int, **query: str) -> str:
    answer = client.get(reverse(name, args=args), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_first_page_counts_what_is_offered(signed_in: Client) -> None:
    make_material("Paint")
    Material.objects.create(code="old", name="Old paint", unit="gal", retired=True)
    lists = signed_in.get(reverse("catalog")).context["lists"]
    assert {catalog_list.kind: count for catalog_list, count in lists} == dict.fromkeys(LISTS, 0) | {
        "materials": 1
    }


@pytest.mark.parametrize("name", LISTS)
def test_an_empty_list_says_what_to_do(signed_in: Client, name: str) -> None:
    assert "Nothing here yet." in text_of(signed_in, name)


def test_a_search_finds_every_word_in_any_order(signed_in: Client) -> None:
    make_assembly("Paint walls, two coats")
    make_assembly("Paint ceiling")
    page = text_of(signed_in, "assemblies", words="coats paint")
    assert "Paint walls, two coats" in page
    assert "Paint ceiling" not in page


def test_a_search_while_typing_gives_the_rows_alone(signed_in: Client) -> None:
    make_assembly("Paint walls")
    rows = text_of(signed_in, "assemblies-found", words="walls")
    assert "Paint walls" in rows
    assert "<html" not in rows


def test_a_search_without_result_says_so_and_shows_what_was_typed_as_text(signed_in: Client) -> None:
    page = text_of(signed_in, "materials", words="<b>gold</b>")
    assert "&lt;b&gt;gold&lt;/b&gt;" in page
    assert "<b>gold" not in page


def _material(number: int) -> None:
    material = make_material(f"material no {number}")
    supplier = Supplier.objects.create(name=f"store {number}")
    Package.objects.create(material=material, name="pail", size=5, price=Decimal(9), supplier=supplier)


def _kit(number: int) -> None:
    kit = Kit.objects.create(code=f"b{number}", name=f"kit {number}")
    KitLine.objects.create(kit=kit, assembly=make_assembly(f"in kit {number}"))


MAKE: dict[str, Callable[[int], object]] = {
    "materials": _material,
    "operations": lambda number: make_operation(f"operation {number}x"),
    "assemblies": lambda number: add_component(make_assembly(f"assembly {number}x"), make_operation()),
    "suppliers": lambda number: Supplier.objects.create(name=f"supplier {number}"),
    "kits": _kit,
}


@pytest.mark.parametrize("name", LISTS)
def test_a_longer_list_costs_no_more_queries(signed_in: Client, name: str) -> None:
    make_firm()
    MAKE[name](1)
    with CaptureQueriesContext(
        connection,
    ) as few:
        text_of(signed_in, name)
    for number in range(2, 8):
        MAKE[name](number)
    with CaptureQueriesContext(connection) as many:
        page = text_of(signed_in, name)
    assert len(many) == len(few)
    assert len(many) <= (12 if name == "assemblies" else 6)  # each kind of part, to say what he changed
    assert page.count("<li") > 6


def test_a_retired_row_is_hidden_until_asked_for_and_can_be_brought_back(signed_in: Client) -> None:
    material = make_material("Lead paint")
    signed_in.post(reverse("materials-retire", args=[material.pk]))
    assert "Lead paint" not in signed_in.get(reverse("materials-found")).content.decode()
    assert "Lead paint" in text_of(signed_in, "materials", retired="1")
    signed_in.post(reverse("materials-bring-back", args=[material.pk]))
    assert "Lead paint" in text_of(signed_in, "materials")


def test_nothing_is_retired_by_opening_a_page(signed_in: Client) -> None:
    material = make_material("Paint")
    assert signed_in.get(reverse("materials-retire", args=[material.pk])).status_code == 405


def test_what_an_assembly_uses_is_offered_to_retire_not_to_delete(signed_in: Client) -> None:
    assembly = make_painting()
    paint = assembly.components.first().material
    page = text_of(signed_in, "material", paint.pk)
    assert "Hide it" in page
    assert "Delete it for good" not in page


def test_deleting_what_is_in_use_is_answered_plainly_and_deletes_nothing(signed_in: Client) -> None:
    paint = make_painting().components.first().material
    answer = signed_in.post(reverse("materials-delete", args=[paint.pk]), follow=True)
    assert f"{paint.name} is in use, so it can&#x27;t be deleted." in answer.content.decode()
    assert paint.packages.count() == 1


def test_an_assembly_on_an_estimate_cannot_be_deleted(signed_in: Client) -> None:
    assembly = make_painting()
    put_on(make_estimate(make_job()), assembly)
    signed_in.post(reverse("assemblies-delete", args=[assembly.pk]))
    assert Assembly.objects.filter(pk=assembly.pk).exists()


def test_what_nothing_uses_is_deleted_with_its_packages(signed_in: Client) -> None:
    material = make_material("Wrong thing")
    assert "Delete it for good" in text_of(signed_in, "material", material.pk)
    signed_in.post(reverse("materials-delete", args=[material.pk]))
    assert not Material.objects.exists()
    assert not Package.objects.exists()


def test_an_unused_assembly_is_deleted_with_its_parts_but_not_what_they_use(signed_in: Client) -> None:
    assembly = make_painting()
    signed_in.post(reverse("assemblies-delete", args=[assembly.pk]))
    assert not Assembly.objects.exists()
    assert Material.objects.exists()
    assert Operation.objects.exists()


def test_a_copied_assembly_has_parts_and_companions_of_its_own(signed_in: Client) -> None:
    assembly = make_painting()
    Companion.objects.create(assembly=assembly, companion=make_assembly("mask"), reason="clean edges")
    signed_in.post(reverse("assemblies-copy", args=[assembly.pk]))
    twin = Assembly.objects.get(name="Copy of floor paint")
    assert [(component.uses, component.rate) for component in twin.components.all()] == [
        (component.uses, component.rate) for component in assembly.components.all()
    ]
    assert assembly.components.count() == 2
    assert twin.goes_with.get().reason == "clean edges"
    twin.components.all().delete()
    assert assembly.components.count() == 2


def test_a_copied_material_keeps_its_packages_and_has_a_code_of_its_own(signed_in: Client) -> None:
    paint = make_material("Paint", price="41.25")
    signed_in.post(reverse("materials-copy", args=[paint.pk]))
    twin = Material.objects.get(name="Copy of Paint")
    assert twin.code == "copy-of-paint"
    assert twin.packages.get().price.amount == Decimal("41.25")
    assert paint.packages.count() == 1


def test_a_copy_of_something_retired_is_not_retired(signed_in: Client) -> None:
    kit = Kit.objects.create(code="floor", name="Floor", retired=True)
    KitLine.objects.create(kit=kit, assembly=make_assembly())
    signed_in.post(reverse("kits-copy", args=[kit.pk]))
    twin = Kit.objects.get(name="Copy of Floor")
    assert not twin.retired
    assert twin.lines.count() == 1


def test_an_old_price_is_marked_with_words(signed_in: Client) -> None:
    make_firm(stale_after_days=90)
    make_material("Paint")
    Package.objects.update(priced_on=timezone.localdate() - timedelta(days=120))
    assert "price 120 days old" in text_of(signed_in, "materials")


@pytest.mark.parametrize("name", [*LISTS, "catalog", "firm", "hourly-rate", "price-list-import"])
def test_every_page_needs_sign_in(client: Client, db: None, name: str) -> None:
    answer = client.get(reverse(name))
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("login"))


def test_a_long_list_has_headings_to_jump_to(signed_in: Client) -> None:
    make_firm()
    for number in range(38):
        make_operation(f"caulk {number}")
    make_operation("board")
    assert "#at-" not in text_of(signed_in, "operations")
    make_operation("trim")
    page = text_of(signed_in, "operations")
    assert [f'href="#at-{place}">{letter}<' in page for place, letter in enumerate("BCT", 1)] == [True] * 3


def test_what_uses_a_material_twice_is_named_once(signed_in: Client) -> None:
    make_firm()
    paint, walls = make_material("Paint"), make_assembly("Paint a wall")
    add_component(walls, paint, "1 gal per 300 sq ft")
    add_component(walls, paint, "1 gal per 400 sq ft")
    assert text_of(signed_in, "material", paint.pk).count(">Paint a wall<") == 1


def test_a_supplier_is_not_copied(signed_in: Client) -> None:
    supplier = Supplier.objects.create(name="Fennimore")
    assert signed_in.post(reverse("suppliers-copy", args=[supplier.pk])).status_code == 404
    assert Supplier.objects.count() == 1
