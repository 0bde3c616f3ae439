"""A newer starting catalog: what was shipped follows it, what the firm changed stays."""

import copy
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from djmoney.money import Money

from catalog.models import Assembly, Component, Kit, Material, Operation, Package, Supplier
from catalog.rows.copies import copy_of
from catalog.starter.load import LoadReport, UnfitCatalog, load
from catalog.starter.shipped import ChangedValue, changes
from tests.catalog.starter.small_catalog import SMALL, put, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def ship(tmp_path: Path) -> Callable[..., LoadReport]:
    """Loads the small catalog with changes made to it."""

    def shipped(*changed: Callable[[dict[str, Any]], None]) -> LoadReport:
        data = copy.deepcopy(SMALL)
        for change in changed:
            change(data)
        return load(write(tmp_path, paint=data))

    return shipped


def material() -> Material:
    return Material.objects.get(code="paint")


def walls() -> Assembly:
    return Assembly.objects.get(code="walls")


leaner = put("assemblies 0 components 1 rate", "400 sq ft per gal")
faster = put("operations 0 hours", "180 sq ft per hour")


def test_a_value_that_is_still_as_shipped_follows(ship: Callable[..., LoadReport]) -> None:
    ship()
    report = ship(put("materials 0 note", "Stir it."))
    assert material().note == "Stir it."
    assert report.updated["materials"] == ("Paint (note)",)
    assert report.left["materials"] == ()


def test_a_value_that_the_firm_changed_stays_and_the_others_follow(ship: Callable[..., LoadReport]) -> None:
    ship()
    Material.objects.update(note="Shake it.")
    report = ship(put("materials 0 note", "Stir it."), put("materials 0 source", "measured"))
    assert (material().note, material().source) == ("Shake it.", "measured")
    assert report.updated["materials"] == ("Paint (where its numbers come from)",)
    assert report.left["materials"] == ("Paint (note)",)


def test_a_change_of_the_firm_is_said_each_time(ship: Callable[..., LoadReport]) -> None:
    ship()
    Material.objects.update(note="Shake it.")
    assert ship().left["materials"] == ("Paint (note)",)
    assert ship().left["materials"] == ("Paint (note)",)


def test_a_value_that_the_firm_puts_back_follows_again(ship: Callable[..., LoadReport]) -> None:
    ship()
    Material.objects.update(note="Shake it.")
    ship(put("materials 0 note", "Stir it."))
    Material.objects.update(note="Stir it.")
    ship(put("materials 0 note", "Stir it well."))
    assert material().note == "Stir it well."


def test_hours_follow_with_their_range_and_what_they_come_to(ship: Callable[..., LoadReport]) -> None:
    ship()
    ship(faster, put("operations 0 low", "240 sq ft per hour"))
    roll = Operation.objects.get()
    assert (roll.low_hours_per_unit, roll.hours_per_unit) == (Fraction(1, 240), Fraction(1, 180))
    assert roll.high_hours_per_unit == Fraction(1, 100)


def test_hours_of_the_firm_keep_the_range_that_was_shipped_with_them(ship: Callable[..., LoadReport]) -> None:
    ship()
    Operation.objects.update(rate_typed="110 sq ft per hour", hours_per_unit=Fraction(1, 110))
    report = ship(faster, put("operations 0 high", "170 sq ft per hour"))
    roll = Operation.objects.get()
    assert roll.low_hours_per_unit is not None
    assert roll.high_hours_per_unit is not None
    assert roll.low_hours_per_unit <= roll.hours_per_unit <= roll.high_hours_per_unit
    assert report.left["operations"] == ("Roll (hours)",)


def test_components_follow_together(ship: Callable[..., LoadReport]) -> None:
    ship()
    ship(
        put("assemblies 0 components 1 rate", "400 sq ft per gal"), put("assemblies 0 measure", "wall_gross")
    )
    assert walls().measure == "wall_gross"
    assert [component.rate for component in walls().components.all()] == [Fraction(1), Fraction(1, 400)]


def test_components_that_the_firm_changed_stay_whole(ship: Callable[..., LoadReport]) -> None:
    ship()
    Component.objects.filter(material__code="paint").update(
        rate_typed="300 sq ft per gal", rate=Fraction(1, 300)
    )
    report = ship(
        put("assemblies 0 components 1 rate", "400 sq ft per gal"), put("assemblies 0 phase", "trim")
    )
    assert Component.objects.get(material__code="paint").rate == Fraction(1, 300)
    assert walls().phase == "trim"
    assert report.left["assemblies"] == ("Paint walls (what it is made of)",)


def test_how_tile_is_set_follows_where_an_older_catalog_did_not_say(ship: Callable[..., LoadReport]) -> None:
    ship()
    ship(put("assemblies 0 tile", {"joint": "3/16", "offset": "1/3"}))
    assert (walls().tile_joint_nm, walls().tile_offset) == (4_762_500, "1/3")
    Assembly.objects.update(tile_offset="1/2")
    ship(put("assemblies 0 tile", {"joint": "1/8", "offset": "0"}))
    assert (walls().tile_joint_nm, walls().tile_offset) == (3_175_000, "1/2")


def test_companions_and_order_follow(ship: Callable[..., LoadReport]) -> None:
    ship()
    mask = SMALL["assemblies"][0] | {"code": "mask", "name": "Mask"}
    asks = [{"assembly": "mask", "reason": "Drips."}]
    report = ship(
        put("assemblies 1", mask), put("assemblies 0 companions", asks), put("assemblies 0 after", asks)
    )
    assert [companion.companion.code for companion in walls().goes_with.all()] == ["mask"]
    assert [(precedence.earlier.code, precedence.reason) for precedence in walls().waits_for.all()] == [
        ("mask", "Drips.")
    ]
    assert report.created["assemblies"] == ("Mask",)


def test_a_kit_follows(ship: Callable[..., LoadReport]) -> None:
    ship()
    mask = SMALL["assemblies"][0] | {"code": "mask", "name": "Mask"}
    ship(put("assemblies 1", mask), put("kits 0 assemblies", ["mask", "walls"]))
    assert [line.assembly.code for line in Kit.objects.get().lines.all()] == ["mask", "walls"]


def test_a_price_follows_with_its_date_until_the_firm_has_its_own(ship: Callable[..., LoadReport]) -> None:
    gallon = "materials 0 packages 0"
    ship()
    ship(put(f"{gallon} price", "44.00"), put(f"{gallon} priced_on", "2026-12-01"))
    package = Package.objects.get()
    assert (package.price, package.priced_on) == (Money("44.00", "USD"), date(2026, 12, 1))
    package.price, package.priced_on = Decimal("41.00"), date(2026, 12, 2)
    package.save()
    report = ship(put(f"{gallon} price", "48.00"), put(f"{gallon} holds", "0.98"))
    package.refresh_from_db()
    assert (package.price, package.priced_on) == (Money("41.00", "USD"), date(2026, 12, 2))
    assert package.size == Decimal("0.98")
    assert report.left["materials"] == ("Paint (price of gallon)",)


QUART = SMALL["materials"][0]["packages"][0] | {"name": "quart", "holds": "0.25", "price": "14.00"}


def test_a_package_that_is_new_goes_in_and_one_that_was_taken_out_stays_out(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    ship(put("materials 0 packages 1", QUART))
    assert {package.name for package in Package.objects.all()} == {"gallon", "quart"}
    Package.objects.get(name="quart").delete()
    report = ship(put("materials 0 packages 1", QUART))
    assert {package.name for package in Package.objects.all()} == {"gallon"}
    assert report.left["materials"] == ("Paint (quart)",)


def test_a_package_of_the_firm_is_not_overwritten_by_a_new_one_of_its_name(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    mine = Package.objects.create(
        material=material(), name="quart", size=Decimal("0.25"), price=9, supplier=Supplier.objects.get()
    )
    ship(put("materials 0 packages 1", QUART))
    mine.refresh_from_db()
    assert mine.price == Money("9.00", "USD")
    assert Package.objects.filter(name="quart").count() == 1


def test_a_row_that_was_there_before_shipped_values_were_kept_is_the_firms_own(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    for model in (Material, Operation, Assembly, Kit, Package):
        model.objects.update(shipped=None)
    report = ship(faster, put("materials 0 note", "Stir it."), put("materials 0 packages 1", QUART))
    assert report.left["materials"] == ("Paint",)
    assert report.left["assemblies"] == ("Paint walls",)
    assert (material().note, Operation.objects.get().rate_typed) == ("", "150 sq ft per hour")
    assert Package.objects.count() == 1


def test_a_copy_is_the_firms_own(ship: Callable[..., LoadReport]) -> None:
    ship()
    for row in (material(), walls()):
        assert copy_of(row).shipped is None
    assert Package.objects.exclude(material__code="paint").get().shipped is None


def test_a_retired_row_follows_and_stays_retired(ship: Callable[..., LoadReport]) -> None:
    ship()
    Material.objects.update(retired=True)
    ship(put("materials 0 note", "Stir it."))
    assert (material().retired, material().note) == (True, "Stir it.")


def test_a_thing_counted_otherwise_needs_a_code_of_its_own(ship: Callable[..., LoadReport]) -> None:
    ship()
    with pytest.raises(UnfitCatalog) as unfit:
        ship(put("operations 0 unit", "sq yd"), put("materials 0 note", "Stir it."))
    assert unfit.value.faults == (
        "paint.json: roll: it was counted in sq ft when it was supplied before and is counted in sq yd now: "
        "give it a code of its own.",
    )
    assert material().note == ""


def test_new_work_uses_a_material_in_the_unit_that_the_firm_counts_it_in(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    Material.objects.update(unit="qt")
    ship(put("assemblies 1", SMALL["assemblies"][0] | {"code": "again", "name": "Paint again"}))
    assert Component.objects.get(assembly__code="again", material__code="paint").rate == Fraction(4, 350)


def test_new_work_with_a_material_that_the_firm_counts_otherwise_is_a_fault(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    Material.objects.update(unit="lb")
    with pytest.raises(UnfitCatalog, match="again: you count Paint otherwise: gal doesn't convert"):
        ship(put("assemblies 1", SMALL["assemblies"][0] | {"code": "again", "name": "Paint again"}))
    assert Assembly.objects.count() == 1


def test_a_loop_that_only_the_firms_own_work_closes_stops_the_load(ship: Callable[..., LoadReport]) -> None:
    ship()
    mine = Assembly.objects.create(code="mine", name="Mine", phase="finish", measure="wall_net")
    Component.objects.create(assembly=mine, part=walls())
    mine.refresh_from_db()
    shipped = SMALL["assemblies"][0] | {"code": "mine", "name": "Mine"}
    nested = put("assemblies 0 components 2", {"assembly": "mine"})
    with pytest.raises(UnfitCatalog, match="with what you have: .*: An assembly can't be part of itself"):
        ship(put("assemblies 1", shipped), nested)
    assert walls().components.count() == 2


def test_nothing_changed_is_nothing_to_compare(ship: Callable[..., LoadReport]) -> None:
    ship()
    for row in (material(), Operation.objects.get(), walls(), Kit.objects.get(), Package.objects.get()):
        assert changes(row) == ()


def test_what_the_firm_changed_is_shown_beside_what_was_shipped(ship: Callable[..., LoadReport]) -> None:
    ship()
    Operation.objects.update(rate_typed="110 sq ft per hour", hours_per_unit=Fraction(1, 110))
    assert changes(Operation.objects.get()) == (
        ChangedValue("hours", "150 sq ft per hour", "110 sq ft per hour"),
    )


def test_components_are_compared_one_by_one(ship: Callable[..., LoadReport]) -> None:
    ship()
    Component.objects.filter(operation__code="roll").delete()
    Component.objects.filter(material__code="paint").update(rate_typed="300 sq ft per gal", waste_percent=5)
    assert changes(walls()) == (
        ChangedValue("what it is made of: roll", "as it is measured", ""),
        ChangedValue(
            "what it is made of: paint",
            "350 sq ft per gal; invented",
            "300 sq ft per gal; 5% waste; invented",
        ),
    )


def test_a_package_that_was_taken_out_is_a_change(ship: Callable[..., LoadReport]) -> None:
    ship()
    Package.objects.all().delete()
    assert changes(material()) == (ChangedValue("package", "gallon of A store", ""),)


def test_a_row_of_the_firm_has_nothing_to_be_compared_with() -> None:
    mine = Material.objects.create(code="mine", name="Mine", unit="gal", note="Mine.")
    assert changes(mine) == ()


def test_the_report_names_what_was_brought_up_to_date_and_what_was_left(
    ship: Callable[..., LoadReport],
) -> None:
    ship()
    Material.objects.update(note="Shake it.")
    words = ship(put("materials 0 note", "Stir it."), faster).in_words()
    assert "Materials: 0 put in, 0 brought up to date, 1 left as you have them." in words
    assert "  Left as you have them: Paint (note)." in words
    assert "  Brought up to date: Roll (hours)." in words
