"""What a plan must sum to, read from the frozen facts of what was signed."""

from decimal import Decimal
from typing import Any

import pytest

from estimating.contract.lines import SignedBasis
from invoicing.milestones.contract_amounts import agreed_on, changes_of, work_lines


def line(key: str, kind: str, price: str, taxable: str = "0.00", **more: Any) -> dict[str, Any]:
    return {
        "key": key,
        "kind": kind,
        "title": key,
        "price": price,
        "taxable": taxable,
        "hours": "2.00",
        "cost": "100.00",
        **more,
    }


def basis(policy: str, subtotal: str, tax_base: str, tax: str, *lines: dict[str, Any]) -> dict[str, Any]:
    return {
        "lines": list(lines),
        "options": [line("fan", "option", "50.00", "30.00"), line("sink", "option", "80.00", "20.00")],
        "policy": {"tax_policy": policy, "tax_rate": "1/10"},
        "subtotal": subtotal,
        "tax_base": tax_base,
        "tax": tax,
    }


WORK = (line("tile", "work", "300.00", "100.00"), line("paint", "work", "200.00", "40.00"))


@pytest.mark.parametrize(
    ("policy", "tax_base", "taxable", "tax"),
    [
        ("materials", "140.00", "170.00", "17.00"),
        ("everything", "500.00", "550.00", "55.00"),
        ("consumer", "0.00", "0.00", "0.00"),
        ("none", "0.00", "0.00", "0.00"),
    ],
)
def test_options_taken_are_in_the_sum_and_taxed_by_the_policy(
    policy: str, tax_base: str, taxable: str, tax: str
) -> None:
    paper = SignedBasis(1, "Estimate 1001", basis(policy, "500.00", tax_base, "0.00", *WORK), [0])
    agreed = agreed_on(paper, (), is_signed=True)
    assert (agreed.amount, agreed.taxable, agreed.tax) == (
        Decimal("550.00"),
        Decimal(taxable),
        Decimal(tax),
    )


def test_a_change_is_its_fixed_price_and_apart_what_goes_by_the_hour() -> None:
    rows = (line("joist", "at_most", "90.00", "10.00"), line("fan", "agreed", "60.00", "25.00"))
    fixed, measured = changes_of(
        SignedBasis(7, "", basis("materials", "150.00", "35.00", "3.50", *rows)), "Rot"
    )
    assert (fixed.key, fixed.amount, fixed.taxable) == ("change-7", Decimal("60.00"), Decimal("25.00"))
    assert (measured.key, measured.by_measure) == ("change-7-measured", True)
    assert (measured.amount, measured.taxable) == (Decimal("90.00"), Decimal("10.00"))


def test_a_change_without_money_asks_for_none() -> None:
    assert changes_of(SignedBasis(7, "", basis("none", "0.00", "0.00", "0.00")), "Days only") == ()


def test_the_contract_sum_counts_every_signed_change() -> None:
    estimate = SignedBasis(1, "Estimate 1001", basis("none", "500.00", "0.00", "0.00", *WORK))
    change = SignedBasis(2, "Change order 1", basis("none", "-40.00", "0.00", "0.00"))
    assert agreed_on(estimate, [(change, "Less")], is_signed=True).contract_sum == Decimal("460.00")


def test_work_that_a_change_took_out_in_part_weighs_by_what_is_left() -> None:
    out = line("out", "brought", "-150.00", refers_document=1, refers_key="tile")
    papers = [
        SignedBasis(1, "Estimate 1001", basis("none", "500.00", "0.00", "0.00", *WORK)),
        SignedBasis(2, "Change order 1", basis("none", "-150.00", "0.00", "0.00", out)),
    ]
    tile, paint = work_lines(papers, [(1, "paint")])
    assert (tile.line.left, tile.hours, tile.cost, tile.is_finished) == (150, 1, 50, False)
    assert (paint.cost, paint.is_finished) == (100, True)


def test_work_taken_out_whole_is_no_work_to_finish() -> None:
    out = line("out", "taken_out", "-300.00", refers_document=1, refers_key="tile")
    papers = [
        SignedBasis(1, "Estimate 1001", basis("none", "500.00", "0.00", "0.00", *WORK)),
        SignedBasis(2, "Change order 1", basis("none", "-300.00", "0.00", "0.00", out)),
    ]
    assert [each.line.key for each in work_lines(papers, ())] == ["paint"]
