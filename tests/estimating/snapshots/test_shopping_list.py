"""What to buy where."""

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.specs import AssemblySpec, MaterialSpec
from catalog.measures.lengths import parse_length
from estimating.boards.layouts import Boards
from estimating.estimates.draft import Draft, price_again, price_draft
from estimating.rooms.plan import Opening
from estimating.snapshots.shopping_list import PackageFacts, Seller, shopping_snapshot
from estimating.takeoff.work import Conventions, RoomUse, Work
from tests.estimating.plain_kitchen import kitchen, kitchen_list, kitchen_room
from tests.specs import assembly, material, policy, room, uses

YARD, MILL = Seller("Yard", "555-0100"), Seller("Mill")


def buying(*materials: MaterialSpec, **fields: Any) -> Draft:
    """A kitchen floor (142.22 sq ft) that takes one of each for a square foot."""
    rooms = (RoomUse("1"),)
    work = [
        Work(material.name, material.name, "floor", assembly=_laying(material), rooms=rooms, **fields)
        for material in materials
    ]
    return price_draft({"1": kitchen_room()}, work, policy(), Conventions(), [])


def _laying(material: MaterialSpec) -> AssemblySpec:
    return assembly(f"lay {material.name}", "floor", uses(material))


def listed(draft: Draft, **packages: PackageFacts) -> dict[str, Any]:
    named = {key.replace("_", " "): facts for key, facts in packages.items()}
    return shopping_snapshot(kitchen_list(packages=named, brought=()), draft)


def test_whole_packages_with_what_is_required_and_left_over() -> None:
    snapshot = listed(
        buying(material("tile", "sq ft", ("15.5", "69.75"))), **{"tile_15.5": PackageFacts("box", YARD)}
    )
    (row,) = snapshot["suppliers"][0]["rows"]
    # 142.22 / 15.5 = 9.2: ten boxes, 155 sq ft
    assert (row["required"], row["left_over"], row["cost"]) == ("142.22 sq ft", "12.78 sq ft", "697.50")
    assert row["packages"][0]["words"] == "10 boxes"


def test_suppliers_come_by_name_and_whoever_has_none_last() -> None:
    draft = buying(*(material(name, "sq ft", ("200", "5")) for name in ("a", "b", "c")))
    facts = {
        "a_200": PackageFacts("roll"),
        "b_200": PackageFacts("roll", YARD),
        "c_200": PackageFacts("roll", MILL),
    }
    names = [supplier["name"] for supplier in listed(draft, **facts)["suppliers"]]
    assert names == ["Mill", "Yard", "No supplier named"]


def test_a_material_bought_in_two_places_has_a_row_in_each() -> None:
    # 142.22 of rolls of 100 at 50 and of 50 at 26: one of each is least
    draft = buying(material("felt", "sq ft", ("100", "50"), ("50", "26")))
    snapshot = listed(draft, felt_100=PackageFacts("roll", YARD), felt_50=PackageFacts("half roll", MILL))
    rows = {supplier["name"]: supplier["rows"][0] for supplier in snapshot["suppliers"]}
    assert {name: row["cost"] for name, row in rows.items()} == {"Mill": "26.00", "Yard": "50.00"}
    assert rows["Mill"]["elsewhere"] == "the rest comes from elsewhere"
    assert snapshot["total"] == "76.00"


def test_totals_are_the_sums_of_their_rows() -> None:
    snapshot = shopping_snapshot(kitchen_list(), kitchen())
    for supplier in snapshot["suppliers"]:
        rows = [Decimal(row["cost"]) for row in supplier["rows"]]
        assert sum(rows) == Decimal(supplier["total"])
    assert sum(Decimal(supplier["total"]) for supplier in snapshot["suppliers"]) == Decimal(snapshot["total"])


def test_an_old_price_is_marked_with_its_date() -> None:
    facts = kitchen_list().packages["screws 750"]
    snapshot = listed(buying(material("tile", "sq ft", ("15", "10"))), tile_15=facts)
    old = snapshot["suppliers"][0]["rows"][0]["packages"][0]["old_price"]
    assert old == "old price, from Mon 4 May 2026: ask again"


def test_a_fresh_price_is_not_marked() -> None:
    snapshot = listed(buying(material("tile", "sq ft", ("15", "10"))), tile_15=PackageFacts("box", YARD))
    assert snapshot["suppliers"][0]["rows"][0]["packages"][0]["old_price"] == ""


def test_what_has_no_package_stands_apart() -> None:
    snapshot = listed(buying(material("odd", "sq ft")))
    assert snapshot["no_price"] == [{"name": "odd", "required": "142.22 sq ft"}]
    assert snapshot["suppliers"] == []


def test_nothing_left_over_says_so() -> None:
    exact = material("tile", "sq ft", (str(Fraction(64, 9)), "10"))
    snapshot = listed(buying(exact), **{"tile_64/9": PackageFacts("box", YARD)})
    assert snapshot["suppliers"][0]["rows"][0]["left_over"] == "nothing"


def test_what_is_on_hand_is_to_take_along_and_the_rest_to_buy() -> None:
    tile = material("tile", "sq ft", ("15.5", "69.75"))
    draft = price_again(replace(buying(tile), on_hand={"tile": Fraction(100)}), buying(tile).works, Boards())
    snapshot = listed(draft, **{"tile_15.5": PackageFacts("box", YARD)})
    (row,) = snapshot["suppliers"][0]["rows"]
    assert (row["required"], row["on_hand"]) == ("142.22 sq ft", "100 sq ft")
    assert row["packages"][0]["words"] == "3 boxes"  # 42.22 of 46.5 sq ft
    assert snapshot["on_hand"] == [{"name": "tile", "amount": "100 sq ft"}]
    assert snapshot["total"] == "209.25"


def test_options_are_not_bought_yet() -> None:
    draft = buying(material("tile", "sq ft", ("15", "10")), is_option=True)
    assert listed(draft)["suppliers"] == []
    assert listed(draft)["first_line"] == "There is nothing to buy for this job."


def test_what_the_client_brings_is_apart_and_not_bought() -> None:
    snapshot = shopping_snapshot(kitchen_list(), kitchen())
    assert [material["name"] for material in snapshot["client_brings"]] == ["Light trim"]
    assert "light trim" not in json.dumps(snapshot["suppliers"])


def test_sums_without_a_list_are_named_so_that_nothing_is_forgotten() -> None:
    named = {row["name"]: row["amount"] for row in shopping_snapshot(kitchen_list(), kitchen())["sums"]}
    assert named == {
        "Protect floors and put up a dust barrier": "120.00",
        "Remove the old kitchen": "465.00",
        "Allowance: Cabinets": "6400.00",
    }


def test_sticks_that_length_alone_would_not_buy_say_why() -> None:
    door, tall = parse_length("30 in"), parse_length("80 in")
    openings = tuple(Opening(f"Door {wall}", "door", wall, door, tall) for wall in (0, 2))
    casing = material("casing", "ft", ("8", "9.00"), stick=True)
    work = Work("case", "Case", "trim", assembly=_casing(casing), rooms=(RoomUse("1"),))
    draft = price_draft({"1": room(openings=openings)}, [work], policy(), Conventions(), [])
    (row,) = listed(draft, casing_8=PackageFacts("stick, 8 ft", MILL))["suppliers"][0]["rows"]
    # two doors: four legs of over half a stick, a stick each, and two heads of 34-1/2 in from a fifth
    assert row["packages"][0]["words"] == "5 sticks, 8 ft"
    assert row["why"].startswith(
        "31.67 ft is 4 sticks by length and 5 by cut list, because 4 of the 6 pieces"
    )


def test_sticks_that_length_alone_would_buy_too_say_nothing() -> None:
    door = Opening("Door", "door", 0, parse_length("36 in"), parse_length("80 in"))
    casing = material("casing", "ft", ("8", "9.00"), stick=True)
    work = Work("case", "Case", "trim", assembly=_casing(casing), rooms=(RoomUse("1"),))
    draft = price_draft({"1": room(openings=(door,))}, [work], policy(), Conventions(), [])
    (row,) = listed(draft, casing_8=PackageFacts("stick, 8 ft", MILL))["suppliers"][0]["rows"]
    assert (row["packages"][0]["words"], row["why"]) == ("3 sticks, 8 ft", "")


def _casing(material: MaterialSpec) -> AssemblySpec:
    return assembly("case openings", "opening_trim", uses(material))


def test_what_is_bought_brings_its_cautions_each_once() -> None:
    tile, grout, paint = (material(name, "sq ft", ("200", "5")) for name in ("tile", "grout", "paint"))
    burns = "Wet mortar burns skin."
    draft = buying(replace(tile, caution=f"Cut it wet.\n{burns}"), replace(grout, caution=burns), paint)
    packages = {f"{name}_200": PackageFacts("bag", YARD) for name in ("tile", "grout", "paint")}
    assert listed(draft, **packages)["cautions"] == [
        {"text": burns, "materials": "grout; tile"},
        {"text": "Cut it wet.", "materials": "tile"},
    ]
