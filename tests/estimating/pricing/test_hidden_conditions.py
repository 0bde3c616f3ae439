"""Hidden conditions: priced in advance by the same rules, outside every sum, used at the signed price."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.assemblies.specs import AssemblySpec
from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from estimating.changes.price import UnitPriceLine, price_change
from estimating.contract.lines import ContractRules, SignedBasis
from estimating.contract.unit_prices import FOUND, OPTION, UnitPrice, unit_prices
from estimating.estimates.draft import Draft
from estimating.pricing.change_terms import ChangeTerms
from estimating.pricing.hidden_condition_suggestions import SUGGESTIONS
from estimating.pricing.hidden_conditions import (
    UNITS,
    NoUnitPrice,
    PricedCondition,
    hidden_conditions_for_snapshot,
    unit_price,
)
from estimating.snapshots.differences import compare
from estimating.snapshots.estimate import estimate_snapshot
from estimating.snapshots.price_basis import estimate_basis
from estimating.snapshots.priced_draft import reasons_not_ready
from estimating.takeoff.work import Conventions
from tests.estimating.plain_kitchen import kitchen, kitchen_words
from tests.estimating.unit_prices import ROTTEN_SUBFLOOR
from tests.specs import assembly, material, operation, policy, uses

TODAY = date(2026, 12, 7)
ROT = PricedCondition("condition-1", "Rotten subfloor replaced", "sq ft", Decimal("14.00"), Decimal(64))
RULES = ContractRules(
    terms=ChangeTerms(),
    tax_policy="none",
    tax_rate=Fraction(0),
    labor_rate=Decimal("70.00"),
    labor=Markup(Decimal("12.5"), "margin"),
    material=Markup(Decimal(20)),
)
cents = st.decimals("0.01", "9999.99", places=2)
quantities = st.decimals("0.01", "999.99", places=2)


def subfloor() -> AssemblySpec:
    """A sheet of 32 sq ft for $32.00 and an hour for each 16 sq ft."""
    return assembly(
        "subfloor",
        "floor",
        uses(material("plywood", "sq ft", ("32", "32.00")), "1 sq ft per sq ft"),
        uses(operation("lay subfloor", "1 hour per 16 sq ft", "sq ft")),
        phase="rough",
    )


def signed(**values: Any) -> UnitPrice:
    return replace(ROTTEN_SUBFLOOR, **{"taxable": Decimal("0.00"), **values})


def with_conditions(*conditions: PricedCondition) -> Draft:
    return replace(kitchen(), conditions=conditions)


def test_a_unit_costs_what_the_work_of_a_change_would_divided_by_the_quantity() -> None:
    # 32 sq ft: 2 h at $80.00 and a sheet of $32.00 with 20 %: 160.00 + 38.40 = 198.40; a sq ft 6.20
    price, taxable = unit_price(subfloor(), Decimal(32), "sq ft", policy(), Conventions())
    assert (price, taxable) == (Decimal("6.20"), Decimal("1.20"))


def test_a_little_of_it_bears_the_whole_sheet() -> None:
    # 16 sq ft: 1 h at $80.00 and the sheet with 20 %: 118.40; a sq ft 7.40
    assert unit_price(subfloor(), Decimal(16), "sq ft", policy(), Conventions())[0] == Decimal("7.40")


def test_bought_material_goes_by_the_terms_for_changes_and_bears_no_contingency() -> None:
    dear = policy(
        contingency=Fraction("0.1"),
        minimum_charge=Decimal("900.00"),
        runs=4,
        changes=ChangeTerms(markup=Markup(Decimal(50))),
    )
    # 160.00 + 32.00 with half on top = 208.00; a sq ft 6.50
    assert unit_price(subfloor(), Decimal(32), "sq ft", dear, Conventions())[0] == Decimal("6.50")


def test_a_metric_quantity_is_priced_by_the_square_meter() -> None:
    # 32 sq ft are 2.97289728 sq m: 198.40 / 2.97 m2 of 31.969... sq ft, one sheet: 31.969 / 16 h at $80.00
    price, _ = unit_price(subfloor(), Decimal("2.97"), "m2", policy(), Conventions())
    hours = (Decimal("2.97") / Decimal("0.09290304") / 16).quantize(Decimal("0.01"))
    assert price == round_cents(Fraction(hours * 80 + Decimal("38.40")) / Fraction("2.97"))


def test_an_assembly_that_cannot_be_priced_by_itself_says_why() -> None:
    hang = uses(operation("hang", "1 hour each", "each"), measure="doors", scales_with="doors")
    of_doors = assembly("hang", "floor", hang)
    with pytest.raises(NoUnitPrice, match="Doors isn't known here"):
        unit_price(of_doors, Decimal(10), "sq ft", policy(), Conventions())


def test_an_assembly_that_costs_nothing_is_no_price() -> None:
    with pytest.raises(NoUnitPrice, match="type a price instead"):
        unit_price(assembly("air", "floor"), Decimal(10), "sq ft", policy(), Conventions())


def test_the_paper_says_price_unit_limit_and_what_comes_on_top() -> None:
    joist = replace(ROT, unit="hour", most=Decimal(8), by_receipt=True, caution="Local code decides.")
    rule = policy(tax_policy="consumer", tax_rate=Fraction("0.065"))
    [row] = hidden_conditions_for_snapshot([joist], rule)
    assert (row["price"], row["per"], row["most"]) == ("14.00", "an hour", "8 hours")
    assert row["extra"] == "What I buy for it comes on top by its receipt with sales tax, and 20% on that."
    assert row["caution"] == "Local code decides."
    assert row["least"] == ""
    [few] = hidden_conditions_for_snapshot([replace(ROT, least=Decimal(12))], rule)
    assert few["least"] == "12 sq ft"


@pytest.mark.parametrize(
    ("tax_policy", "taxable", "words"),
    [
        ("consumer", "1.20", ""),
        ("materials", "0.00", ""),
        ("materials", "1.20", "plus sales tax"),
        ("everything", "0.00", "plus sales tax"),
    ],
)
def test_tax_that_comes_on_top_is_said_beside_the_price(tax_policy: str, taxable: str, words: str) -> None:
    rule = policy(tax_policy=tax_policy, tax_rate=Fraction("0.065"))
    [row] = hidden_conditions_for_snapshot([replace(ROT, taxable=Decimal(taxable))], rule)
    assert row["tax"] == words


@given(st.lists(st.tuples(cents, quantities), max_size=5))
def test_what_may_be_found_never_enters_a_sum(priced: list[tuple[Decimal, Decimal]]) -> None:
    conditions = [replace(ROT, key=f"condition-{n}", price=p, most=q) for n, (p, q) in enumerate(priced)]
    draft, without = with_conditions(*conditions), kitchen()
    snapshot, plain = estimate_snapshot(kitchen_words(), draft), estimate_snapshot(kitchen_words(), without)
    sums = ("total", "prices", "tax", "options", "allowances")
    assert {name: snapshot[name] for name in sums} == {name: plain[name] for name in sums}
    basis, known = estimate_basis(draft), estimate_basis(without)
    assert {**basis, "if_found": []} == known
    assert len(snapshot["if_found"]) == len(priced)


@given(cents, quantities)
def test_what_is_found_comes_to_quantity_times_the_signed_price_to_the_cent(
    price: Decimal, quantity: Decimal
) -> None:
    of = signed(price=price, most=Decimal(1000))
    priced = price_change(RULES, (), [UnitPriceLine("line-1", of, quantity)])
    assert priced.total == round_cents(Fraction(price) * Fraction(quantity))


def test_tax_of_what_is_found_is_charged_on_its_taxable_part() -> None:
    taxed = replace(RULES, tax_policy="materials", tax_rate=Fraction("0.1"))
    # 10 sq ft of 14.00, of which 2.00 are taxable: 140.00 and a tenth of 20.00
    of = signed(taxable=Decimal("2.00"))
    assert price_change(taxed, (), [UnitPriceLine("line-1", of, Decimal(10))]).total == Decimal("142.00")


def test_a_change_that_adds_only_what_was_found_bears_the_fee_of_a_change() -> None:
    rules = replace(RULES, terms=ChangeTerms(fee=Decimal("45.00")))
    assert price_change(rules, (), [UnitPriceLine("a", signed(), Decimal(1))]).total == Decimal("59.00")


def test_up_to_the_limit_is_taken_and_beyond_it_is_told_what_to_do() -> None:
    assert signed().why_not(Decimal(64), TODAY) == ""
    reason = signed().why_not(Decimal("64.01"), TODAY)
    assert "is 64 sq ft: take at most 64 sq ft here" in reason
    assert "lump sum" in reason


@given(quantities, quantities)
def test_the_least_that_was_signed_is_charged_where_less_was_found(least: Decimal, found: Decimal) -> None:
    of = signed(least=least, most=Decimal(1000))
    priced = price_change(RULES, (), [UnitPriceLine("line-1", of, of.counted(found))])
    assert priced.total == round_cents(14 * Fraction(max(least, found)))


def test_where_less_is_left_than_the_least_it_is_talked_of_first() -> None:
    rot = signed(least=Decimal(12), used=Decimal(60))
    assert "take at most 4 sq ft here" in rot.why_not(Decimal(3), TODAY)


def test_what_signed_and_waiting_changes_took_is_off_the_limit() -> None:
    used = signed(used=Decimal(24))
    assert used.why_not(Decimal(40), TODAY) == ""
    assert "take at most 30 sq ft" in used.why_not(Decimal(31), TODAY, waiting=Decimal(10))


def change_basis(key: str, quantity: str, **changes: Any) -> dict[str, Any]:
    line = {"key": key, "kind": "found", "by_document": 1, "by_key": "condition-1", "quantity": quantity}
    return {"lines": [{**line, **changes}]}


def signed_estimate() -> SignedBasis:
    return SignedBasis(1, "Estimate 1001", estimate_basis(with_conditions(ROT)), ())


def test_signed_changes_use_up_the_limit() -> None:
    change = SignedBasis(2, "Change order 1", change_basis("line-1", "24"))
    condition = next(price for price in unit_prices([signed_estimate(), change]) if price.kind == FOUND)
    assert (condition.used, condition.left, condition.price) == (Decimal(24), Decimal(40), Decimal("14.00"))


def test_what_was_taken_out_again_is_free_again() -> None:
    change = SignedBasis(2, "Change order 1", change_basis("line-1", "24"))
    out = {"key": "line-2", "kind": "taken_out", "refers_document": 2, "refers_key": "line-1"}
    later = SignedBasis(3, "Change order 2", {"lines": [out]})
    condition = next(
        price for price in unit_prices([signed_estimate(), change, later]) if price.kind == FOUND
    )
    assert condition.used == 0


def test_an_option_is_taken_once_and_until_its_day() -> None:
    option = signed(kind=OPTION, title="Skim coat", unit="each", most=Decimal(1), decide_by=TODAY)
    assert option.why_not(Decimal(1), TODAY) == ""
    assert "is past" in option.why_not(Decimal(1), date(2026, 12, 8))
    assert "taken already" in replace(option, used=Decimal(1)).why_not(Decimal(1), TODAY)
    assert "waits for a signature" in option.why_not(Decimal(1), TODAY, Decimal(1))


def test_an_option_ticked_at_the_signing_is_not_taken_again() -> None:
    signed_basis = replace(signed_estimate(), options_chosen=(0,))
    option = next(price for price in unit_prices([signed_basis]) if price.kind == OPTION)
    assert option.used == 1


def test_a_condition_without_a_price_stands_in_the_way_of_a_paper() -> None:
    draft = with_conditions(replace(ROT, problem="Hidden condition, rot: no price."))
    assert reasons_not_ready(draft) == ("Hidden condition, rot: no price.",)


def test_a_revision_names_conditions_added_dropped_and_repriced() -> None:
    words = kitchen_words(opened="One plank at the sink.")
    old = estimate_snapshot(kitchen_words(), with_conditions(ROT))
    fan = PricedCondition("condition-2", "Drying fan", "day", Decimal("30.00"), Decimal(10))
    new = estimate_snapshot(words, with_conditions(replace(ROT, price=Decimal("15.00")), fan))
    revision = compare(old, new)
    [added] = revision.added
    assert (added.label, added.price) == ("Hidden condition: Drying fan, a day", "30.00")
    [repriced] = revision.repriced
    assert (repriced.before, repriced.after) == ("14.00", "15.00")
    assert revision.reworded == ("What was opened and looked at",)
    assert revision.total_before == revision.total_after


def test_a_paper_from_before_there_were_conditions_is_no_other_paper() -> None:
    new = estimate_snapshot(kitchen_words(), kitchen())
    old = {name: value for name, value in new.items() if name not in ("if_found", "opened", "opened_photos")}
    assert not compare(old, new)


def test_suggestions_of_licensed_work_carry_a_caution_and_a_known_unit() -> None:
    cautions = {suggestion.key: suggestion.caution for suggestion in SUGGESTIONS}
    for key in ("joist", "framing", "wiring", "pipe"):
        assert "licensed" in cautions[key]
        assert "ocal code" in cautions[key]
    assert {suggestion.unit for suggestion in SUGGESTIONS} <= set(UNITS)
