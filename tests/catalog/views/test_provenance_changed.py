"""The lists say what the firm changed, can show that alone, and one page has it beside the shipped values."""

from pathlib import Path

import pytest
from django.db.models import Model
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Assembly, Kit, Material, Operation, Package
from catalog.starter.load import load
from tests.catalog.starter.small_catalog import SMALL, write
from tests.factories import make_firm, make_material

LISTS = {"assemblies": Assembly, "materials": Material, "operations": Operation, "kits": Kit}


@pytest.fixture(autouse=True)
def shipped(db: None, tmp_path: Path) -> None:
    make_firm()
    load(write(tmp_path, paint=SMALL))


def marks(client: Client, name: str, **asked: str) -> list[tuple[str, str]]:
    result = client.get(reverse(name), asked).context["result"]
    return [(row.code, label) for row, label in result.rows]


@pytest.mark.parametrize("name", LISTS)
def test_what_is_as_it_was_shipped_has_no_mark(signed_in: Client, name: str) -> None:
    assert [mark for _, mark in marks(signed_in, name)] == [""]
    assert marks(signed_in, name, changed="1") == []
    assert "all of it is as supplied" in signed_in.get(reverse(name), {"changed": "1"}).content.decode()


def _columns(row: Model) -> dict[str, object]:
    """What makes a row, but not its key and what was shipped in it."""
    columns = [column.attname for column in row._meta.concrete_fields]
    return {name: getattr(row, name) for name in columns if name not in ("id", "shipped")}


@pytest.mark.parametrize(("name", "model"), LISTS.items())
def test_what_he_changed_is_marked_and_shown_alone(
    signed_in: Client, name: str, model: type[Material]
) -> None:
    model.objects.update(name="Named otherwise")
    row = model.objects.get()
    model.objects.bulk_create([model(**_columns(row) | {"code": "mine", "name": "Of my own"})])
    assert marks(signed_in, name, changed="1") == [(row.code, "changed by you"), ("mine", "your own")]
    assert "changed by you" in signed_in.get(reverse(name)).content.decode()


def test_a_price_of_his_own_marks_its_material(signed_in: Client) -> None:
    make_material("Plain")
    Package.objects.update(price="41.50")
    assert marks(signed_in, "materials", changed="1", words="paint") == [("paint", "changed by you")]


def test_one_page_has_his_values_beside_the_shipped_ones(signed_in: Client) -> None:
    Package.objects.update(price="41.50")
    Operation.objects.update(wait_hours=3)
    Kit.objects.update(name="My room")
    Assembly.objects.create(code="mine", name="Work of my own", phase="finish", measure="floor")
    page = signed_in.get(reverse("catalog-changed")).content.decode()
    for text in ("$41.50", "default: $40.00", "default: A room", "Work of my own</a> is your own"):
        assert text in page
    assert page.count("Reset") == 2  # a kit is made anew as quickly


def test_one_page_without_a_change_says_so(signed_in: Client) -> None:
    page = signed_in.get(reverse("catalog-changed")).content.decode()
    assert page.count("all of this is as supplied") == len(LISTS)


def test_unchanged_rows_cost_the_page_no_queries(
    signed_in: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    load()
    with django_assert_max_num_queries(30):
        signed_in.get(reverse("catalog-changed"))
