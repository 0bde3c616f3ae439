"""What the firm changed is given back as it was shipped, group by group."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

import pytest
from django.db import models

from catalog.models import (
    Assembly,
    Companion,
    Component,
    Material,
    Operation,
    Package,
    Precedence,
    ShippedRow,
)
from catalog.starter.load import load
from catalog.starter.restore import NotRestored, restore_shipped
from catalog.starter.shipped import changes
from tests.catalog.starter.small_catalog import SMALL, write
from tests.factories import add_component, make_assembly, make_material, make_operation

BOTH = {
    **SMALL,
    "assemblies": [
        *SMALL["assemblies"],
        {
            "code": "board",
            "name": "Board a wall",
            "phase": "board",
            "measure": "wall_net",
            "scope": "Walls are boarded.",
            "components": [
                {"operation": "roll"},
                {
                    "material": "paint",
                    "formula": "paint_film",
                    "inputs": {"volume_solids": "40", "dry_film": "2"},
                    "waste": "5",
                    "set_up": "0.5",
                    "set_up_per": "room",
                    "source": "invented",
                },
                {"assembly": "walls", "rate": "0.5 sq ft per sq ft"},
            ],
            "companions": [{"assembly": "walls", "reason": "Bare board isn't a finish."}],
        },
    ],
}
BOTH["assemblies"][0] = BOTH["assemblies"][0] | {"after": [{"assembly": "board", "reason": "It is there."}]}


Row = TypeVar("Row", bound=models.Model)


@pytest.fixture(autouse=True)
def shipped(db: None, tmp_path: Path) -> None:
    load(write(tmp_path, paint=BOTH))


@pytest.fixture
def walls() -> Assembly:
    return Assembly.objects.get(code="walls")


@pytest.fixture
def board() -> Assembly:
    return Assembly.objects.get(code="board")


@pytest.fixture
def roll() -> Operation:
    return Operation.objects.get(code="roll")


def again(row: Row) -> Row:
    """Return the row as the database has it now."""
    return type(row)._default_manager.get(pk=row.pk)


def test_hours_go_back_in_words_and_in_hours(roll: Operation) -> None:
    roll.rate_typed, roll.hours_per_unit = "110 sq ft per hour", Fraction(1, 110)
    roll.high_typed, roll.high_hours_per_unit = "", None
    roll.save()
    restore_shipped(roll, "rate_typed")
    roll = again(roll)
    assert (roll.rate_typed, roll.hours_per_unit) == ("150 sq ft per hour", Fraction(1, 150))
    assert (roll.high_typed, roll.high_hours_per_unit) == ("100 sq ft per hour", Fraction(1, 100))
    assert changes(roll) == ()


def test_only_the_fact_asked_for_goes_back(roll: Operation) -> None:
    roll.source, roll.set_up_hours = "my own jobs", Decimal("0.75")
    roll.save()
    restore_shipped(roll, "set_up_hours")
    assert (again(roll).source, again(roll).set_up_hours) == ("my own jobs", 0)


def test_a_price_goes_back_with_its_day() -> None:
    package = Package.objects.get()
    package.price, package.priced_on = Decimal("44.00"), None
    package.save()
    restore_shipped(package, "price")
    package = again(package)
    assert (package.price.amount, f"{package.priced_on}") == (Decimal("40.00"), "2026-11-16")


def test_parts_go_back_as_they_were(board: Assembly) -> None:
    kept = list(board.components.values("operation", "material", "part", "rate", "rate_typed", "formula"))
    rest = ("formula_inputs", "waste_percent", "set_up", "set_up_per", "times", "position", "source")
    kept_rest = list(board.components.values(*rest))
    board.components.get(position=0).delete()
    board.components.update(waste_percent=50, rate=Fraction(9), rate_typed="9 gal per sq ft", formula="")
    restore_shipped(board, "components")
    assert list(board.components.values("operation", "material", "part", *list(kept[0])[3:])) == kept
    assert list(board.components.values(*rest)) == kept_rest
    assert changes(again(board)) == ()


def test_a_rate_goes_back_in_the_unit_that_the_firm_counts_in(board: Assembly, walls: Assembly) -> None:
    """Paint that the firm counts in quarts takes four times the number."""
    gallons = [
        component.rate for component in Component.objects.filter(material__code="paint").order_by("pk")
    ]
    Material.objects.filter(code="paint").update(unit="qt")
    for assembly in (walls, board):
        restore_shipped(assembly, "components")
    quarts = Component.objects.filter(material__code="paint").order_by("assembly__code")
    assert [component.rate for component in quarts] == [4 * gallons[1], 4 * gallons[0]]
    assert quarts[0].set_up == 2


def test_companions_and_order_go_back(board: Assembly, walls: Assembly) -> None:
    Companion.objects.all().delete()
    Precedence.objects.update(reason="Mine.")
    restore_shipped(board, "companions")
    restore_shipped(walls, "after")
    assert [(companion.companion, companion.reason) for companion in board.goes_with.all()] == [
        (walls, "Bare board isn't a finish.")
    ]
    assert [(precedence.earlier, precedence.reason) for precedence in walls.waits_for.all()] == [
        (board, "It is there.")
    ]


def test_what_is_not_there_any_more_is_not_put_back(walls: Assembly) -> None:
    walls.components.filter(operation__isnull=False).delete()
    Component.objects.filter(operation__code="roll").delete()
    Operation.objects.get(code="roll").delete()
    with pytest.raises(NotRestored, match="“roll”, which isn't in your catalog"):
        restore_shipped(walls, "components")
    assert walls.components.count() == 1


def test_a_name_that_another_one_has_is_not_put_back(walls: Assembly) -> None:
    walls.name = "Walls"
    walls.save()
    make_assembly("Paint walls")
    with pytest.raises(NotRestored, match="name of another"):
        restore_shipped(walls, "name")
    assert again(walls).name == "Walls"


def test_a_unit_that_others_count_by_is_not_put_back(roll: Operation) -> None:
    roll.unit, roll.rate_typed, roll.hours_per_unit = "ft", "10 ft per hour", Fraction(1, 10)
    roll.low_typed = roll.high_typed = ""
    roll.save()
    with pytest.raises(NotRestored, match="supplied counted in sq ft"):
        restore_shipped(roll, "rate_typed")
    assert again(roll).rate_typed == "10 ft per hour"


def test_order_that_would_wait_for_itself_is_not_put_back(board: Assembly, walls: Assembly) -> None:
    walls.waits_for.all().delete()
    Precedence.objects.create(assembly=board, earlier=walls)
    with pytest.raises(NotRestored, match="can't wait for itself"):
        restore_shipped(walls, "after")
    assert not walls.waits_for.exists()


@pytest.mark.parametrize("key", ["", "pk", "code", "shipped", "packages"])
def test_what_is_no_shipped_value_is_not_found(roll: Operation, key: str) -> None:
    with pytest.raises(KeyError):
        restore_shipped(roll, key)


def test_packages_are_not_put_back_as_a_whole() -> None:
    rows: list[tuple[ShippedRow, str]] = [
        (Material.objects.get(), "packages"),
        (Package.objects.get(), "identity"),
    ]
    for row, key in rows:
        with pytest.raises(KeyError):
            restore_shipped(row, key)


@pytest.mark.parametrize("make", [make_material, make_operation, make_assembly])
def test_a_row_of_the_firms_own_has_nothing_to_put_back(make: Callable[[], ShippedRow]) -> None:
    with pytest.raises(KeyError):
        restore_shipped(make(), "name")


def test_a_part_of_the_firms_own_goes_out_with_what_it_was_put_in_for(walls: Assembly) -> None:
    add_component(walls, make_material(), "100 sq ft per gal")
    restore_shipped(walls, "components")
    assert [component.uses.code for component in walls.components.all()] == ["roll", "paint"]
