"""What an estimate comes to with the options taken, tax once on the whole."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.client.options import OptionLocked, options_of, sums_with

TODAY = date(2026, 11, 25)


def paper(
    policy: str, *options: tuple[str, str], decide_by: str = ""
) -> tuple[dict[str, Any], dict[str, Any]]:
    """A paper at $1,000.00 before tax, $400.00 of it taxable material, taxed at 6.5 %."""
    bases = {"materials": "400.00", "everything": "1000.00"}
    snapshot = {
        "options": [
            {"title": f"Option {n}", "price": each[0], "decide_by": decide_by}
            for n, each in enumerate(options)
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
    assert [each.locked for each in options] == [locked]
    if locked:
        with pytest.raises(OptionLocked, match="The day to decide on “Option 0” is past"):
            sums_with(basis, options, [0])


def test_an_option_that_is_not_there_is_refused() -> None:
    snapshot, basis = paper("none", ("5.00", "0.00"))
    with pytest.raises(OptionLocked, match="isn't on this paper"):
        sums_with(basis, options_of(snapshot, basis, TODAY), [1])


@given(st.sampled_from(["none", "materials", "everything"]), st.sets(st.integers(0, 5)))
def test_before_tax_and_tax_are_the_total(policy: str, places: set[int]) -> None:
    snapshot, basis = paper(policy, *[(f"{n}.35", f"{n}.17") for n in range(6)])
    sums = sums_with(basis, options_of(snapshot, basis, TODAY), places)
    assert sums.subtotal + sums.tax == sums.total
    assert sums.subtotal == Decimal("1000.00") + sum(Decimal(f"{n}.35") for n in places)
