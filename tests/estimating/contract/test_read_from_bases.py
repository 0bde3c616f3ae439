"""The contract read from frozen bases: each value of a basis arrives where it belongs."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.markup import Markup
from estimating.contract.lines import (
    ContractAllowance,
    ContractLine,
    ContractRules,
    SignedBasis,
    contract_allowances,
    contract_lines,
    contract_rules,
)
from estimating.contract.unit_prices import FOUND, OPTION, UnitPrice, unit_prices
from estimating.pricing.change_terms import ChangeTerms

POLICY = {
    "tax_policy": "material",
    "tax_rate": "13/200",
    "labour_rate": "70.00",
    "labour": "20 markup",
    "material": "15 markup",
}
TERMS = {"markup": "18 markup", "fee": "75.00", "minimum": "120.00", "keeps": "1/10"}
CABINETS = {"key": "w1", "kind": "allowance", "title": "Cabinets", "price": "8000.00", "taxable": "6000.00"}
PAINT = {"key": "w2", "kind": "work", "title": "Paint", "price": "900.00", "taxable": "150.00"}
WARM_FLOOR = {
    "key": "o1",
    "kind": "option",
    "title": "Warm floor",
    "price": "640.00",
    "taxable": "310.00",
    "hours": "4.50",
    "cost": "480.25",
    "decide_by": "2026-12-04",
}
SHELF = WARM_FLOOR | {"key": "o2", "title": "Shelf", "decide_by": None}
ROT = {
    "key": "c1",
    "title": "Rotten subfloor",
    "unit": "sq ft",
    "price": "18.50",
    "taxable": "6.20",
    "most": "40",
    "least": "4",
    "by_receipt": True,
}


def signed(**basis: Any) -> SignedBasis:
    chosen = basis.pop("chosen", ())
    return SignedBasis(7, "Estimate 1001", {"lines": [CABINETS, PAINT], **basis}, chosen)


def change(*lines: dict[str, Any]) -> SignedBasis:
    return SignedBasis(9, "Change order 1", {"lines": list(lines)})


def credit(key: str, price: str, taxable: str, kind: str = "taken_out") -> dict[str, Any]:
    refers = {"refers_document": 7, "refers_key": key}
    return {"key": f"x{key}", "kind": kind, "title": "Less", "price": price, "taxable": taxable, **refers}


def test_changes_are_priced_by_every_rule_that_was_signed() -> None:
    assert contract_rules({"policy": POLICY, "change_terms": TERMS}) == ContractRules(
        terms=ChangeTerms(Markup(Decimal(18)), Decimal("75.00"), Decimal("120.00"), Fraction(1, 10)),
        tax_policy="material",
        tax_rate=Fraction(13, 200),
        labor_rate=Decimal("70.00"),
        labor=Markup(Decimal(20)),
        material=Markup(Decimal(15)),
    )


def test_a_line_is_what_was_signed_less_what_changes_credited_of_price_and_taxable_material() -> None:
    lines = contract_lines([signed(), change(credit("w2", "-300.00", "-50.00", "less"))])
    assert lines[1] == ContractLine(
        7, "w2", "work", "Paint", "Estimate 1001", Decimal("900.00"), Decimal("600.00"), Decimal("100.00")
    )


def test_a_second_credit_on_a_line_leaves_the_rest_of_the_first() -> None:
    first, second = credit("w2", "-300.00", "-50.00", "less"), credit("w2", "-100.00", "-20.00", "less")
    line = contract_lines([signed(), change(first), change(second)])[1]
    assert (line.left, line.taxable_left) == (Decimal("500.00"), Decimal("80.00"))


def test_a_line_taken_out_has_nothing_left_and_is_settled() -> None:
    line = contract_lines([signed(), change(credit("w2", "-900.00", "-150.00"))])[1]
    assert (line.left, line.taxable_left, line.settled) == (0, 0, True)


def test_the_options_that_were_chosen_are_lines_too() -> None:
    lines = contract_lines([signed(options=[WARM_FLOOR, SHELF], chosen={1})])
    assert [(line.key, line.kind, line.price) for line in lines[2:]] == [("o2", "option", Decimal("640.00"))]


def test_an_allowance_keeps_its_sum_its_terms_and_its_day() -> None:
    kept = {"key": "w1", "amount": "6400.00", "at_cost": True, "covers_tax": False, "decide_by": "2026-12-04"}
    estimate = signed(allowances=[kept])
    lines = contract_lines([estimate])
    assert contract_allowances([estimate], lines) == (
        ContractAllowance(lines[0], Decimal("6400.00"), True, False, date(2026, 12, 4)),
    )


def test_an_allowance_issued_before_there_were_days_has_none() -> None:
    estimate = signed(allowances=[{"key": "w1", "amount": "1", "at_cost": False, "covers_tax": True}])
    (allowance,) = contract_allowances([estimate], contract_lines([estimate]))
    assert (allowance.at_cost, allowance.covers_tax, allowance.decide_by) == (False, True, None)


def test_a_hidden_condition_is_a_unit_price_with_its_limit() -> None:
    assert unit_prices([signed(if_found=[ROT])]) == (
        UnitPrice(
            kind=FOUND,
            document=7,
            key="c1",
            title="Rotten subfloor",
            document_name="Estimate 1001",
            unit="sq ft",
            price=Decimal("18.50"),
            taxable=Decimal("6.20"),
            most=Decimal(40),
            used=Decimal(0),
            least=Decimal(4),
            by_receipt=True,
        ),
    )


def test_a_condition_signed_before_there_was_a_minimum_has_none() -> None:
    earlier = {name: value for name, value in ROT.items() if name != "least"}
    assert unit_prices([signed(if_found=[earlier])])[0].least == 0


def uses(key: str, quantity: str, line_key: str = "u1") -> dict[str, Any]:
    by = {"by_document": 7, "by_key": key, "quantity": quantity}
    return {"key": line_key, "kind": "found", "title": "Rot", "price": "0", "taxable": "0", **by}


def test_what_changes_use_of_a_condition_adds_up() -> None:
    (rot,) = unit_prices([signed(if_found=[ROT]), change(uses("c1", "12")), change(uses("c1", "5", "u2"))])
    assert (rot.used, rot.left) == (17, 23)


def test_an_option_is_one_thing_with_its_day_its_hours_and_its_cost() -> None:
    (option,) = unit_prices([signed(options=[WARM_FLOOR])])
    assert option == UnitPrice(
        kind=OPTION,
        document=7,
        key="o1",
        title="Warm floor",
        document_name="Estimate 1001",
        unit="each",
        price=Decimal("640.00"),
        taxable=Decimal("310.00"),
        most=Decimal(1),
        used=Decimal(0),
        decide_by=date(2026, 12, 4),
        hours=Decimal("4.50"),
        cost=Decimal("480.25"),
    )


def test_an_option_chosen_at_signing_or_by_a_change_is_used() -> None:
    estimate = signed(options=[WARM_FLOOR, SHELF], chosen={0})
    warm, shelf = unit_prices([estimate, change(uses("o2", "1"))])
    assert (warm.used, shelf.used, shelf.decide_by) == (1, 1, None)


def test_the_limit_says_what_is_used_and_what_waits() -> None:
    (rot,) = unit_prices([signed(if_found=[ROT]), change(uses("c1", "30"))])
    assert rot.why_not(Decimal(12), date(2026, 12, 1), waiting=Decimal(6)).startswith(
        "The limit that was signed for Rotten subfloor is 40 sq ft, and 30 sq ft of it is in signed changes, "
        "and 6 sq ft waits for a signature: take at most 4 sq ft here."
    )


def test_beyond_the_limit_nothing_more_can_be_taken() -> None:
    (rot,) = unit_prices([signed(if_found=[ROT]), change(uses("c1", "40"))])
    assert "take at most 0 sq ft here" in rot.why_not(Decimal(1), date(2026, 12, 1), waiting=Decimal(3))
