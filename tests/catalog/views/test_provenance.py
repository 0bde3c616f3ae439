"""Where a number comes from: value, source, formula, prices, what was shipped, and who uses it."""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from django.db import models
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.assemblies.formulas import FORMULAS, rate_from
from catalog.models import Assembly, Component, Material, Operation, Package
from catalog.starter.load import load
from catalog.starter.shipped import changes, shipped_values
from tests.catalog.starter.small_catalog import SMALL, write
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_operation,
    make_room,
    put_on,
)

FILM = {
    "material": "paint",
    "formula": "paint_film",
    "inputs": {"volume_solids": "40", "dry_film": "2"},
    "source": "the data sheet",
}


@pytest.fixture(autouse=True)
def shipped(db: None, tmp_path: Path) -> None:
    walls = SMALL["assemblies"][0]
    walls = walls | {"components": [*walls["components"], FILM]}
    load(write(tmp_path, paint={**SMALL, "assemblies": [walls]}))


@pytest.fixture
def film() -> Component:
    return Component.objects.get(formula="paint_film")


def page(client: Client, name: str, row: models.Model) -> str:
    answer = client.get(reverse(name, args=[row.pk]))
    assert answer.status_code == 200
    return answer.content.decode()


def test_labor_shows_its_three_rates_what_they_come_to_and_their_source(signed_in: Client) -> None:
    said = page(signed_in, "operation-where", Operation.objects.get())
    for words in ("200 sq ft per hour", "150 sq ft per hour", "100 sq ft takes 1 hour.", "invented"):
        assert words in said
    assert "all of this is as supplied" in said
    assert "Paint walls" in said


def test_a_material_shows_its_prices_with_day_store_and_that_they_are_invented(signed_in: Client) -> None:
    said = page(signed_in, "material-where", Material.objects.get())
    for words in ("$40.00", "A store", "Mon 16 Nov 2026", "an invented price: type your own"):
        assert words in said


def test_a_price_of_the_firms_own_is_no_invented_one(signed_in: Client) -> None:
    Package.objects.update(price=Decimal("41.50"))
    said = page(signed_in, "material-where", Material.objects.get())
    assert "an invented price" not in said
    assert "Price, your own:</span> $41.50<small>default: $40.00" in said


def test_an_assembly_names_the_rate_and_source_of_each_part(signed_in: Client) -> None:
    said = page(signed_in, "assembly-where", Assembly.objects.get())
    for words in ("350 sq ft per gal; invented", "150 sq ft per hour; invented", "the data sheet"):
        assert words in said


def test_a_formula_shows_each_input_with_its_source(signed_in: Client, film: Component) -> None:
    said = page(signed_in, "component-where", film)
    rate = rate_from("paint_film", film.formula_inputs)
    assert rate.typed in said
    assert FORMULAS["paint_film"].meaning in said
    for words in ("Solids by volume", "40 %", "2 mil", "100 %", "nothing lost, as in theory"):
        assert words in said
    assert reverse("component", args=[film.pk]) in said


def test_labor_in_an_assembly_shows_the_hours_of_the_labor(signed_in: Client) -> None:
    said = page(signed_in, "component-where", Component.objects.get(operation__isnull=False))
    assert "as much as is measured" in said
    assert "150 sq ft per hour" in said


def test_a_nested_assembly_leads_to_its_own_figures(signed_in: Client) -> None:
    inner = make_assembly("inner")
    part = add_component(make_assembly("outer"), inner)
    assert reverse("assembly-where", args=[inner.pk]) in page(signed_in, "component-where", part)


@pytest.mark.parametrize("name", ["material", "operation", "assembly", "component"])
def test_what_is_not_there_is_not_found(signed_in: Client, name: str) -> None:
    assert signed_in.get(reverse(f"{name}-where", args=[99999])).status_code == 404


def test_the_firms_own_is_said_to_be_its_own(signed_in: Client) -> None:
    assert "is your own" in page(signed_in, "operation-where", make_operation("my own work"))


def test_a_change_is_marked_and_put_back_from_the_page(signed_in: Client) -> None:
    roll = Operation.objects.get()
    roll.rate_typed, roll.hours_per_unit = "110 sq ft per hour", Fraction(1, 110)
    roll.save()
    said = page(signed_in, "operation-where", roll)
    assert "Hours, your own:</span> 110 sq ft per hour<small>default: 150 sq ft per hour" in said
    assert "Reset" in said
    assert "Changed by you: hours." in page(signed_in, "operation", roll)
    signed_in.post(reverse("operations-put-back", args=[roll.pk]), {"key": "rate_typed"})
    assert changes(Operation.objects.get()) == ()


def test_a_part_marks_only_what_changed_in_what_the_assembly_is_made_of(signed_in: Client) -> None:
    walls = Assembly.objects.get()
    walls.scope = "My own words."
    walls.save()
    part = walls.components.get(rate_typed="350 sq ft per gal")
    part.waste_percent = 7
    part.save()
    said = page(signed_in, "component-where", part)
    assert "What it is made of: Paint, your own:</span> 350 sq ft per gal; 7% waste; invented" in said
    assert "My own words." not in said


def test_a_refusal_says_why_and_changes_nothing(signed_in: Client) -> None:
    walls = Assembly.objects.get()
    walls.name = "Walls"
    walls.save()
    make_assembly("Paint walls")
    answer = signed_in.post(reverse("assemblies-put-back", args=[walls.pk]), {"key": "name"}, follow=True)
    assert "nothing is put back. Paint walls is the name of another one now" in answer.content.decode()
    assert Assembly.objects.get(pk=walls.pk).name == "Walls"


def test_no_value_but_a_shipped_one_is_put_back(signed_in: Client) -> None:
    address = reverse("operations-put-back", args=[Operation.objects.get().pk])
    assert signed_in.post(address, {"key": "pk"}).status_code == 404
    assert signed_in.post(address).status_code == 404
    assert signed_in.get(address).status_code == 405


@pytest.mark.parametrize("name", ["component", "assembly-edit", "operation", "material-edit"])
def test_what_is_saved_as_it_stands_is_no_change(signed_in: Client, name: str, film: Component) -> None:
    """A browser sends every field, blank ones too, and ends lines in its own way."""
    Assembly.objects.update(caution="One line.\nAnother.")
    walls = Assembly.objects.get()
    walls.shipped = shipped_values(walls) | {"caution": walls.caution}
    walls.save()
    rows: dict[str, Component | Assembly | Operation | Material] = {
        "component": film,
        "assembly-edit": walls,
        "operation": Operation.objects.get(),
        "material-edit": Material.objects.get(),
    }
    row = rows[name]
    address = reverse(name, args=[row.pk])
    form = signed_in.get(address).context["form"]
    sent = {bound.html_name: bound.value() for bound in form if bound.value() not in (None, False)}
    sent = {name: str(value).replace("\n", "\r\n") for name, value in sent.items()}
    assert signed_in.post(address, sent).status_code == 302
    for model in (Assembly, Operation, Material):
        assert changes(model.objects.get()) == ()


def test_a_changed_input_is_a_change_and_changes_the_rate(signed_in: Client, film: Component) -> None:
    typed = {
        "uses": f"material:{film.material_id}",
        "scales_with": "",
        "input-volume_solids": "50",
        "input-dry_film": "2",
        "input-transfer": "100",
        "times": "1",
        "waste_percent": "0",
        "set_up": "0",
        "set_up_per": "job",
        "source": film.source,
    }
    assert signed_in.post(reverse("component", args=[film.pk]), typed).status_code == 302
    film.refresh_from_db()
    assert film.formula_inputs == {"volume_solids": "50", "dry_film": "2"}
    assert film.rate == rate_from("paint_film", film.formula_inputs).per_unit
    assert "Solids by volume 50 %" in changes(Assembly.objects.get())[0].own


def test_the_form_says_what_the_inputs_come_to(signed_in: Client, film: Component) -> None:
    # 2 mil of dry paint at 40 % solids: 231 / (144 x 0.002 / 0.4) = 320.83 sq ft a gallon
    assert "= 320.83 sq ft a gal. 100 sq ft takes 0.31 gal." in page(signed_in, "component", film)


@pytest.mark.parametrize(
    ("solids", "said"),
    [
        ("50", "= 401.04 sq ft a gal. 100 sq ft takes 0.25 gal."),
        ("", "is missing"),
        ("500", "more than 100%"),
    ],
)
def test_inputs_are_worked_out_as_they_are_typed(
    signed_in: Client, film: Component, solids: str, said: str
) -> None:
    asked = {
        "formula": "paint_film",
        "measure": "wall_net",
        "uses": f"material:{film.material_id}",
        "input-volume_solids": solids,
        "input-dry_film": "2",
    }
    assert said in signed_in.get(reverse("component-reading"), asked).content.decode()


@pytest.mark.parametrize(
    "asked", [{"formula": "none"}, {"formula": "grout", "uses": "material:x"}, {"formula": "grout"}]
)
def test_what_can_not_be_worked_out_yet_says_nothing(signed_in: Client, asked: dict[str, str]) -> None:
    assert signed_in.get(reverse("component-reading"), asked | {"measure": "floor"}).content == b""


def test_every_rate_of_a_work_item_leads_to_where_it_comes_from(signed_in: Client) -> None:
    make_firm()
    job = make_job()
    inner, outer = make_assembly("inner"), make_assembly("outer")
    add_component(inner, Material.objects.get(), "60 sq ft per gal")
    add_component(inner, make_operation())
    add_component(outer, inner)
    item = put_on(make_estimate(job), outer, make_room(job))
    said = signed_in.get(reverse("work-item", args=[job.pk, item.pk])).content.decode()
    for part in inner.components.all():
        assert reverse("component-where", args=[part.pk]) in said


@pytest.mark.parametrize("name", ["assembly-where", "component-where", "material-where"])
def test_the_pages_cost_the_same_for_a_large_catalog(
    signed_in: Client, name: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    walls, paint = Assembly.objects.get(), Material.objects.get()
    for number in range(12):
        add_component(walls, make_material(), "1 gal per 100 sq ft")
        add_component(walls, make_operation())
        add_component(make_assembly(measure="wall_net"), paint, "1 gal per 100 sq ft")
        Package.objects.create(material=paint, name=f"size {number}", size=1, price=1)
    last = add_component(walls, make_operation())
    rows: dict[str, models.Model] = {
        "assembly-where": walls,
        "component-where": last,
        "material-where": paint,
    }
    with django_assert_max_num_queries(16):
        page(signed_in, name, rows[name])
