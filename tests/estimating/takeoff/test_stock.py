"""Material that is on hand: used first, charged as it is used, and left out of what is bought."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.specs import MaterialSpec
from estimating.pricing.price import price
from estimating.takeoff.purchasing import MaterialLine
from estimating.takeoff.takeoff import TakeOff, take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.specs import assembly, material, policy, room, uses

SCREWS = material("screws", "each", ("100", "7.00"), ("300", "15.00"))
PAINT = material("paint", "gal", ("1", "40.00"), ("5", "150.00"))


def taken(
    used: MaterialSpec, *amounts: int, on_hand: str = "0", is_option: bool = False
) -> tuple[TakeOff, MaterialLine]:
    """Take off work that asks for these amounts of a material, with so much of it on hand."""
    spec = assembly("work", "each", uses(used, measure="each"))
    works = [
        Work(
            f"{number}",
            f"Work {number}",
            "finish",
            assembly=spec,
            overrides=(Override("each", Fraction(amount), "counted"),),
            is_option=is_option,
            extra_hours=Fraction(1),
        )
        for number, amount in enumerate(amounts)
    ]
    found = take_off({}, works, on_hand={used.code: Fraction(on_hand)})
    return found, found.materials[0] if found.materials else None  # type: ignore[return-value]


def test_what_is_on_hand_is_used_before_whole_packages_are_bought_for_the_rest() -> None:
    _, line = taken(SCREWS, 380, on_hand="150")
    assert line.purchase is not None
    # 230 are short: a box of 300, with 70 left over; 150 on hand at 5 cents, the least by the unit
    assert [(offer.size, count) for offer, count in line.purchase.counts] == [(300, 1)]
    assert (line.from_stock, line.stock_cost, line.purchase.left_over) == (150, Decimal("7.50"), 70)
    assert line.cost == Decimal("22.50")
    assert line.cost_by_work == {"0": Decimal("22.50")}


def test_what_is_all_on_hand_is_not_bought_and_costs_what_is_used_of_it() -> None:
    _, line = taken(PAINT, 2, on_hand="3.5")
    assert line.purchase is not None
    assert (line.purchase.counts, line.purchase.cost) == ((), 0)
    assert (line.from_stock, line.cost) == (2, Decimal("60.00"))  # at $30.00 a gallon


def test_nothing_on_hand_changes_nothing() -> None:
    _, line = taken(SCREWS, 380)
    assert (line.from_stock, line.stock_cost, line.cost) == (0, 0, line.purchase and line.purchase.cost)


def test_an_option_is_bought_for_whole_as_stock_goes_to_the_work_in_the_sum() -> None:
    found, _ = taken(SCREWS, 100, on_hand="100", is_option=True)
    assert found.purchase_costs["0"].material_taxable == Decimal("7.00")


def test_no_supply_run_is_priced_for_what_is_all_on_hand() -> None:
    drafts = [taken(PAINT, 2, on_hand=on_hand)[0] for on_hand in ("0", "1", "2")]
    runs = [price(draft, policy(runs=None)).trips.runs for draft in drafts]
    assert runs == [1, 1, 0]


def test_whole_sticks_on_hand_are_left_out_of_the_cut_list() -> None:
    base = material("base", "ft", ("8", "10.00"), ("12", "14.00"), stick=True)
    spec = assembly("trim", "floor_perimeter", uses(base, measure="floor_perimeter"))
    work = Work("1", "Trim", "trim", assembly=spec, rooms=(RoomUse("a"),))
    rooms = {"a": room("10'", "12'")}
    (plain,), (stocked,) = (
        take_off(rooms, [work], on_hand={"base": Fraction(feet)}).materials for feet in (0, 26)
    )
    assert plain.purchase is not None
    assert stocked.purchase is not None
    bought = {offer.size: count for offer, count in plain.purchase.counts}
    left = {offer.size: count for offer, count in stocked.purchase.counts}
    fewer = {size: count - left.get(size, 0) for size, count in bought.items()}
    assert fewer == {size: 2 if size == 12 else 0 for size in bought}  # 2 ft of the 26 are no stick
    assert (stocked.from_stock, stocked.cuts) == (24, plain.cuts)
    assert stocked.cost == stocked.purchase.cost + Decimal("28.00")


@pytest.mark.parametrize("used", [SCREWS, PAINT], ids=lambda used: used.name)
@given(
    amounts=st.lists(st.integers(1, 400), min_size=1, max_size=5),
    on_hand=st.fractions(0, 900, max_denominator=8),
)
def test_stock_and_purchases_cover_what_is_required_and_costs_sum_to_the_cent(
    used: MaterialSpec, amounts: list[int], on_hand: Fraction
) -> None:
    found, line = taken(used, *amounts, on_hand=f"{on_hand}")
    assert line.purchase is not None
    assert line.from_stock == min(on_hand, sum(amounts))
    assert line.from_stock + line.purchase.bought - line.purchase.left_over == line.required == sum(amounts)
    assert sum(line.cost_by_work.values()) == line.cost
    assert sum(costs.material_taxable for costs in found.purchase_costs.values()) == line.cost
    no_stock = taken(used, *amounts)[1].purchase
    assert no_stock is not None
    assert line.purchase.cost <= no_stock.cost
