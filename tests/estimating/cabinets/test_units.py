"""Runs of cabinets typed as widths in plain words."""

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.cabinets.units import (
    Unit,
    UnreadableUnits,
    parse_units,
    pulls_of,
    set_in_run,
    units_in_words,
    units_typed,
)


def unit(kind: str, inches: float) -> Unit:
    return Unit(kind, int(inches * NM_PER_INCH))


@pytest.mark.parametrize(
    ("typed", "units"),
    [
        ("36, 30", [unit("cabinet", 36), unit("cabinet", 30)]),
        ("dishwasher 24; sink 36", [unit("dishwasher", 24), unit("sink", 36)]),
        ("24 in dishwasher, 33 1/2 sink base", [unit("dishwasher", 24), unit("sink", 33.5)]),
        (
            'Fridge 36"\nwall oven 2\' 6", drawers 18',
            [unit("refrigerator", 36), unit("oven", 30), unit("drawers", 18)],
        ),
        ("", []),
    ],
)
def test_a_list_is_read_as_it_is_said(typed: str, units: list[Unit]) -> None:
    assert list(parse_units(typed)) == units
    assert parse_units(units_typed(units)) == tuple(units)
    assert parse_units(units_typed(units, metric=True), "cm") == tuple(units)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("B24", "can't be read as a length"),
        ("wombat 24", "“wombat” isn't known here. Type a width, or one of these with it: cabinet, drawers"),
        ("36, sink", "Type how wide the sink is, such as sink 24."),
        ("36, 0", "A length of zero can't be used"),
        (", ".join(["12"] * 41), "at most 40 cabinets"),
    ],
)
def test_what_cant_be_read_is_said_in_a_sentence(typed: str, says: str) -> None:
    with pytest.raises(UnreadableUnits, match=says):
        parse_units(typed)


def test_what_the_widths_leave_of_a_run_is_a_filler_at_its_end() -> None:
    placed = set_in_run(parse_units("36, 24"), 62 * NM_PER_INCH)
    assert [(each.unit, each.left) for each in placed] == [
        (unit("cabinet", 36), False),
        (unit("cabinet", 24), False),
        (unit("filler", 2), True),
    ]
    assert len(set_in_run(parse_units("36, 24"), 60 * NM_PER_INCH + NM_PER_INCH // 8)) == 2  # scribed


def test_pulls_count_doors_and_drawers() -> None:
    """By hand: a base of 36 in has two doors and a drawer, one of 18 in one door and a drawer, and so on."""
    base = {"36": 3, "18": 2, "sink 36": 2, "drawers 24": 3, "corner 36": 1, "dishwasher 24": 0}
    assert {text: pulls_of(parse_units(text)[0], "base") for text in base} == base
    assert [pulls_of(parse_units("36")[0], layer) for layer in ("hung", "tall")] == [2, 4]
    assert pulls_of(parse_units("oven 33")[0], "tall") == 3


def test_widths_are_said_as_cabinets_are_sold() -> None:
    units = parse_units("36, sink 33 1/2, filler 3/4")
    assert units_in_words(units) == '36", sink 33-1/2", filler 3/4"'
    assert units_in_words(parse_units("60, dishwasher 60", "cm"), metric=True) == "600 mm, dishwasher 600 mm"
