"""The starting catalog goes in whole or not at all, and never over what the firm has."""

import copy
import json
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from pytest_django import DjangoDbBlocker

from catalog import starter_catalog
from catalog.expansion import OperationSpec, expand
from catalog.formulas import rate_from
from catalog.measures import MEASURES, SHEET_MEASURES, square_room
from catalog.models import Assembly, Component, Firm, Material, Operation, Package, Supplier
from catalog.phases import Phase
from catalog.specs import CatalogSpecs
from catalog.starter_catalog import FOLDER, UnfitCatalog, load

pytestmark = pytest.mark.django_db

SMALL: dict[str, Any] = {
    "trade": "Paint",
    "note": "Invented.",
    "materials": [
        {
            "code": "paint",
            "name": "Paint",
            "unit": "gal",
            "source": "invented",
            "packages": [
                {
                    "name": "gallon",
                    "holds": "1",
                    "price": "40.00",
                    "supplier": "A store",
                    "priced_on": "2026-11-16",
                }
            ],
        }
    ],
    "operations": [
        {"code": "roll", "name": "Roll", "unit": "sq ft", "hours": "150 sq ft per hour", "source": "invented"}
    ],
    "assemblies": [
        {
            "code": "walls",
            "name": "Paint walls",
            "phase": "finish",
            "measure": "wall_net",
            "scope": "Walls are painted.",
            "components": [
                {"operation": "roll"},
                {"material": "paint", "rate": "350 sq ft per gal", "source": "invented"},
            ],
        }
    ],
    "bundles": [{"code": "room", "name": "A room", "assemblies": ["walls"]}],
}


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """Writes files of entries, and gives the folder."""

    def written(**files: Any) -> Path:
        for name, data in files.items():
            text = data if isinstance(data, str) else json.dumps(data)
            (tmp_path / f"{name}.json").write_text(text, "utf-8")
        return tmp_path

    return written


@pytest.fixture(scope="module")
def shipped(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> CatalogSpecs:
    """The shipped catalog as plain values; the database is left as it was."""
    with django_db_blocker.unblock(), transaction.atomic():
        load()
        specs = CatalogSpecs(Firm.current())
        transaction.set_rollback(True)
    return specs


def entries(kind: str) -> list[dict[str, Any]]:
    """All shipped entries of a kind."""
    files = (json.loads(path.read_text("utf-8")) for path in sorted(FOLDER.glob("*.json")))
    return [entry for file in files for entry in file.get(kind, [])]


def test_all_of_it_goes_into_an_empty_catalog() -> None:
    report = load()
    for kind, model in (("materials", Material), ("operations", Operation), ("assemblies", Assembly)):
        shipped_names = {entry["name"] for entry in entries(kind)}
        assert set(report.created[kind]) == shipped_names
        assert set(model.objects.values_list("name", flat=True)) == shipped_names
        assert report.left[kind] == ()
    assert Component.objects.count() == sum(len(entry["components"]) for entry in entries("assemblies"))
    assert Package.objects.count() == sum(len(entry["packages"]) for entry in entries("materials"))


def test_a_second_load_doubles_nothing() -> None:
    first = load()
    components, packages = Component.objects.count(), Package.objects.count()
    second = load()
    assert second.left == first.created
    assert not any(second.created.values())
    assert (Component.objects.count(), Package.objects.count()) == (components, packages)


def test_what_the_firm_changed_stays_as_the_firm_has_it() -> None:
    load()
    paint = Assembly.objects.get(code="paint-walls")
    paint.components.all().delete()
    Assembly.objects.filter(pk=paint.pk).update(name="My way of painting walls")
    Package.objects.filter(material__code="wall-paint").delete()
    report = load()
    paint.refresh_from_db()
    assert paint.name == "My way of painting walls"
    assert not paint.components.exists()
    assert not Package.objects.filter(material__code="wall-paint").exists()
    assert "My way of painting walls" in report.left["assemblies"]


def test_only_what_is_missing_is_put_back() -> None:
    load()
    Assembly.objects.get(code="swap-light-trims").delete()
    report = load()
    assert report.created["assemblies"] == ("Swap recessed-light trims",)
    assert Assembly.objects.get(code="swap-light-trims").components.count() == 2


def test_a_rate_is_read_in_the_unit_that_the_firm_keeps_the_material_in() -> None:
    Material.objects.create(code="wall-paint", name="Wall paint, by the litre", unit="L")
    load()
    component = Component.objects.get(assembly__code="paint-walls", material__code="wall-paint")
    # 1 US gallon is 3.785411784 L exactly (NIST Handbook 44, appendix C).
    assert component.rate == Fraction("3.785411784") / 350


def test_a_supplier_that_the_firm_has_is_not_made_again(folder: Callable[..., Path]) -> None:
    mine = Supplier.objects.create(name="A store", phone="555-0100")
    load(folder(paint=SMALL))
    assert Package.objects.get().supplier == mine
    assert Supplier.objects.count() == 1


def test_a_name_that_the_firm_uses_under_another_code_is_said(folder: Callable[..., Path]) -> None:
    Material.objects.create(code="my-paint", name="Paint", unit="gal")
    with pytest.raises(UnfitCatalog) as unfit:
        load(folder(paint=SMALL))
    assert unfit.value.faults == (
        "paint.json: paint: you have “Paint” already, as my-paint: rename that one first.",
    )
    assert not Assembly.objects.exists()


def put(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    """A change to the small catalog: "materials 0 unit" names the place."""

    def change(data: dict[str, Any]) -> None:
        *steps, last = (int(step) if step.isdigit() else step for step in path.split())
        place: Any = data
        for step in steps:
            place = place[step]
        if value is None:
            del place[last]
        elif isinstance(last, int) and last == len(place):
            place.append(value)
        else:
            place[last] = value

    return change


FAULTS = [
    (put("materials 0 unit", "bucketful"), "paint.json: paint: bucketful isn't a unit known here."),
    (put("materials 0 source", None), "paint.json: paint: source is missing from materials."),
    (put("materials 0 kind", "magic"), "paint.json: paint: kind: Value 'magic' is not a valid choice."),
    (put("materials 0 taxable", "yes"), "paint.json: paint: taxable must be true or false."),
    (put("materials 0 colour", "red"), "paint.json: paint: colour isn't read in materials"),
    (put("materials 0 sheet", {"length": "8'"}), "paint.json: paint: width is missing from sheet."),
    (
        put("materials 0 sheet", {"length": "8'", "width": "4 cubits"}),
        "paint.json: paint: sheet width: 4",
    ),
    (
        put("materials 0 packages 0 holds", "0"),
        "paint.json: paint: gallon: size: Ensure this value",
    ),
    (
        put("materials 0 packages 0 holds", "lots"),
        "paint.json: paint: gallon: size: “lots” value",
    ),
    (
        put("materials 0 packages 0 price", "4.999"),
        "paint.json: paint: gallon: 4.999 has more than two",
    ),
    (put("materials 0 packages 0 price", 40), "paint.json: paint: price must be text in quotes."),
    (
        put("materials 0 packages 0 priced_on", "Monday"),
        "paint.json: paint: gallon: priced_on: “Monday”",
    ),
    (
        put("materials 0 packages 1", SMALL["materials"][0]["packages"][0]),
        "paint.json: paint: gallon of A store is listed 2 times",
    ),
    (
        put("materials 1", SMALL["materials"][0]),
        "paint.json: paint: the code “paint” is given to",
    ),
    (
        put("operations 1", SMALL["operations"][0] | {"code": "other"}),
        "paint.json: other: the name “Roll” is given to more than one of the operations.",
    ),
    (put("operations 0 hours", "quickly"), "paint.json: roll: quickly says nothing per something."),
    (put("operations 0 hours", "2 gal per sq ft"), "paint.json: roll: 2 gal per sq ft ties"),
    (put("operations 0 wait_hours", "-1"), "paint.json: roll: wait_hours: Ensure this value is greater than"),
    (put("operations 0 source", ""), "paint.json: roll: source is missing from operations."),
    (put("assemblies 0 measure", "roof"), "paint.json: walls: there is no measure “roof”."),
    (put("assemblies 0 phase", "lunch"), "paint.json: walls: there is no phase “lunch”."),
    (
        put("assemblies 0 deduct_labour", "some"),
        "paint.json: walls: deduct_labour: Value 'some'",
    ),
    (put("assemblies 0 components", []), "paint.json: walls: components is missing from assemblies."),
    (put("assemblies 0 board", "paint"), "paint.json: walls: the board paint has no sheet size."),
    (put("assemblies 0 board", "plank"), "paint.json: walls: there is no “plank” among the materials."),
    (
        put("assemblies 0 companions", [{"assembly": "masking", "reason": "Drips."}]),
        "paint.json: walls: there is no “masking” among the assemblies.",
    ),
    (
        put("assemblies 0 components 1 material", "stain"),
        "paint.json: walls: there is no “stain” among the materials.",
    ),
    (
        put("assemblies 0 components 0 operation", "spray"),
        "paint.json: walls: there is no “spray” among the operations.",
    ),
    (
        put("assemblies 0 components 1 rate", "350 ft per gal"),
        "paint.json: walls: paint: 350 ft per gal ties ft to gal, but gal and sq ft are wanted",
    ),
    (put("assemblies 0 components 1 rate", None), "paint.json: walls: paint: give a rate or a formula."),
    (put("assemblies 0 components 1 source", None), "paint.json: walls: paint: source is missing"),
    (
        put("assemblies 0 components 1 scales_with", "roof"),
        "paint.json: walls: paint: there is no measure",
    ),
    (
        put("assemblies 0 components 1 times", 0),
        "paint.json: walls: paint: times: Ensure this value",
    ),
    (
        put("assemblies 0 components 1 formula", "thinset_bed"),
        "paint.json: walls: paint: give a rate or a formula, not both.",
    ),
    (
        put("assemblies 0 components 1", {"material": "paint", "formula": "alchemy", "source": "x"}),
        "paint.json: walls: paint: alchemy isn't a formula known here.",
    ),
    (
        put("assemblies 0 components 1", {"material": "paint", "formula": "thinset_bed", "source": "x"}),
        "paint.json: walls: paint: lb doesn't convert to gal",
    ),
    (
        put("assemblies 0 components 0 scales_with", "cut_in"),
        "paint.json: walls: roll: it is counted in sq ft, the measure in ft: give a rate.",
    ),
    (
        put("assemblies 0 components 0 material", "paint"),
        "paint.json: walls: component 1 must use one thing",
    ),
    (
        put("assemblies 0 components 2", {"assembly": "walls"}),
        "paint.json: walls: An assembly can't be part of itself: Paint walls > Paint walls.",
    ),
    (put("bundles 0 assemblies", ["floor"]), "paint.json: room: there is no “floor” among the assemblies."),
    (put("bundles 0 assemblies", ["walls", "walls"]), "paint.json: room: walls is listed 2 times"),
    (put("note", ""), "paint.json: the file: note is missing from file."),
    (put("prices", []), "paint.json: the file: prices isn't read in file"),
]


@pytest.mark.parametrize(("change", "sentence"), FAULTS, ids=[each[1][12:60] for each in FAULTS])
def test_a_fault_is_named_and_nothing_is_loaded(
    folder: Callable[..., Path], change: Callable[[dict[str, Any]], None], sentence: str
) -> None:
    data = copy.deepcopy(SMALL)
    change(data)
    with pytest.raises(UnfitCatalog) as unfit:
        load(folder(paint=data))
    assert any(fault.startswith(sentence) for fault in unfit.value.faults), unfit.value.faults
    assert not Material.objects.exists()
    assert not Supplier.objects.exists()


def test_a_cycle_through_two_assemblies_is_named(folder: Callable[..., Path]) -> None:
    data = copy.deepcopy(SMALL)
    walls = data["assemblies"][0]
    room = walls | {"code": "whole", "name": "Whole room", "components": [{"assembly": "walls"}]}
    walls["components"].append({"assembly": "whole"})
    data["assemblies"].append(room)
    with pytest.raises(UnfitCatalog, match="can't be part of itself: .*Paint walls > Whole room"):
        load(folder(paint=data))


def test_faults_of_all_files_are_named_at_once(folder: Callable[..., Path]) -> None:
    one = copy.deepcopy(SMALL)
    one["assemblies"][0]["phase"] = "lunch"
    one["assemblies"][0]["measure"] = "roof"
    two = {
        "trade": "Tile",
        "note": "Invented.",
        "operations": [
            {"code": "set", "name": "Set", "unit": "sq ft", "hours": "slowly", "source": "invented"},
        ],
    }
    with pytest.raises(UnfitCatalog) as unfit:
        load(folder(paint=one, tile=two))
    assert [fault.split(":")[0] for fault in unfit.value.faults] == ["tile.json", "paint.json", "paint.json"]


@pytest.mark.parametrize("text", ["{", "[]", "\N{REPLACEMENT CHARACTER}"])
def test_a_file_that_is_no_catalog_is_named(folder: Callable[..., Path], text: str) -> None:
    with pytest.raises(UnfitCatalog, match=r"^paint\.json: the file: "):
        load(folder(paint=text))


def test_a_folder_without_entries_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(UnfitCatalog, match="no file in it has an entry"):
        load(tmp_path)


def test_the_command_says_what_was_put_in_and_what_was_left() -> None:
    first, second = StringIO(), StringIO()
    call_command("starter_catalog", stdout=first)
    call_command("starter_catalog", stdout=second)
    count = len(entries("assemblies"))
    assert f"Assemblies: {count} put in, 0 left as you have them." in first.getvalue()
    assert f"Assemblies: 0 put in, {count} left as you have them." in second.getvalue()


def test_the_command_names_the_faults(folder: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> None:
    bad = folder(paint=SMALL | {"note": ""})
    monkeypatch.setattr(starter_catalog.load, "__defaults__", (bad,))
    with pytest.raises(CommandError, match=r"Nothing was loaded\.\npaint\.json: the file: note is missing"):
        call_command("starter_catalog")


@pytest.mark.parametrize("code", [entry["code"] for entry in entries("assemblies")])
def test_each_assembly_can_be_put_on_a_room_of_which_only_the_floor_is_known(
    shipped: CatalogSpecs, code: str
) -> None:
    known = square_room(Fraction(144))
    counted = {measure: Fraction(10) for measure in MEASURES if measure not in known.values}
    required = expand(shipped.assembly_by_code(code), known.with_values(counted))
    assert all(each.quantity > 0 for each in required)
    assert any(isinstance(each.use, OperationSpec) for each in required)


@pytest.mark.parametrize("entry", entries("assemblies"), ids=lambda entry: entry["code"])
def test_only_work_that_lays_a_board_scales_with_sheets(entry: dict[str, Any]) -> None:
    uses_sheets = any(each.get("scales_with") in SHEET_MEASURES for each in entry["components"])
    assert uses_sheets == ("board" in entry)


def test_each_phase_of_a_remodel_has_work_in_it() -> None:
    assert {entry["phase"] for entry in entries("assemblies")} == set(Phase.values)


def test_every_price_is_invented_and_dated() -> None:
    for material in entries("materials"):
        assert "Price invented for the demo." in material["source"]
        for package in material["packages"]:
            assert date(2026, 11, 1) <= date.fromisoformat(package["priced_on"]) <= date(2026, 11, 30)


@pytest.mark.parametrize("code", ["take-out-floor", "paint-ceiling", "swap-light-trims", "install-cabinets"])
def test_work_that_can_hurt_carries_a_caution_that_defers_to_local_rules(code: str) -> None:
    caution = next(entry["caution"] for entry in entries("assemblies") if entry["code"] == code)
    assert "local" in caution


@pytest.mark.parametrize("code", ["backer-3x5", "tile-12x24", "joint-compound"])
def test_what_makes_silica_dust_names_the_rule(code: str) -> None:
    caution = next(entry["caution"] for entry in entries("materials") if entry["code"] == code)
    assert "29 CFR 1926.1153" in caution
    assert "local rules" in caution


def test_board_is_bedded_by_its_notch_and_tile_by_a_published_coverage(shipped: CatalogSpecs) -> None:
    def thinset(code: str) -> list[Fraction]:
        return [
            component.rate.per_unit
            for component in shipped.assembly_by_code(code).components
            if component.use.code == "thinset" and not component.scales_with
        ]

    assert thinset("tile-floor-12x24") == [Fraction(50, 42)]
    assert thinset("backer-floor") == [rate_from("thinset_bed", {"notch_width": "1/4"}).per_unit]


def test_ceiling_paint_laps_two_inches_onto_the_wall(shipped: CatalogSpecs) -> None:
    ceiling = shipped.assembly_by_code("paint-ceiling")
    lapped = next(
        each for each in ceiling.components if each.scales_with == "ceiling_line" and each.times == 2
    )
    two_inches_ft = Fraction(2, 12)
    assert lapped.rate.per_unit == two_inches_ft / 350


def test_walls_are_cut_in_before_each_coat(shipped: CatalogSpecs) -> None:
    walls = shipped.assembly_by_code("paint-walls")
    labour = [each.use.code for each in walls.components if isinstance(each.use, OperationSpec)]
    assert labour == ["cut-in-by-brush", "roll-first-coat", "cut-in-by-brush", "roll-second-coat"]
