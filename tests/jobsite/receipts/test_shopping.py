"""What of the shopping list is bought, and what material comes to at the end."""

from decimal import Decimal

from jobsite.receipts.costs import Bought
from jobsite.receipts.shopping import Received, shopping_lines, shopping_sums

BASIS = {
    "materials": [
        {
            "code": code,
            "name": code.capitalize(),
            "unit": "sq ft",
            "cost": "64.00",
            "packages": [{"key": "1", "size": "32", "price": "16.00", "count": 4}],
        }
        for code in ("board", "screws", "tape")
    ]
}


def test_what_is_ticked_or_came_whole_is_bought_and_goes_last() -> None:
    received = {"tape": Received(Decimal(4), Decimal(70)), "board": Received(Decimal(3), Decimal(48))}
    lines = shopping_lines([BASIS], {"screws"}, received)
    assert [(line.code, line.is_bought) for line in lines] == [
        ("board", False),
        ("screws", True),
        ("tape", True),
    ]
    assert (lines[0].packages, lines[0].received_in_words) == ("4 × 32 sq ft", "3 on receipts for $48.00")
    sums = shopping_sums(lines)
    assert (sums.priced, sums.spent, sums.to_buy) == (192, 118, 16)


def test_what_is_all_on_hand_is_not_to_buy() -> None:
    stocked = {**BASIS["materials"][0], "code": "felt", "packages": [], "cost": "0.00"}
    lines = shopping_lines([{"materials": [*BASIS["materials"], stocked]}], set(), {})
    assert [line.code for line in lines] == ["board", "screws", "tape"]


def test_material_at_the_end_is_what_is_spent_and_what_is_left_to_spend() -> None:
    bought = Bought(Decimal("100.00"), Decimal("130.00"))
    assert (bought.left, bought.expected, bought.over) == (0, Decimal("130.00"), Decimal("30.00"))
    assert Bought(Decimal("100.00"), Decimal("30.00")).expected == Decimal("100.00")
    assert Bought(Decimal("100.00"), Decimal("30.00"), is_closed=True).expected == Decimal("30.00")
