"""What an estimate shows its client, and what it never shows."""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.room_measures import DeductRule
from estimating.estimates.draft import price_draft
from estimating.plain_text import day_in_words, list_in_words
from estimating.pricing.percentages import tax_rate_in_words
from estimating.pricing.price import AllowanceInput
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.priced_draft import reasons_not_ready
from estimating.takeoff.scope_text import amount_in_words
from estimating.takeoff.work import Conventions, Override, RoomUse, Work
from tests.estimating.hidden_sums import hidden_sums, sums_in
from tests.estimating.plain_kitchen import (
    drafted,
    kitchen,
    kitchen_room,
    kitchen_words,
    kitchen_work,
    quick,
    tile_floor,
    wall_paint,
)
from tests.specs import policy

# The invented kitchen: hours at $80.00, material, taxable or not, price with 20 % on material and its tax.
# Store tax is reckoned once on the receipt, 2,123.60 at 6.5 % = 138.03; line by line it would be 138.04.
OKONJO = (
    ("Protect floors", "protect", "6", "120.00", True, "633.36"),
    ("Demolition", "take_out", "18", "465.00", False, "1998.00"),
    ("Subfloor check", "rough", "3", "34.00", True, "283.45"),
    ("Hang drywall", "board", "7", "144.50", True, "744.67"),
    ("Tape and finish", "finish", "12", "39.00", True, "1009.85"),
    ("Prime and paint", "finish", "16", "202.00", True, "1538.16"),
    ("Backer board", "floor", "8", "188.25", True, "880.59"),
    ("Set porcelain", "floor", "24", "951.10", True, "3135.50"),
    ("Grout and seal", "floor", "8", "53.00", True, "707.73"),
    ("Install cabinets", "set", "36", "48.00", True, "2941.34"),
    ("Light trims", "set", "3", "126.00", True, "401.03"),
    ("Base and casing", "trim", "17", "217.75", True, "1638.28"),
    ("Clean", "close", "8", "0.00", True, "640.00"),
)


def snapshot_of(*work: Work, words: Mapping[str, Any] | None = None, **rule: Any) -> dict[str, Any]:
    words = {"brought": (), **(words or {})}
    return estimate_snapshot(kitchen_words(**words), drafted(*work, **rule))


def strings(value: object) -> Iterator[object]:
    """Everything in a snapshot that isn't a dict or a list."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from strings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner)
    else:
        yield value


def test_the_snapshot_is_plain_text_that_json_keeps() -> None:
    snapshot = estimate_snapshot(kitchen_words(), kitchen())
    assert {type(text) for text in strings(snapshot)} == {str}
    assert json.loads(json.dumps(snapshot)) == snapshot


@pytest.mark.parametrize("detail", ["total", "phase", "line"])
def test_no_cost_hours_rate_or_profit_is_in_it(detail: str) -> None:
    draft = kitchen(runs=4)  # with three, what the trips are sold for is what the cleaning costs
    text = json.dumps(estimate_snapshot(kitchen_words(detail=detail), draft))
    assert hidden_sums(draft) & sums_in(text) == set()
    assert re.findall(r"\b(?:hours?|costs?|margin|profit|overhead|rate)\b", text, re.IGNORECASE) == []
    assert re.findall(r"[^ ]+ markup", text) == ["my markup"]


def test_the_invented_kitchen_is_right_to_the_cent() -> None:
    work = [quick(*row[:5]) for row in OKONJO]
    cabinets = AllowanceInput("allowance-1", "Cabinets", "set", Decimal("6400.00"))
    draft = drafted(*work, allowances=(cabinets,), tax_policy="consumer", tax_rate=Fraction("0.065"), runs=3)
    snapshot = estimate_snapshot(kitchen_words(brought=()), draft)
    expected = {row[0]: row[5] for row in OKONJO}
    expected |= {"Allowance: Cabinets": "8179.20", "Supply runs and return visits": "480.00"}
    assert {row["label"]: row["price"] for row in snapshot["prices"]} == expected
    assert snapshot["total"] == "25211.16"


@given(
    lines=st.lists(st.tuples(st.integers(0, 400), st.integers(0, 99_999)), min_size=1, max_size=6),
    contingency=st.integers(0, 15),
    shown=st.booleans(),
    least=st.integers(0, 500_000),
    tax=st.sampled_from(["consumer", "materials", "everything", "none"]),
    detail=st.sampled_from(["total", "phase", "line"]),
)
def test_the_printed_rows_and_tax_sum_to_the_printed_total(
    lines: list[tuple[int, int]], contingency: int, shown: bool, least: int, tax: str, detail: str
) -> None:
    phases = ["protect", "board", "close"]
    work = [
        quick(f"w{n}", phases[n % 3], str(Fraction(hours, 4)), f"{cents / 100:.2f}")
        for n, (hours, cents) in enumerate(lines)
    ]
    snapshot = snapshot_of(
        *work,
        words={"detail": detail},
        contingency=Fraction(contingency, 100),
        show_contingency=shown,
        minimum_charge=Decimal(least) / 100,
        tax_policy=tax,
        tax_rate=Fraction("0.0725"),
        runs=None,
    )
    rows = sum((Decimal(row["price"]) for row in snapshot["prices"]), Decimal(0))
    taxed = snapshot["tax"]
    assert rows == Decimal(taxed["subtotal"] if taxed else snapshot["total"])
    assert rows + Decimal(taxed.get("amount", "0")) == Decimal(snapshot["total"])


def test_one_price_for_everything_when_the_client_sees_the_total_only() -> None:
    snapshot = snapshot_of(
        quick("a", "board", "1", "10"), quick("b", "floor", "2", "0"), words={"detail": "total"}
    )
    assert snapshot["prices"] == [{"number": "", "label": "All the work above", "price": "252.00"}]


def test_a_price_for_each_phase_in_the_order_of_the_work() -> None:
    work = (quick("b", "floor", "2", "0"), quick("a", "board", "1", "0"), quick("c", "floor", "1", "0"))
    snapshot = snapshot_of(*work, words={"detail": "phase"})
    assert [(row["label"], row["price"]) for row in snapshot["prices"]] == [
        ("Drywall and backer", "80.00"),
        ("Floor", "240.00"),
    ]


def test_numbers_tie_the_price_rows_to_the_scope() -> None:
    snapshot = snapshot_of(quick("b", "floor", "2", "0"), quick("a", "board", "1", "0"))
    scope = {item["title"]: item["number"] for group in snapshot["scope"] for item in group["work"]}
    assert scope == {row["label"]: row["number"] for row in snapshot["prices"]} == {"a": "1", "b": "2"}


def test_prices_of_work_with_one_title_name_their_rooms() -> None:
    tiled = [
        Work("a", "Tile", "floor", assembly=tile_floor(), rooms=(RoomUse("1"),)),
        Work("b", "Tile", "floor", assembly=tile_floor(), rooms=(RoomUse("2"),)),
    ]
    rows = snapshot_of(*tiled, quick("Haul away", "close", "1", "0"), words={"detail": "line"})["prices"]
    trips = "Supply runs and return visits"  # thinset and grout leave most of a day empty
    assert [row["label"] for row in rows] == ["Tile, Kitchen", "Tile, Pantry", "Haul away", trips]


def test_a_contingency_that_the_client_may_see_has_its_own_row_by_phase_too() -> None:
    rule = {"contingency": Fraction("0.10"), "show_contingency": True}
    snapshot = snapshot_of(quick("a", "close", "1", "0"), words={"detail": "phase"}, **rule)
    assert [(row["label"], row["price"]) for row in snapshot["prices"]] == [
        ("Clean-up and punch", "80.00"),
        ("Contingency", "8.00"),
    ]


def test_tax_charged_to_the_client_names_its_rate_and_base() -> None:
    snapshot = snapshot_of(
        quick("a", "board", "1", "100"), tax_policy="materials", tax_rate=Fraction("0.06875")
    )
    tax = snapshot["tax"]
    # 100.00 and 20 % are 120.00; 6.875 % on it is exactly 8.25
    assert tax == {
        "subtotal": "200.00",
        "label": "Sales tax, 6.875% on taxable materials, $120.00",
        "amount": "8.25",
    }


@pytest.mark.parametrize(
    ("rate", "words"), [("0.06", "6%"), ("0.065", "6.5%"), ("0.06875", "6.875%"), ("0.081875", "8.1875%")]
)
def test_a_tax_rate_is_said_with_all_its_decimals(rate: str, words: str) -> None:
    assert tax_rate_in_words(Fraction(rate)) == words


def test_tax_paid_at_the_store_is_said_to_be_inside() -> None:
    snapshot = snapshot_of(quick("a", "board", "1", "100"), tax_policy="consumer", tax_rate=Fraction("0.06"))
    assert snapshot["tax"] == {}
    assert "inside the price" in snapshot["tax_note"]


def test_scope_says_how_much_and_where_in_words() -> None:
    painted = Work("p", "Paint", "finish", assembly=wall_paint(), rooms=(RoomUse("1", frozenset({2, 3})),))
    item = snapshot_of(painted)["scope"][0]["work"][0]
    # walls C and D: (13'-4" + 10'-8") x 8' = 192, less the opening and the door at 20 each = 152
    assert (item["where"], item["quantity"]) == ("Kitchen, walls C and D", "152 sq ft of wall")


def test_scope_by_room_lists_what_is_done_in_each_with_its_own_quantity() -> None:
    tiled = Work("t", "Tile", "floor", assembly=tile_floor(), rooms=(RoomUse("1"), RoomUse("2")))
    scope = snapshot_of(tiled, quick("Haul away", "close", "1", "0"), words={"scope_by": "room"})["scope"]
    shown = [(group["heading"], [(i["title"], i["quantity"]) for i in group["work"]]) for group in scope]
    # 13'-4" x 10'-8" = 142.22; 5' x 4' = 20
    assert shown == [
        ("Kitchen", [("Tile", "142 sq ft of floor")]),
        ("Pantry", [("Tile", "20 sq ft of floor")]),
        ("The whole job", [("Haul away", "")]),
    ]


def test_scope_by_room_names_the_walls_without_the_room() -> None:
    painted = Work("p", "Paint", "finish", assembly=wall_paint(), rooms=(RoomUse("1", frozenset({1})),))
    item = snapshot_of(painted, words={"scope_by": "room"})["scope"][0]["work"][0]
    assert item["where"] == "wall B"


def test_a_measure_put_in_by_hand_is_an_assumption_with_its_reason() -> None:
    by_hand = (Override("floor", Fraction(165), "closet runs on"),)
    tiled = Work("t", "Tile", "floor", assembly=tile_floor(), rooms=(RoomUse("1"),), overrides=by_hand)
    assert "Tile: floor taken as 165 sq ft (closet runs on)." in snapshot_of(tiled)["assumptions"]


def test_one_assumption_for_the_same_measure_put_in_twice_is_printed_once() -> None:
    by_hand = (Override("floor", Fraction(165), "closet runs on"),)
    tiled = [
        Work(key, "Tile", "floor", assembly=tile_floor(), rooms=(RoomUse(key),), overrides=by_hand)
        for key in ("1", "2")
    ]
    assert snapshot_of(*tiled)["assumptions"].count("Tile: floor taken as 165 sq ft (closet runs on).") == 1


def test_the_rule_for_openings_is_printed_where_walls_are_measured() -> None:
    painted = Work("p", "Paint", "finish", assembly=wall_paint(), rooms=(RoomUse("1"),))
    rule = Conventions(DeductRule("above", Fraction(20)))
    draft = price_draft({"1": kitchen_room()}, [painted], policy(), rule, [])
    words = kitchen_words(brought=(), assumptions="")
    assert estimate_snapshot(words, draft)["assumptions"] == [
        "Walls: openings of 20 sq ft and more deducted."
    ]


def test_what_a_rule_estimated_is_said_and_what_was_laid_out_is_not() -> None:
    # boards are laid on the floor as measured; an area put in by hand has no shape to lay them on
    measured = next(work for work in kitchen_work() if work.key == "board")
    by_hand = replace(measured, overrides=(Override("floor", Fraction(140), "told on the phone"),))
    sentence = "Lay cement backer board over thinset: sheets and fasteners estimated by a rule for its area."
    assert sentence in snapshot_of(by_hand)["assumptions"]
    assert sentence not in snapshot_of(measured)["assumptions"]


def test_an_option_is_priced_but_neither_in_the_scope_nor_in_the_sum() -> None:
    option = quick("Skim", "finish", "9", "0", is_option=True)
    snapshot = snapshot_of(
        quick("a", "board", "1", "0"), option, words={"decide_by": {"Skim": date(2027, 1, 15)}}
    )
    assert [(option["title"], option["price"], option["decide_by"]) for option in snapshot["options"]] == [
        ("Skim", "720.00", "2027-01-15")
    ]
    assert [item["title"] for group in snapshot["scope"] for item in group["work"]] == ["a"]
    assert snapshot["total"] == "80.00"


def test_an_option_says_that_tax_comes_on_top_where_the_client_pays_it() -> None:
    option = quick("Skim", "finish", "9", "0", is_option=True)
    snapshot = snapshot_of(option, tax_policy="everything", tax_rate=Fraction("0.06"))
    assert snapshot["options"][0]["tax"] == "plus sales tax"


def test_an_allowance_says_what_is_inside_and_what_is_not() -> None:
    allowance = estimate_snapshot(kitchen_words(), kitchen())["allowances"][0]
    # 6400.00 and 416.00 tax at the store, and 20 % on both
    assert allowance["price"] == "8179.20"
    assert allowance["inside"] == "the material, delivery, sales tax and my markup"
    assert allowance["outside"] == "the work to set it"
    assert allowance["decide_by"] == "2026-12-11"


def test_what_the_client_brings_is_counted_and_dated() -> None:
    assert estimate_snapshot(kitchen_words(), kitchen())["client_brings"] == [
        {
            "name": "Light trim",
            "quantity": "6",
            "work": "Swap recessed light trims",
            "needed_by": "2027-02-01",
        }
    ]


def test_companions_set_aside_are_printed_as_not_included() -> None:
    words = {"exclusions": "Permits", "set_aside": ("Transition strip",)}
    assert snapshot_of(quick("a", "board", "1", "0"), words=words)["not_included"] == [
        "Permits",
        "Transition strip",
    ]


def test_a_line_typed_with_a_full_stop_is_printed_in_a_list_without_it() -> None:
    words = {"exclusions": "Permits.\nWiring", "left_as_is": "Window.", "set_aside": ()}
    snapshot = snapshot_of(quick("a", "board", "1", "0"), words=words)
    assert snapshot["not_included"] == ["Permits", "Wiring"]
    assert snapshot["left_as_is"] == ["Window"]


def test_an_estimate_without_work_says_what_is_missing() -> None:
    assert reasons_not_ready(drafted()) == ("There is no work in the estimate yet.",)


def test_work_that_cannot_be_taken_off_is_named() -> None:
    (reason,) = reasons_not_ready(drafted(Work("p", "Paint", "finish", assembly=wall_paint())))
    assert reason.startswith("Paint: ")


@pytest.mark.parametrize(
    ("code", "amount", "words"),
    [
        ("floor", Fraction(1280, 9), "142 sq ft of floor"),
        ("floor", Fraction(285, 2), "143 sq ft of floor"),
        ("base", Fraction(23, 4), "5.75 ft of base"),
        ("ceiling_lights", Fraction(1), "1 ceiling light"),
        ("device_boxes", Fraction(3), "3 switches and outlets"),
        ("each", Fraction(1), ""),
        ("each", Fraction(18), "18"),
        ("length", Fraction(12), "12 ft"),
        ("rooms", Fraction(2), ""),
    ],
)
def test_amounts_read_as_people_say_them(code: str, amount: Fraction, words: str) -> None:
    assert amount_in_words(code, amount) == words


@pytest.mark.parametrize(
    ("title", "words"),
    [
        ("Remove cabinets", "16 cabinets"),
        ("Pulls on doors and drawers", "16 pulls"),
        ("Dust barrier in an opening", "16 barriers"),
        ("Remove a vanity", "16 vanities"),
        ("Move an appliance out and back", "16 appliances"),
        ("Haul away in a 10-yard dumpster", "16 dumpsters"),
        ("Clean up every day", "16 days"),
        ("Plumbing in open walls by a licensed plumber", "16"),
        ("Set glass", "16"),
    ],
)
def test_what_is_counted_is_called_as_its_title_calls_it(title: str, words: str) -> None:
    assert amount_in_words("each", Fraction(16), title=title) == words


def test_a_metric_firm_says_square_meters() -> None:
    # 142.22 sq ft x 0.09290304 m2 = 13.2128... m2
    assert amount_in_words("floor", Fraction(1280, 9), metric=True) == "13.21 m² of floor"


@pytest.mark.parametrize(("words", "sentence"), [("A", "A"), ("AB", "A and B"), ("ABC", "A, B and C")])
def test_a_list_is_said_with_and(words: str, sentence: str) -> None:
    assert list_in_words(list(words)) == sentence


def test_dates_are_said_with_their_day() -> None:
    assert day_in_words(date(2026, 11, 24)) == "Tue 24 Nov 2026"
