import pytest

from catalog.rows.names import code_from, copy_name, free_code
from tests.factories import make_assembly


def test_a_code_is_made_from_the_name_and_never_taken_twice() -> None:
    assert code_from("PVA primer, 5 gal", set()) == "pva-primer-5-gal"
    assert code_from("PVA primer", {"pva-primer", "pva-primer-2"}) == "pva-primer-3"


def test_a_name_without_letters_has_a_code_all_the_same() -> None:
    assert code_from("***", {"item"}) == "item-2"


def test_the_longest_name_still_has_a_code_that_fits() -> None:
    taken = {code_from("a" * 120, set())}
    assert len(code_from("a" * 120, taken)) <= 80


@pytest.mark.django_db
def test_copies_of_the_same_thing_are_told_apart() -> None:
    first = make_assembly("Tile floor")
    assert copy_name(type(first), "Tile floor") == "Copy of Tile floor"
    make_assembly("Copy of Tile floor")
    assert copy_name(type(first), "Tile floor") == "Copy of Tile floor 2"
    assert len(copy_name(type(first), "x" * 120)) <= 120
    assert free_code(type(first), "Tile floor") == "tile-floor"
