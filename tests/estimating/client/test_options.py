"""What an estimate comes to with the options taken, tax once on the whole."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.client.options import OptionLocked, choices_of, options_of, sums_with, unlocked

TODAY = date(2026, 11, 25)


def paper(
    policy: str, *options: tuple[str, str], decide_by: str = ""
) -> tuple[dict[str, Any], dict[str, Any]]:
    """A paper at $1,000.00 before tax, $400.00 of it taxable material, taxed at 6.5 %."""
    bases = {"materials": "400.00", "everything": "1000.00"}
    snapshot = {
        "options": [
            {"title": f"Option {n}", "price": price, "decide_by": decide_by}
            for n, (price, _) in enumerate(options)
        ]
    }
    basis = {
        "subtotal": "1000.00",
        "tax_base": bases.get(policy, "0.00"),
        "policy": {"tax_policy": policy, "tax_rate": "13/200"},
        "options": [{"price": price, "taxable": taxable} for price, taxable in options],
    }
    return snapshot, basis


def total(policy: str, *options: tuple[str, str]) -> tuple[str, str]:
    snapshot, basis = paper(policy, *options)
    sums = sums_with(basis, options_of(snapshot, basis, TODAY), range(len(options)))
    return f"{sums.tax}", f"{sums.total}"


@pytest.mark.parametrize(
    ("policy", "without", "with_both"),
    [
        ("none", ("0.00", "1000.00"), ("0.00", "1300.10")),
        ("consumer", ("0.00", "1000.00"), ("0.00", "1300.10")),
        # 6.5 % of 400.00; of 400.00 + 50.05 + 10.05 = 460.10, 29.9065
        ("materials", ("26.00", "1026.00"), ("29.91", "1330.01")),
        # 6.5 % of 1,000.00; of 1,300.10, 84.5065
        ("everything", ("65.00", "1065.00"), ("84.51", "1384.61")),
    ],
)
def test_tax_is_worked_out_once_on_all_that_is_taken(
    policy: str, without: tuple[str, str], with_both: tuple[str, str]
) -> None:
    assert total(policy) == without
    assert total(policy, ("200.05", "50.05"), ("100.05", "10.05")) == with_both


def test_tax_of_options_is_not_rounded_one_by_one() -> None:
    # 6.5 % of 0.07 is 0.00455: ten on their own would add nothing, together 0.0455 is 5 cents.
    assert total("everything", *[("0.07", "0.00")] * 10) == ("65.05", "1065.75")


@pytest.mark.parametrize(("decide_by", "locked"), [("", False), ("2026-11-25", False), ("2026-11-24", True)])
def test_an_option_locks_after_its_day(decide_by: str, locked: bool) -> None:
    snapshot, basis = paper("none", ("5.00", "0.00"), decide_by=decide_by)
    options = options_of(snapshot, basis, TODAY)
    assert [option.locked for option in options] == [locked]
    if locked:
        with pytest.raises(OptionLocked, match="The day to decide on “Option 0” is past"):
            sums_with(basis, options, [0])


@pytest.mark.parametrize(("decide_by", "locked"), [("", False), ("2026-11-25", False), ("2026-11-24", True)])
def test_an_allowance_locks_after_its_day(decide_by: str, locked: bool) -> None:
    (choice,) = choices_of({"allowances": [{"name": "Cabinets", "decide_by": decide_by}]}, TODAY)
    assert (choice.name, choice.locked) == ("Cabinets", locked)


def test_options_that_are_locked_cannot_be_chosen_any_more() -> None:
    snapshot, basis = paper("none", ("5.00", "0.00"), ("6.00", "0.00"))
    snapshot["options"][0]["decide_by"] = "2026-11-24"
    assert unlocked(options_of(snapshot, basis, TODAY)) == {1}


def test_the_record_counts_options_from_one_in_the_order_of_the_paper() -> None:
    snapshot, basis = paper("everything", ("200.05", "0.00"), ("5.00", "0.00"), ("100.05", "0.00"))
    sums = sums_with(basis, options_of(snapshot, basis, TODAY), [2, 0])
    # 1,000.00 + 300.10; 6.5 % of it is 84.5065
    assert sums.as_record == {
        "options": [
            {"place": 1, "title": "Option 0", "price": "200.05"},
            {"place": 3, "title": "Option 2", "price": "100.05"},
        ],
        "before_tax": "1300.10",
        "tax": "84.51",
        "total": "1384.61",
    }


def test_an_option_that_is_not_there_is_refused() -> None:
    snapshot, basis = paper("none", ("5.00", "0.00"))
    with pytest.raises(OptionLocked, match="isn't on this paper"):
        sums_with(basis, options_of(snapshot, basis, TODAY), [1])


@given(st.sampled_from(["none", "materials", "everything"]), st.sets(st.integers(0, 5)))
def test_before_tax_and_tax_are_the_total(policy: str, positions: set[int]) -> None:
    snapshot, basis = paper(policy, *[(f"{n}.35", f"{n}.17") for n in range(6)])
    sums = sums_with(basis, options_of(snapshot, basis, TODAY), positions)
    assert sums.subtotal + sums.tax == sums.total
    assert sums.subtotal == Decimal("1000.00") + sum(Decimal(f"{n}.35") for n in positions)
