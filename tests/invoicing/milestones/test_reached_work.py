"""Which work a milestone stands for, as far as the money tells."""

from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.phases import PHASE_ORDER
from estimating.contract.lines import ContractLine
from estimating.contract.work_lines import ContractWorkLine
from invoicing.milestones.plan import MilestoneTerm, Plan, draw_plan
from invoicing.milestones.reached_work import groups_reached, work_groups


def line(title: str, phase: str, cost: int, document: int = 1) -> ContractWorkLine:
    price = Decimal(2 * cost)
    contract = ContractLine(document, title, "work", title, "Estimate 1001", price, price, Decimal(0))
    return ContractWorkLine(contract, phase, Fraction(1), Fraction(cost), is_finished=False)


# Floor 30 %, board 20 % in two lines, cabinets 50 % of 1000.
LINES = (
    line("Tile", "floor", 150),
    line("Hang", "board", 60),
    line("Tape", "board", 40),
    line("Set", "set", 250),
)


def plan(*percents: int) -> Plan:
    terms = [
        MilestoneTerm(f"{position}", f"{position}", "Done.", Fraction(percent, 100), is_deposit=not position)
        for position, percent in enumerate(percents)
    ]
    return draw_plan(Decimal(1000), terms)


def test_work_goes_by_phase_in_its_order() -> None:
    assert [(group.key, group.price) for group in work_groups(LINES, PHASE_ORDER)] == [
        ("board", 200),
        ("floor", 300),
        ("set", 500),
    ]


@pytest.mark.parametrize(
    ("milestone", "keys"),
    [("0", set()), ("1", {"board"}), ("2", {"board", "floor"}), ("3", {"board", "floor", "set"})],
)
def test_the_phases_that_come_nearest_to_the_money_are_done(milestone: str, keys: set[str]) -> None:
    """10 % deposit, then 25, 55 and 100 % with each milestone; board is 20 %, with the floor 50 %."""
    assert groups_reached(plan(10, 15, 30, 45), milestone, work_groups(LINES, PHASE_ORDER)) == keys


def test_the_last_milestone_stands_for_all_of_it() -> None:
    assert groups_reached(plan(0, 99, 1), "2", work_groups(LINES, PHASE_ORDER)) == {"board", "floor", "set"}


def test_a_change_with_a_milestone_of_its_own_stands_apart() -> None:
    lines, apart = (*LINES, line("Trim", "trim", 10, document=7)), {7: "2"}
    groups = work_groups(lines, PHASE_ORDER, apart)
    assert [group.key for group in groups] == ["board", "floor", "set", "change-7"]
    assert groups_reached(plan(0, 100, 0), "2", groups, apart) == {"change-7"}
    assert groups_reached(plan(0, 100, 0), "1", groups, apart) == {"board", "floor", "set"}


def test_work_that_weighs_nothing_is_done_with_the_last() -> None:
    free = work_groups((line("Sweep", "close", 0),), PHASE_ORDER)
    assert groups_reached(plan(0, 40, 60), "1", free) == frozenset()
    assert groups_reached(plan(0, 40, 60), "2", free) == {"close"}
