"""What was bought by work item, from receipts' lines that are charged to materials."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from estimating.contract.work_lines import ContractWorkLine
from jobsite.receipts.costs import Bought, bought_of
from tests.jobsite.contract_work import work_line

PHASES = (("board", "Drywall"), ("finish", "Finish"))
NEEDS = {"mud": {(1, "taping"): Fraction(60), (1, "patching"): Fraction(20), (1, "gone"): Fraction(9)}}


def bought(
    *lines: ContractWorkLine, spent: str, mud: str = "0", change: Mapping[int, Decimal] | None = None
) -> Bought:
    charged = {"mud": Decimal(mud), "nothing": Decimal(7)}
    return bought_of(lines, NEEDS, charged, change or {}, Decimal(spent), PHASES, False)


def test_a_line_of_a_material_is_spread_over_the_work_that_needs_it_as_it_was_priced() -> None:
    taping, patching = work_line("taping", 1, bought="60"), work_line("patching", 1, bought="20")
    hanging = work_line("hanging", 1, bought="100")
    found = bought(taping, patching, hanging, spent="100.00", mud="64.01")
    (board,) = found.phases
    assert [(line.title, line.spent, line.left) for line in board.lines] == [
        ("taping", Decimal("48.01"), Decimal("11.99")),
        ("patching", Decimal("16.00"), Decimal("4.00")),
        ("hanging", 0, 100),
    ]
    assert (found.priced, found.for_job) == (180, Decimal("35.99"))
    assert (found.left, found.expected) == (80, 180)


def test_one_work_item_that_is_over_isnt_paid_by_what_another_has_left() -> None:
    taping, hanging = work_line("taping", 1, bought="60"), work_line("hanging", 1, bought="100")
    found = bought(taping, hanging, spent="90.00", mud="90.00")
    assert (found.left, found.expected) == (100, 190)
    assert found.warnings == ("Bought for taping: $90.00 of $60.00.",)


def test_finished_work_that_nothing_is_charged_to_counts_as_priced_and_any_other_as_it_was() -> None:
    found = bought(
        work_line("taping", 1, True, bought="60"),
        work_line("hanging", 1, True, phase="finish", bought="100"),
        spent="40.00",
        mud="40.00",
    )
    assert [(phase.left, phase.expected) for phase in found.phases] == [(0, 40), (0, 100)]
    assert found.expected == 140


def test_receipts_of_a_change_stand_at_the_change() -> None:
    joist = work_line("joist", 2, kind="at_most", phase="", bought="26.80")
    found = bought(joist, spent="30.00", change={1: Decimal("30.00"), 2: Decimal(1)})
    assert [(line.priced, line.spent) for phase in found.phases for line in phase.lines] == [
        (Decimal("26.80"), 30)
    ]


def test_all_that_is_bought_is_named_once_it_is_more_than_priced() -> None:
    hanging = work_line("hanging", 1, bought="100")
    assert bought(hanging, spent="104.00").warnings == ()
    assert bought(hanging, spent="106.00").warnings == ("All that is bought comes to $106.00 of $100.00.",)
