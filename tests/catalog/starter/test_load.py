"""The starting catalog goes in whole or not at all, and never over what the firm has."""

import copy
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from catalog.models import Assembly, Component, Material, Operation, Package, Supplier
from catalog.starter import load as loading
from catalog.starter.load import UnfitCatalog, load
from tests.catalog.starter.small_catalog import SMALL, entries, put, write

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """Writes files of entries, and gives the folder."""
    return partial(write, tmp_path)


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
    assert any(first.created.values())
    for done in (second.created, second.updated, second.left):
        assert not any(done.values())
    assert (Component.objects.count(), Package.objects.count()) == (components, packages)


def test_only_what_is_missing_is_put_back() -> None:
    load()
    Assembly.objects.get(code="swap-light-trims").delete()
    report = load()
    assert report.created["assemblies"] == ("Swap recessed-light trims",)
    assert not any(report.created[kind] for kind in ("materials", "operations", "kits"))
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


FAULTS = [
    (put("materials 0 unit", "bucketful"), "paint.json: paint: bucketful isn't a unit known here."),
    (put("materials 0 source", None), "paint.json: paint: source is missing from materials."),
    (put("materials 0 kind", "magic"), "paint.json: paint: kind: Value 'magic' is not a valid choice."),
    (put("materials 0 taxable", "yes"), "paint.json: paint: taxable must be true or false."),
    (put("materials 0 color", "red"), "paint.json: paint: color isn't read in materials"),
    (put("materials 0 sheet", {"length": "8'"}), "paint.json: paint: width is missing from sheet."),
    (put("materials 0 stick", {}), "paint.json: paint: it comes in sticks, which are cut by the ft, not by"),
    (put("materials 0 stick", "8'"), "paint.json: paint: stick must be named values in braces."),
    (put("materials 0 stick", {"width": "2 cubits"}), "paint.json: paint: stick width: 2"),
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
    (put("operations 0 hours", "-2 hours per sq ft"), "paint.json: roll: A rate can't be negative."),
    (put("operations 0 low", None), "paint.json: roll: low is missing from operations."),
    (put("operations 0 high", "soon"), "paint.json: roll: soon says nothing per something."),
    (
        put("operations 0 low", "140 sq ft per hour"),
        "paint.json: roll: the low hours are more than the likely ones",
    ),
    (
        put("operations 0 high", "160 sq ft per hour"),
        "paint.json: roll: the high hours are fewer than the likely ones",
    ),
    (put("operations 0 source", ""), "paint.json: roll: source is missing from operations."),
    (put("assemblies 0 measure", "roof"), "paint.json: walls: there is no measure “roof”."),
    (put("assemblies 0 phase", "lunch"), "paint.json: walls: there is no phase “lunch”."),
    (
        put("assemblies 0 deduct_labor", "some"),
        "paint.json: walls: deduct_labor: Value 'some'",
    ),
    (put("assemblies 0 components", []), "paint.json: walls: components is missing from assemblies."),
    (put("assemblies 0 board", "paint"), "paint.json: walls: the board paint has no sheet size."),
    (put("assemblies 0 tile", {"joint": "narrow", "offset": "0"}), "paint.json: walls: tile joint: "),
    (
        put("assemblies 0 tile", {"joint": "1/8", "offset": "1/5"}),
        "paint.json: walls: tile_offset: Value '1/5' is not",
    ),
    (put("assemblies 0 tile", {"joint": "1/8"}), "paint.json: walls: offset is missing from tile."),
    (put("assemblies 0 board", "plank"), "paint.json: walls: there is no “plank” among the materials."),
    (
        put("assemblies 0 companions", [{"assembly": "masking", "reason": "Drips."}]),
        "paint.json: walls: there is no “masking” among the assemblies.",
    ),
    (
        put("assemblies 0 after", [{"assembly": "priming", "reason": "Paint flashes."}]),
        "paint.json: walls: there is no “priming” among the assemblies.",
    ),
    (
        put("assemblies 0 after", [{"assembly": "walls"}]),
        "paint.json: walls: reason is missing from after.",
    ),
    (
        put("assemblies 0 after", [{"assembly": "walls", "reason": "Never."}]),
        "paint.json: walls: Work can't wait for itself: Paint walls after Paint walls.",
    ),
    (
        put("assemblies 0 companions", [{"assembly": "walls", "reason": "Twice."}] * 2),
        "paint.json: walls: the companion walls is listed 2 times",
    ),
    (
        put("assemblies 0 companions", [{"assembly": "walls", "reason": "Itself."}]),
        "paint.json: walls: it can't go with itself",
    ),
    (put("assemblies 0 companions", ["walls"]), "paint.json: walls: what is listed under companions must be"),
    (
        put("assemblies 0 components 2", {"assembly": "whole"}),
        "paint.json: walls: there is no “whole” among the assemblies.",
    ),
    (
        put("assemblies 0 components 1 rate", "-350 sq ft per gal"),
        "paint.json: walls: paint: A rate can't be negative.",
    ),
    (
        put("assemblies 0 components 1 waste", "-5"),
        "paint.json: walls: paint: waste_percent: Ensure this value is greater than",
    ),
    (put("materials 0 code", 5), "paint.json: 5: code must be text in quotes."),
    (
        put("materials 1", SMALL["materials"][0] | {"code": "other", "name": "PAINT"}),
        "paint.json: other: the name “PAINT” is given to more than one of the materials.",
    ),
    (put("operations", {"roll": "fast"}), "paint.json: the file: operations must be a list."),
    (put("assemblies 0 cautions", ["fumes"]), "paint.json: walls: there is no “fumes” among the cautions."),
    (put("materials 0 cautions", [1]), "paint.json: paint: cautions must be a list of codes."),
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
    (put("kits 0 assemblies", ["floor"]), "paint.json: room: there is no “floor” among the assemblies."),
    (put("kits 0 assemblies", ["walls", "walls"]), "paint.json: room: walls is listed 2 times"),
    (put("note", ""), "paint.json: the file: note is missing from file."),
    (put("prices", []), "paint.json: the file: prices isn't read in file"),
]


@pytest.mark.parametrize(("change", "sentence"), FAULTS, ids=[fault[1][12:60] for fault in FAULTS])
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


def test_work_that_waits_for_work_that_waits_for_it_is_named(folder: Callable[..., Path]) -> None:
    data = copy.deepcopy(SMALL)
    walls = data["assemblies"][0]
    data["assemblies"].append(
        walls | {"code": "tape", "name": "Tape", "after": [{"assembly": "walls", "reason": "No."}]}
    )
    walls["after"] = [{"assembly": "tape", "reason": "Joints first."}]
    with pytest.raises(UnfitCatalog, match="can't wait for itself: .*Paint walls after Tape"):
        load(folder(paint=data))


def test_faults_of_all_files_are_named_at_once(folder: Callable[..., Path]) -> None:
    broken = copy.deepcopy(SMALL)
    broken["assemblies"][0]["phase"] = "lunch"
    broken["assemblies"][0]["measure"] = "roof"
    two = {
        "trade": "Tile",
        "note": "Invented.",
        "operations": [
            SMALL["operations"][0] | {"code": "set", "name": "Set", "hours": "slowly"},
        ],
    }
    with pytest.raises(UnfitCatalog) as unfit:
        load(folder(paint=broken, tile=two))
    assert [fault.split(":")[0] for fault in unfit.value.faults] == ["tile.json", "paint.json", "paint.json"]


def test_faults_of_every_kind_are_named_at_once(folder: Callable[..., Path]) -> None:
    """What one entry lacks hides no fault of another, and what names that entry is no fault for it."""
    data = copy.deepcopy(SMALL)
    del data["materials"][0]["source"]
    data["operations"][0]["hours"] = "-2 hours per sq ft"
    data["assemblies"][0]["after"] = [{"assembly": "ghost", "reason": "It haunts the wall."}]
    with pytest.raises(UnfitCatalog) as unfit:
        load(folder(paint=data))
    assert [fault.split(": ", 1)[1] for fault in unfit.value.faults] == [
        "paint: source is missing from materials.",
        "roll: A rate can't be negative. Type it such as 9 hours per 1000 sq ft.",
        "walls: there is no “ghost” among the assemblies.",
    ]


def test_what_is_given_twice_in_one_entry_is_named(folder: Callable[..., Path]) -> None:
    twice = '{"trade": "Paint", "note": "Invented.", "trade": "Tile"}'
    with pytest.raises(UnfitCatalog, match="paint.json: the file: .*trade is given 2 times"):
        load(folder(paint=twice))


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
    assert f"Assemblies: {count} put in, 0 brought up to date, 0 left as you have them." in first.getvalue()
    assert "Assemblies: 0 put in, 0 brought up to date, 0 left as you have them." in second.getvalue()


def test_the_command_names_the_faults(folder: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> None:
    bad = folder(paint=SMALL | {"note": ""})
    monkeypatch.setattr(loading.load, "__defaults__", (bad,))
    with pytest.raises(CommandError, match=r"Nothing was loaded\.\npaint\.json: the file: note is missing"):
        call_command("starter_catalog")


def test_labor_that_gives_no_rate_is_converted_to_the_unit_of_the_measure(
    folder: Callable[..., Path],
) -> None:
    data = copy.deepcopy(SMALL)
    data["operations"][0] |= {
        "unit": "sq yd",
        "low": "20 sq yd per hour",
        "hours": "15 sq yd per hour",
        "high": "10 sq yd per hour",
    }
    load(folder(paint=data))
    assert Component.objects.get(operation__code="roll").rate == Fraction(1, 9)
